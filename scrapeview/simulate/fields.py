"""Random fields and grids in millimetres, the same at every resolution for one seed."""

import zlib
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Field = NDArray[Any]
"""Raster of float32; OpenCV's annotations do not say which float they return."""


@dataclass(frozen=True)
class Grid:
    """A raster over the face.

    Attributes
    ----------
    origin_mm : centre of pixel (0, 0).
    shape : rows and columns.
    px_per_mm : scale.
    covers_mm : box (x0, y0, x1, y1) it was made for; random fields depend on this box and not on
        the scale.
    """

    origin_mm: tuple[float, float]
    shape: tuple[int, int]
    px_per_mm: float
    covers_mm: tuple[float, float, float, float]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the box covered, in mm."""
        x0, y0, x1, y1 = self.covers_mm
        return x1 - x0, y1 - y0

    @property
    def middle_px(self) -> NDArray[np.float64]:
        """Pixel coordinates of the middle of the box covered."""
        x0, y0, x1, y1 = self.covers_mm
        return self.to_px(np.array([(x0 + x1) / 2, (y0 + y1) / 2]))

    def to_px(self, xy_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return pixel coordinates (..., 2) of face coordinates (..., 2)."""
        return (np.asarray(xy_mm, float) - self.origin_mm) * self.px_per_mm


def grid_over(size_mm: tuple[float, float], margin_mm: float, px_per_mm: float) -> Grid:
    """Return the grid of a face and `margin_mm` around it; cell edges meet the face's corner."""
    margin_px = int(np.ceil(margin_mm * px_per_mm))
    width, height = (int(np.ceil(side * px_per_mm)) + 2 * margin_px for side in size_mm)
    first = (0.5 - margin_px) / px_per_mm
    box = (-margin_mm, -margin_mm, size_mm[0] + margin_mm, size_mm[1] + margin_mm)
    return Grid((first, first), (height, width), px_per_mm, box)


def pixel_grid(shape: tuple[int, int], px_per_unit: float = 1.0) -> Grid:
    """Return a grid over a photograph, in pixels of the photograph instead of mm."""
    rows, columns = shape
    return Grid((0.0, 0.0), shape, px_per_unit, (0, 0, columns / px_per_unit, rows / px_per_unit))


def generator(seed: int, purpose: str) -> np.random.Generator:
    """Return a generator of its own for each purpose, so that parts do not disturb each other."""
    return np.random.Generator(np.random.SFC64([seed, zlib.crc32(purpose.encode())]))


def noise_image(rng: np.random.Generator, shape: tuple[int, ...]) -> Field:
    """Return white Gaussian noise of standard deviation 1."""
    return rng.standard_normal(shape, dtype=np.float32)


def smooth_field(
    rng: np.random.Generator, grid: Grid, length_mm: tuple[float, float], turn_deg: float = 0.0
) -> Field:
    """Return a smooth field (mean 0, deviation 1) with bumps of a size, turned by an angle.

    Parameters
    ----------
    rng : source of the noise.
    grid : raster to fill.
    length_mm : size of the bumps along and across `turn_deg`.
    turn_deg : direction of the first length, from x towards y.
    """
    width, height = grid.size_mm
    reach = float(np.hypot(width, height)) if turn_deg else max(width, height)
    step_x, step_y = (length / 2 for length in length_mm)
    columns = int(np.ceil((reach if turn_deg else width) / step_x)) + 5
    rows = int(np.ceil((reach if turn_deg else height) / step_y)) + 5
    coarse = cv2.GaussianBlur(noise_image(rng, (rows, columns)), (0, 0), 0.7)
    coarse = (coarse - coarse.mean()) / (coarse.std() + 1e-6)
    angle = np.deg2rad(turn_deg)
    cos, sin = np.cos(angle), np.sin(angle)
    px = grid.px_per_mm
    turned = np.array(
        [[cos / px / step_x, sin / px / step_x], [-sin / px / step_y, cos / px / step_y]]
    )
    shift = np.array([columns / 2, rows / 2]) - turned @ grid.middle_px
    to_coarse = np.column_stack([turned, shift])
    return cv2.warpAffine(
        coarse,
        to_coarse,
        grid.shape[::-1],
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REFLECT,
    )


def smoothstep(values: Field) -> Field:
    """Return 0 below 0, 1 above 1, and a smooth step between."""
    t = np.clip(values, 0, 1)
    return t * t * (3 - 2 * t)


def box_cover(grid: Grid, box_mm: tuple[float, float, float, float]) -> Field:
    """Return the exact share of every pixel inside a box (x0, y0, x1, y1) in mm."""
    x0, y0, x1, y1 = box_mm
    return np.outer(_span_cover(grid, 1, y0, y1), _span_cover(grid, 0, x0, x1)).astype(np.float32)


def disc_cover(grid: Grid, centre_mm: tuple[float, float], radius_mm: float) -> Field:
    """Return the share of every pixel inside a circle (edge taken as straight within a pixel)."""
    x = (np.arange(grid.shape[1]) / grid.px_per_mm + grid.origin_mm[0] - centre_mm[0]) ** 2
    y = (np.arange(grid.shape[0]) / grid.px_per_mm + grid.origin_mm[1] - centre_mm[1]) ** 2
    inside = (radius_mm - np.sqrt(y[:, None] + x[None, :])) * grid.px_per_mm
    return np.clip(inside + 0.5, 0, 1).astype(np.float32)


def _span_cover(grid: Grid, axis: int, low_mm: float, high_mm: float) -> NDArray[np.float64]:
    count = grid.shape[1 - axis]
    edges = (np.arange(count + 1) - 0.5) / grid.px_per_mm + grid.origin_mm[axis]
    return np.diff(np.clip(edges, low_mm, high_mm)) * grid.px_per_mm
