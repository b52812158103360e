"""A face laid on a plane that already knows its millimetres, by four picked corners."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError
from scrapeview.plane import corners
from scrapeview.plane.from_picks import one_pixel_mm
from scrapeview.plane.projective import apply_homography

Array = NDArray[np.float64]

_SLIP_PX = 3.0
"""How far from its corner a pick may lie, px; ours, no source."""
_ROUGH_SIZE = 0.005
"""How well a face's size is known, as a share of it; ours, no source."""
_SURE = 3.0
"""Standard errors of the plane that a size may differ by."""


class Laid(NamedTuple):
    """How a face lies on a plane: the rigid change from its own mm to the plane's."""

    face_to_plane: Array
    outline_mm: Array
    residual_mm: float


def lay_face(
    mm_to_px: Array, corners_px: Array, size_mm: Sequence[float], place_error_mm: float,
    scale_error: float,
) -> Laid:  # fmt: skip
    """Best rigid fit of a rectangle to four picked corners.

    Turn and shift of least squares between two sets of points (W. Kabsch, 1976), without scale:
    the plane knows its own.

    Parameters
    ----------
    mm_to_px : (3, 3) float array
    corners_px : (4, 2) float array
        In full-size photo pixels, clockwise from the face's top left.
    size_mm : (float, float)
        Width and height of the face.
    place_error_mm, scale_error : float
        Standard error of places on the plane and relative standard error of its lengths.

    Raises
    ------
    PlaneError
        If the face they outline has another size or is no rectangle.
    """
    size = corners.checked_size(size_mm)
    seen = apply_homography(np.linalg.inv(mm_to_px), corners_px)
    outline = corners.rectangle(size)
    slip = np.hypot(_SLIP_PX * one_pixel_mm(mm_to_px, seen), _SURE * place_error_mm)
    _require_size(seen, size, float(slip), scale_error)
    turned = _rigid(outline, seen)
    gaps = seen - apply_homography(turned, outline)
    residual = float(np.sqrt((gaps**2).sum(axis=1).mean()))
    allowed = _allowed_mm(max(size), float(slip), scale_error)
    if residual > allowed:
        raise PlaneError(
            f"The four corners are {residual:.1f} mm off a rectangle of {size[0]:g} x {size[1]:g} "
            "mm: pick them again, and see that the card or the tiles lie flat on the face."
        )
    return Laid(turned, outline, residual)


def _require_size(seen: Array, size: tuple[float, float], slip_mm: float, error: float) -> None:
    sides = np.linalg.norm(np.roll(seen, -1, axis=0) - seen, axis=1)
    width, height = (float((sides[i] + sides[i + 2]) / 2) for i in (0, 1))
    wrong = [
        abs(found - given) > _allowed_mm(given, slip_mm, error)
        for found, given in ((width, size[0]), (height, size[1]))
    ]
    if any(wrong):
        raise PlaneError(
            f"The corners lie {width:.1f} x {height:.1f} mm apart by the photograph's own scale, "
            f"but the face is said to be {size[0]:g} x {size[1]:g} mm: check its size, the "
            "corners, and how long the bar on the card or the tiles' sheet is on your paper."
        )


def _allowed_mm(length_mm: float, slip_mm: float, scale_error: float) -> float:
    return float(np.hypot(slip_mm, (_ROUGH_SIZE + _SURE * scale_error) * length_mm))


def _rigid(start: Array, end: Array) -> Array:
    """Turn and shift (3, 3) that bring one set of points onto another."""
    start_middle, end_middle = start.mean(axis=0), end.mean(axis=0)
    left, _, right = np.linalg.svd((start - start_middle).T @ (end - end_middle))
    # never a mirror image
    mirror = np.diag([1.0, np.sign(np.linalg.det(left @ right))])
    turn = right.T @ mirror @ left.T
    moved = np.eye(3)
    moved[:2, :2] = turn
    moved[:2, 2] = end_middle - turn @ start_middle
    return moved
