"""Where points lie against the photo's border, and points spread over a part of the face."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray


def grid_over(bounds_mm: Sequence[float], steps: int = 5) -> NDArray[np.float64]:
    """Return a `steps` x `steps` grid of points over (x0, y0, x1, y1), its corners included."""
    x0, y0, x1, y1 = bounds_mm
    x, y = np.meshgrid(np.linspace(x0, x1, steps), np.linspace(y0, y1, steps))
    return np.column_stack((x.ravel(), y.ravel()))


def box_corners(bounds_mm: Sequence[float]) -> NDArray[np.float64]:
    """Return the corners (4, 2) of (x0, y0, x1, y1), clockwise from the top left."""
    x0, y0, x1, y1 = bounds_mm
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)


def pixels_outside(
    xy_px: NDArray[np.float64], photo_size_px: tuple[int, int]
) -> NDArray[np.float64]:
    """Distance (N,) by which points lie outside the photo, px; 0 inside it."""
    low = -0.5 - xy_px
    high = xy_px - (np.array(photo_size_px) - 0.5)
    return np.maximum(0, np.maximum(low, high)).max(axis=1)


def outside_tolerance_px(photo_size_px: tuple[int, int]) -> float:
    """How far a pick may lie outside the photo: a hand's slip at the photo's border."""
    return max(2.0, 0.005 * max(photo_size_px))
