"""Four corners of a rectangle, or two ends of a length: checks and the homography they fix."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import PlaneError
from scrapeview.plane.projective import jacobian, singular_values

_MIN_SINE = 2e-3
_STEEPEST_DEG = 70.0
_SWAP_SUSPECT_DEG = 50.0
_SWAP_FITS_DEG = 35.0


def as_points(picks: ArrayLike, what: str) -> NDArray[np.float64]:
    """Picks as a finite (N, 2) float array, or a PlaneError that names them."""
    try:
        points = np.asarray(picks, dtype=float)
    except (TypeError, ValueError) as error:
        raise PlaneError(f"{what} must be pairs of numbers x, y in photo pixels.") from error
    if points.ndim != 2 or points.shape[1] != 2:
        raise PlaneError(f"{what} must be pairs of numbers x, y in photo pixels.")
    if not np.isfinite(points).all():
        raise PlaneError(f"{what} hold a number that is not finite: pick them again.")
    return points


def checked_corners(corners_px: ArrayLike) -> NDArray[np.float64]:
    """Four corners clockwise round a convex outline, or a PlaneError that says what is wrong."""
    points = as_points(corners_px, "Corners")
    if len(points) != 4:
        raise PlaneError(
            f"Four corners are needed, clockwise from the face's top left; {len(points)} given."
        )
    if _some_three_in_line(points):
        raise PlaneError(
            "Three of the corners lie in one line, or two are the same: pick the four corners "
            "of the face."
        )
    # y runs down, so a positive turn is clockwise as the photo is seen
    turns = np.sign(_turns(points))
    clockwise = int((turns > 0).sum())
    if clockwise == 4:
        return points
    if clockwise == 0:
        raise PlaneError(
            "The corners run anticlockwise, which would read the face mirrored: list them "
            "clockwise, starting at the face's top left."
        )
    if clockwise == 2:
        raise PlaneError(
            "The corners are in the wrong order, so that the outline crosses itself: list them "
            "clockwise round the face, starting at its top left."
        )
    raise PlaneError(
        "One corner lies inside the triangle of the other three: no photo of a rectangle looks "
        "like that, so pick the corners again."
    )


def _turns(points: NDArray[np.float64]) -> NDArray[np.float64]:
    before = points - np.roll(points, 1, axis=0)
    after = np.roll(points, -1, axis=0) - points
    return before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]


def _some_three_in_line(points: NDArray[np.float64]) -> bool:
    extent = np.ptp(points, axis=0).max()
    if extent == 0:
        return True
    sides = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1)
    if sides.min() < 1.0:
        return True
    sines = _turns(points) / (sides * np.roll(sides, -1))
    return bool(np.abs(sines).min() < _MIN_SINE)


def checked_size(size_mm: Sequence[float]) -> tuple[float, float]:
    """Width and height, mm, both positive and finite."""
    try:
        width, height = (float(side) for side in size_mm)
    except (TypeError, ValueError) as error:
        raise PlaneError("The size of the face must be two lengths, width and height.") from error
    if not (math.isfinite(width) and math.isfinite(height) and width > 0 and height > 0):
        raise PlaneError(
            f"The face's width and height must be above zero, not {width:g} x {height:g} mm."
        )
    return width, height


def rectangle(size_mm: tuple[float, float]) -> NDArray[np.float64]:
    """Corners (4, 2) of the face, mm, clockwise from the origin."""
    width, height = size_mm
    return np.array([[0, 0], [width, 0], [width, height], [0, height]], dtype=float)


def rectangle_homography(
    corners_px: NDArray[np.float64], size_mm: tuple[float, float]
) -> NDArray[np.float64]:
    """Homography (3, 3) that takes the rectangle's corners (mm) to the picks (px).

    Closed form of the unit square onto a quadrilateral (P. Heckbert, Fundamentals of Texture
    Mapping and Image Warping, 1989, sec. 2.2.3), in double precision: OpenCV's own takes its
    points in single precision.
    """
    p0, p1, p2, p3 = corners_px
    bend = p0 - p1 + p2 - p3
    sides = np.column_stack((p1 - p2, p3 - p2))
    g, h = np.linalg.solve(sides, bend)
    unit = np.column_stack((p1 - p0 + g * p1, p3 - p0 + h * p3, p0))
    homography = np.vstack((unit, [g, h, 1.0]))
    return homography / np.array([size_mm[0], size_mm[1], 1.0])


def require_credible_aspect(homography: NDArray[np.float64], size_mm: tuple[float, float]) -> None:
    """Refuse a size that the corners contradict.

    Seen at tilt t one direction is shortened to cos t, so corners and size that differ by more
    than 1 / cos 70 deg = 2.9 cannot belong together, and less is suspect where width and height
    swapped fit far better.
    """
    tilt = _implied_tilt_deg(homography, size_mm)
    swapped = _implied_tilt_deg(homography, size_mm, swapped=True)
    width, height = size_mm
    if tilt > _SWAP_SUSPECT_DEG and swapped < _SWAP_FITS_DEG:
        raise PlaneError(
            f"The corners do not fit a face {width:g} mm wide and {height:g} mm high, but fit "
            f"{height:g} x {width:g} mm: swap width and height, or start at another corner."
        )
    if tilt > _STEEPEST_DEG:
        raise PlaneError(
            f"The corners do not fit a face {width:g} mm wide and {height:g} mm high: its shape "
            f"would mean a tilt of {tilt:.0f} degrees. Check the size and the picks."
        )


def _implied_tilt_deg(
    homography: NDArray[np.float64], size_mm: tuple[float, float], *, swapped: bool = False
) -> float:
    width, height = size_mm
    local = jacobian(homography, [[width / 2, height / 2]])
    if swapped:
        local = local * np.array([width / height, height / width])
    larger, smaller = singular_values(local)
    return math.degrees(math.acos(min(1.0, float(smaller[0] / larger[0]))))


def checked_scale(p_px: ArrayLike, q_px: ArrayLike, length_mm: float) -> float:
    """Pixels per mm from two picks and the length between them."""
    p, q = as_points([np.ravel(p_px), np.ravel(q_px)], "The two picks")
    distance = float(np.linalg.norm(q - p))
    if distance < 1.0:
        raise PlaneError("The two picks of the length are the same: pick its two ends.")
    try:
        length = float(length_mm)
    except (TypeError, ValueError) as error:
        raise PlaneError("The length between the two picks must be a number of mm.") from error
    if not (math.isfinite(length) and length > 0):
        raise PlaneError(f"The length between the two picks must be above zero, not {length:g} mm.")
    return distance / length
