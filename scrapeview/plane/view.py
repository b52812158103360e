"""The face seen square-on, on a grid of millimetres."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import PlaneError
from scrapeview.photo import Photo
from scrapeview.plane.plane import Plane, grid_over

_COARSER_THAN_VIEW = 1.3


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
        If the wish or the margin is not a positive length, or the view would be larger than the
        photo can fill.
    """
    held = float(np.median(plane.px_per_mm_at(grid_over(bounds_mm)))) / photo.reduction
    scale = min(px_per_mm, held)
    x0, y0, x1, y1 = bounds_mm
    origin = (x0 - margin_mm, y0 - margin_mm)
    width = math.ceil((x1 - x0 + 2 * margin_mm) * scale) + 1
    height = math.ceil((y1 - y0 + 2 * margin_mm) * scale) + 1
    view_to_mm = np.array([[1 / scale, 0, origin[0]], [0, 1 / scale, origin[1]], [0, 0, 1]])
    view_to_px = plane.mm_to_px @ view_to_mm
    source, px_to_source = _matched(photo, held / scale)
    rgb = cv2.warpPerspective(
        source,
        px_to_source @ view_to_px,
        (width, height),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    valid = _inside(view_to_px, (width, height), photo.full_size_px)
    return View(np.asarray(rgb, np.uint8), valid, scale, origin)


def _matched(photo: Photo, excess: float) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    height, width = photo.rgb.shape[:2]
    k = photo.reduction
    if excess < _COARSER_THAN_VIEW:
        return photo.rgb, _scaling(1 / k, 1 / k)
    size = (max(1, round(width / excess)), max(1, round(height / excess)))
    small = cv2.resize(photo.rgb, size, interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8), _scaling(size[0] / width / k, size[1] / height / k)


def _scaling(x: float, y: float) -> NDArray[np.float64]:
    # pixel edges, not centres, stay where they are
    return np.array([[x, 0, (x - 1) / 2], [0, y, (y - 1) / 2], [0, 0, 1.0]])


def _inside(
    view_to_px: NDArray[np.float64], size: tuple[int, int], photo_size_px: tuple[int, int]
) -> NDArray[np.bool_]:
    x = np.arange(size[0], dtype=np.float32)[None, :]
    y = np.arange(size[1], dtype=np.float32)[:, None]
    u, v, w = (row[0] * x + (row[1] * y + row[2]) for row in view_to_px.astype(np.float32))
    wide, high = photo_size_px
    inside = (w > 0) & (u >= -0.5 * w) & (v >= -0.5 * w)
    inside &= (u <= (wide - 0.5) * w) & (v <= (high - 0.5) * w)
    return inside
