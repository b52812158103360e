"""How the error of a fitted homography spreads to places and areas on the face.

First-order propagation: a place m on the face seen at p = H m keeps its pixel when H is wrong by
dH, so it moves by -J^-1 dp with J the Jacobian of the mapping at m (R. Hartley and A. Zisserman,
Multiple View Geometry, 2nd ed. 2004, sec. 5.2).
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.bounds import box_corners
from scrapeview.plane.projective import jacobian

Array = NDArray[np.float64]


def covariance_seen_from(covariance: Array, change: Array) -> Array:
    """Covariance (9, 9) of H @ change, row by row, from that of H; `change` (3, 3) is exact."""
    spread = np.kron(np.eye(3), change.T)
    return np.asarray(spread @ covariance @ spread.T)


def places_by_homography(mm_to_px: Array, xy_mm: Array) -> Array:
    """Derivative (N, 2, 9) of places on the face by the homography's elements, row by row."""
    points = np.column_stack((xy_mm, np.ones(len(xy_mm))))
    mapped = points @ mm_to_px.T
    depth = mapped[:, 2, None]
    pixels = mapped[:, :2] / depth
    by_element = np.zeros((len(points), 2, 9))
    by_element[:, 0, 0:3] = by_element[:, 1, 3:6] = points / depth
    by_element[:, :, 6:9] = -pixels[:, :, None] * (points / depth)[:, None, :]
    return np.asarray(-np.linalg.solve(jacobian(mm_to_px, xy_mm), by_element))


def position_errors_mm(mm_to_px: Array, covariance: Array, xy_mm: Array) -> Array:
    """Standard error (N,) of places on the face, both directions together, mm."""
    moved = places_by_homography(mm_to_px, xy_mm)
    variance = np.einsum("nij,jk,nik->n", moved, covariance, moved)
    return np.sqrt(np.maximum(0, variance))


def fitted_area_error(mm_to_px: Array, covariance: Array, bounds_mm: Sequence[float]) -> float:
    """Relative standard error of the area of (x0, y0, x1, y1), its outline held in the photo."""
    box = box_corners(bounds_mm)
    area = float(np.prod(box[2] - box[0]))
    if not area > 0:
        return 0.0
    # the shoelace formula by each corner
    ahead, behind = np.roll(box, -1, axis=0), np.roll(box, 1, axis=0)
    by_place = np.column_stack((ahead[:, 1] - behind[:, 1], behind[:, 0] - ahead[:, 0])) / 2
    by_element = np.einsum("ni,nij->j", by_place, places_by_homography(mm_to_px, box))
    return math.sqrt(max(0.0, float(by_element @ covariance @ by_element))) / area
