"""The face seen square-on, on a grid of millimetres."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import PlaneError
from scrapeview.photo import Photo
from scrapeview.plane.bounds import grid_over, pixels_outside
from scrapeview.plane.plane import Plane
from scrapeview.plane.projective import apply_homography

_COARSER_THAN_VIEW = 1.3
_SPARE_PX = 4


@dataclass(frozen=True, eq=False)
class View:
    """A face resampled as seen from square above.

    Attributes
    ----------
    rgb : (h, w, 3) uint8 array
        Pixels; outside the photo its border is continued.
    valid : (h, w) bool array
        True where the pixel's centre lies inside the photo.
    px_per_mm : float
        Scale of the view, the same both ways.
    origin_mm : (float, float)
        Face point x, y (mm) of the centre of pixel (0, 0).
    """

    rgb: NDArray[np.uint8]
    valid: NDArray[np.bool_]
    px_per_mm: float
    origin_mm: tuple[float, float]

    def to_view(self, xy_mm: ArrayLike) -> NDArray[np.float64]:
        """View pixels (N, 2) of face points (N, 2) in mm."""
        points = np.asarray(xy_mm, dtype=float).reshape(-1, 2)
        return (points - self.origin_mm) * self.px_per_mm

    def to_mm(self, xy_view: ArrayLike) -> NDArray[np.float64]:
        """Face points (N, 2) in mm of view pixels (N, 2)."""
        points = np.asarray(xy_view, dtype=float).reshape(-1, 2)
        return points / self.px_per_mm + self.origin_mm


def view_square_on(
    photo: Photo,
    plane: Plane,
    bounds_mm: Sequence[float],
    *,
    px_per_mm: float,
    margin_mm: float,
) -> View:
    """Resample the photo to the face as seen from square above.

    Parameters
    ----------
    photo : Photo
        The photograph, at full or reduced size.
    plane : Plane
        Where the face lies in the photo's full-size pixels.
    bounds_mm : (x0, y0, x1, y1)
        The part of the plane to show, mm.
    px_per_mm : float, keyword-only
        Scale wished for. The view is never finer than the decoded photo holds: the median, over
        the bounds, of its local scale along the coarser direction.
    margin_mm : float, keyword-only
        How far the view reaches past the bounds on every side, mm.

    Returns
    -------
    View

    Raises
    ------
    PlaneError
        If the bounds hold no area, the scale is not above zero, the margin is negative, or the
        view reaches past the horizon of the plane.
    """
    bounds = _checked_bounds(bounds_mm, px_per_mm, margin_mm)
    held = float(np.median(plane.px_per_mm_at(grid_over(bounds)))) / photo.reduction
    scale = min(float(px_per_mm), held)
    size, origin = _grid(bounds, scale, margin_mm)
    view_to_mm = np.array([[1 / scale, 0, origin[0]], [0, 1 / scale, origin[1]], [0, 0, 1]])
    view_to_px = plane.mm_to_px @ view_to_mm
    border = _view_border(size)
    _require_before_horizon(view_to_px, border)
    part, part_to_px = photo_part(photo, apply_homography(view_to_px, border))
    source, source_to_px = smoothed(part, part_to_px, held / scale)
    rgb = cv2.warpPerspective(
        source,
        np.linalg.inv(source_to_px) @ view_to_px,
        size,
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    valid = _inside_photo(view_to_px, size, photo.full_size_px)
    return View(np.asarray(rgb, np.uint8), valid, scale, origin)


def _checked_bounds(
    bounds_mm: Sequence[float], px_per_mm: float, margin_mm: float
) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = (float(bound) for bound in bounds_mm)
    if not (x1 > x0 and y1 > y0 and math.isfinite(x1 - x0) and math.isfinite(y1 - y0)):
        raise PlaneError(f"The part to view, {x0:g} to {x1:g} by {y0:g} to {y1:g} mm, is empty.")
    if not (math.isfinite(px_per_mm) and px_per_mm > 0):
        raise PlaneError(f"The scale of the view must be above zero, not {px_per_mm:g} px/mm.")
    if not (math.isfinite(margin_mm) and margin_mm >= 0):
        raise PlaneError(f"The margin of the view must be zero or more, not {margin_mm:g} mm.")
    return x0, y0, x1, y1


def _grid(
    bounds: tuple[float, float, float, float], scale: float, margin_mm: float
) -> tuple[tuple[int, int], tuple[float, float]]:
    x0, y0, x1, y1 = bounds
    margin_px = math.ceil(margin_mm * scale - 1e-9)
    width = math.ceil((x1 - x0) * scale - 1e-9) + 2 * margin_px
    height = math.ceil((y1 - y0) * scale - 1e-9) + 2 * margin_px
    # the bounds' left and top run between pixels, where no pixel centre lies on them
    left, top = (edge - (margin_px - 0.5) / scale for edge in (x0, y0))
    return (width, height), (left, top)


def _view_border(size: tuple[int, int]) -> NDArray[np.float64]:
    right, bottom = size[0] - 1, size[1] - 1
    return np.array([[0, 0], [right, 0], [right, bottom], [0, bottom]], dtype=float)


def _require_before_horizon(view_to_px: NDArray[np.float64], border: NDArray[np.float64]) -> None:
    if (border @ view_to_px[2, :2] + view_to_px[2, 2] <= 0).any():
        raise PlaneError(
            "The view reaches past the horizon of the face's plane: check the picks, or read a "
            "smaller part of the face."
        )


def photo_part(
    photo: Photo, border_px: NDArray[np.float64]
) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """Return the decoded pixels that are needed, and the map from them to full-size pixels.

    Parameters
    ----------
    photo : Photo
    border_px : (N, 2) float array
        Full-size pixels that span what is needed; they may lie outside the photo.
    """
    k = photo.reduction
    height, width = photo.rgb.shape[:2]
    needed = (border_px + 0.5) / k - 0.5
    x0, y0 = np.clip(np.floor(needed.min(axis=0)) - _SPARE_PX, 0, (width - 1, height - 1))
    x1, y1 = np.clip(np.ceil(needed.max(axis=0)) + _SPARE_PX, 1, (width, height))
    part = photo.rgb[int(y0) : max(int(y1), int(y0) + 1), int(x0) : max(int(x1), int(x0) + 1)]
    return part, _enlarging(k) @ np.array([[1, 0, x0], [0, 1, y0], [0, 0, 1.0]])


def _enlarging(factor: float) -> NDArray[np.float64]:
    # the outer edges of pixels, not their centres, stay where they are
    shift = (factor - 1) / 2
    return np.array([[factor, 0, shift], [0, factor, shift], [0, 0, 1.0]])


def smoothed(
    part: NDArray[np.uint8], part_to_px: NDArray[np.float64], excess: float
) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """Return pixels as coarse as a view, so that what it cannot show does not alias into it.

    Parameters
    ----------
    part : (h, w, 3) uint8 array
    part_to_px : (3, 3) float array
        From its pixels to those of the photo at full size.
    excess : float
        How many times finer than the view it is.

    Returns
    -------
    part, part_to_px
        The same, smoothed and perhaps shrunk.
    """
    whole = max(1, min(math.floor(excess), *part.shape[:2]))
    if whole > 1:
        height, width = (side // whole for side in part.shape[:2])
        trimmed = part[: height * whole, : width * whole]
        part = np.asarray(
            cv2.resize(trimmed, (width, height), interpolation=cv2.INTER_AREA), np.uint8
        )
        part_to_px = part_to_px @ _enlarging(whole)
    rest = excess / whole
    if rest >= _COARSER_THAN_VIEW:
        sigma = 0.5 * math.sqrt(rest**2 - 1)
        part = np.asarray(cv2.GaussianBlur(part, (5, 5), sigma), np.uint8)
    return part, part_to_px


def _inside_photo(
    view_to_px: NDArray[np.float64], size: tuple[int, int], photo_size_px: tuple[int, int]
) -> NDArray[np.bool_]:
    if not pixels_outside(apply_homography(view_to_px, _view_border(size)), photo_size_px).any():
        return np.ones(size[::-1], dtype=bool)
    photo_border = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * photo_size_px - 0.5
    x = np.arange(size[0], dtype=np.float32)[None, :]
    y = np.arange(size[1], dtype=np.float32)[:, None]
    inside = np.ones(size[::-1], dtype=bool)
    # a pixel is inside where it lies on the inner side of all four borders of the photo
    for start, end in zip(photo_border, np.roll(photo_border, -1, axis=0), strict=True):
        border = np.cross([*start, 1.0], [*end, 1.0]) @ view_to_px
        a, b, c = (border / np.abs(border).max()).astype(np.float32)
        inside &= a * x >= -(b * y + c)
    return inside
