"""What lies in the square inch around each place of a print: points and contact."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from scrapeview.judge.compare.laid import FaceGrid, LaidPrint, Mask
from scrapeview.units import MM2_PER_SQUARE_INCH, MM_PER_INCH

Figures = NDArray[np.float64]

LEAST_AREA_MM2 = MM2_PER_SQUARE_INCH / 8
"""A square inch with less face in it says nothing."""


@dataclass(frozen=True, eq=False)
class Around:
    """Figures of the square inch around places of a face, by its area that is known.

    Parameters
    ----------
    ppsi, contact_percent : (n,) float64
        NaN where too little of the face is known there.
    """

    ppsi: Figures
    contact_percent: Figures


def around_points(xy_mm: Figures, laid: LaidPrint) -> Around:
    """Return the figures around each of a print's own points.

    At the face's edge the square is moved inwards until it lies within the face's bounds, as a
    whole square says more than a part of one.
    """
    middles = _moved_inwards(xy_mm, laid.grid)
    known, contact = _in_square(laid.known, middles, laid), _in_square(laid.contact, middles, laid)
    enough = known >= LEAST_AREA_MM2
    counted = _counted(xy_mm, middles)
    divisor = np.where(enough, known, np.nan)
    return Around(counted / divisor * MM2_PER_SQUARE_INCH, 100 * contact / divisor)


def contact_map(laid: LaidPrint) -> Figures:
    """Return the contact (%) in the square inch around each square of a grid; NaN off the face."""
    grid = laid.grid
    rows, columns = (
        grid.to_mm(np.column_stack((np.arange(side), np.arange(side)))) for side in grid.shape
    )
    tops, bottoms = _sides(_moved_inwards(rows, grid)[:, 1], grid, 1)
    lefts, rights = _sides(_moved_inwards(columns, grid)[:, 0], grid, 0)

    def held(mask: Mask) -> Figures:
        across = np.take(_summed(mask), rights, axis=1) - np.take(_summed(mask), lefts, axis=1)
        return np.asarray((across[bottoms] - across[tops]) * grid.square_mm2, dtype=np.float64)

    known = held(laid.known)
    shares = np.full(grid.shape, np.nan)
    told = laid.known & (known >= LEAST_AREA_MM2)
    np.divide(100 * held(laid.contact), known, out=shares, where=told)
    return shares


def neighbours(xy_mm: Figures) -> list[NDArray[np.intp]]:
    """Return which points lie in the square inch around each point, itself among them."""
    if len(xy_mm) == 0:
        return []
    found = cKDTree(xy_mm).query_ball_point(xy_mm, MM_PER_INCH / 2, p=np.inf)
    return [np.sort(np.asarray(one, dtype=np.intp)) for one in found]


def _moved_inwards(xy_mm: Figures, grid: FaceGrid) -> Figures:
    half = MM_PER_INCH / 2
    low = np.array(grid.origin_mm) - 0.5 / grid.px_per_mm
    high = low + np.array(grid.shape[::-1]) / grid.px_per_mm
    middle = (low + high) / 2
    # where the face is narrower than the square, the square lies across all of it
    return np.asarray(
        np.clip(xy_mm, np.minimum(low + half, middle), np.maximum(high - half, middle))
    )


def _counted(xy_mm: Figures, middles: Figures) -> Figures:
    if len(xy_mm) == 0:
        return np.empty(0)
    near = cKDTree(xy_mm).query_ball_point(middles, MM_PER_INCH / 2, p=np.inf, return_length=True)
    return np.asarray(near, dtype=np.float64)


def _in_square(mask: Mask, middles: Figures, laid: LaidPrint) -> Figures:
    """Area (mm2) that a mask covers of the square inch around each place."""
    summed = _summed(mask)
    left, right = _sides(middles[:, 0], laid.grid, 0)
    top, bottom = _sides(middles[:, 1], laid.grid, 1)
    held = summed[bottom, right] - summed[top, right] - summed[bottom, left] + summed[top, left]
    return np.asarray(held * laid.grid.square_mm2, dtype=np.float64)


def _summed(mask: Mask) -> NDArray[np.int64]:
    return np.asarray(cv2.integral(mask.view(np.uint8), sdepth=cv2.CV_32S), dtype=np.int64)


def _sides(
    middle_mm: Figures, grid: FaceGrid, axis: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """First square and the one past the last that the square inch takes in along an axis."""
    half = MM_PER_INCH / 2 * grid.px_per_mm
    at = (middle_mm - grid.origin_mm[axis]) * grid.px_per_mm + 0.5
    most = grid.shape[1 - axis]
    low, high = (np.clip(np.rint(side).astype(np.intp), 0, most) for side in (at - half, at + half))
    return low, high
