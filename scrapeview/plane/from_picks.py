"""What picks by hand fix of a plane: four corners, the rim of a disc or a known length."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.plane import corners, rim
from scrapeview.plane.polygons import circle_polygon
from scrapeview.plane.projective import jacobian, singular_values

_RIM_VERTICES = 180


class Picked(NamedTuple):
    """The first fields of a `Plane`, in its order."""

    kind: str
    mm_to_px: NDArray[np.float64]
    residual_mm: float
    pick_error_mm: float
    face_mm: tuple[NDArray[np.float64], ...] = ()


def by_corners(corners_px: ArrayLike, size_mm: Sequence[float]) -> Picked:
    """As `Plane.from_corners`."""
    picks = corners.checked_corners(corners_px)
    size = corners.checked_size(size_mm)
    homography = corners.rectangle_homography(picks, size)
    corners.require_credible_aspect(homography, size)
    outline = corners.rectangle(size)
    return Picked("corners", homography, 0.0, one_pixel_mm(homography, outline), (outline,))


def by_circle(rim_px: ArrayLike, diameter_mm: float, centre_px: ArrayLike | None) -> Picked:
    """As `Plane.from_circle`."""
    picks = rim.checked_rim(rim_px)
    diameter = rim.checked_diameter(diameter_mm)
    ellipse = rim.fit_ellipse(picks)
    homography = rim.disc_homography(ellipse, diameter, rim.checked_centre(centre_px, ellipse))
    residual = rim.rim_residual_mm(homography, picks, diameter)
    centre = (diameter / 2, diameter / 2)
    outline = circle_polygon(centre, diameter / 2, vertices=_RIM_VERTICES)
    return Picked("circle", homography, residual, one_pixel_mm(homography, outline), (outline,))


def by_length(p_px: ArrayLike, q_px: ArrayLike, length_mm: float) -> Picked:
    """As `Plane.from_length`."""
    scale = corners.checked_scale(p_px, q_px, length_mm)
    homography = np.array([[scale, 0, -0.5], [0, scale, -0.5], [0, 0, 1.0]])
    return Picked("length", homography, 0.0, 1 / scale)


def one_pixel_mm(homography: NDArray[np.float64], xy_mm: NDArray[np.float64]) -> float:
    """Return what one pixel is on the face at the coarsest of some points, mm."""
    return float(1 / singular_values(jacobian(homography, xy_mm))[1].min())
