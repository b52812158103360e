"""Each photograph by itself: its own millimetres, its tiles in them, and what its lens may be."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from scrapeview.plane.joined.sightings import Sightings
from scrapeview.plane.tile_squares import Squares, rectify

Floats = NDArray[np.float64]
_TRIANGLES = np.array([[0, 1, 2], [1, 2, 3], [2, 3, 0], [3, 0, 1]])
_UNIT = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
_ERROR_PX = 0.2
"""Noise of corners that is reckoned with before it is known; ours, no source."""
_NOTED = 0.01
"""Relative misfit of one tile from which it counts less in the first estimate."""
_BEND = 4 / 3
"""A lens changes small areas by 1 + 4 k1 r^2 to first order, and so their cube root by a third."""
_K1_HOLD = 0.2
"""Weight that holds k1 near 0 where the tiles say little of it."""
_BAD_TIMES = 4.0
_BAD_LEAST = 0.01
"""From which misfit, in sides of a tile, a corner can be bad."""


@dataclass(frozen=True, eq=False)
class OwnFrame:
    """One photograph's own millimetres, anywhere and turned anyhow.

    Attributes
    ----------
    to_mm : (3, 3) float array
        Homography from the photograph's full-size pixels.
    tiles : (m,) int array
    poses : (m, 3) float array
        Middle of each tile, mm, and how it is turned, radians.
    good : (m, 4) bool array
        Corners that fit their tile.
    """

    to_mm: Floats
    tiles: NDArray[np.intp]
    poses: Floats
    good: NDArray[np.bool_]


def own_k1(sightings: Sightings, photo: int) -> float:
    """Return what the sizes of one photograph's tiles say of its lens.

    An area shrinks with the third power of the mapping's denominator, which is linear in (x, y, 1).
    Triangles of three corners each measure it.
    """
    rows = sightings.photo == photo
    sides = sightings.sides_mm[sightings.tile[rows]]
    triangles = sightings.from_middle[rows][:, _TRIANGLES]
    edges = triangles[:, :, 1:] - triangles[:, :, :1]
    areas = (edges[..., 0, 0] * edges[..., 1, 1] - edges[..., 0, 1] * edges[..., 1, 0]) / 2
    depth = np.cbrt(2 * areas / sides[:, None] ** 2).ravel()
    places = triangles.mean(axis=2).reshape(-1, 2)
    bend = _BEND * (places**2).sum(axis=1)
    equations = np.column_stack((places, np.ones(len(places)), bend))
    held = np.vstack((equations, [0, 0, 0, _K1_HOLD]))
    wanted = np.append(depth / np.median(depth), 0)
    first = np.linalg.lstsq(held, wanted, rcond=None)[0]
    fit = least_squares(
        lambda x: held @ x - wanted,
        first,
        jac=lambda _: held,
        loss="soft_l1",
        f_scale=_NOTED,
        ftol=1e-4,
        max_nfev=20,
    )
    return float(fit.x[3])


def own_frame(sightings: Sightings, photo: int) -> OwnFrame:
    """Return the frame that makes the tiles of one photograph square and of their size.

    Parameters
    ----------
    sightings : Sightings
        As an ideal camera sees them.
    photo : int
    """
    rows = sightings.photo == photo
    tiles = sightings.tile[rows]
    squares = Squares(
        sightings.corners_px[rows], sightings.sides_mm[tiles], np.full(len(tiles), _ERROR_PX)
    )
    rectified = rectify(squares, robust=True)
    good = _good_corners(rectified.corners_mm(squares), squares.sides_mm)
    whole: NDArray[np.bool_] = np.asarray(good.all(axis=1))
    if 2 <= whole.sum() < len(whole):
        rectified = rectify(squares.only(whole), robust=True)
        good = _good_corners(rectified.corners_mm(squares), squares.sides_mm)
    poses = square_poses(rectified.corners_mm(squares), good)
    return OwnFrame(rectified.px_to_mm, tiles, poses, good)


def square_poses(corners_mm: Floats, good: NDArray[np.bool_] | None = None) -> Floats:
    """Return middle and turn (m, 3) of the squares that fit corners (m, 4, 2) best.

    The least squares fit of a rigid motion; corners that are not good are passed over.
    """
    count = np.ones(corners_mm.shape[:2]) if good is None else good.astype(float)
    count[count.sum(axis=1) < 2] = 1
    share = (count / count.sum(axis=1, keepdims=True))[..., None]
    model = _UNIT - (share * _UNIT).sum(axis=1, keepdims=True)
    offset = share * (corners_mm - (share * corners_mm).sum(axis=1, keepdims=True))
    along = (offset * model).sum(axis=(1, 2))
    across = (offset[..., 1] * model[..., 0] - offset[..., 0] * model[..., 1]).sum(axis=1)
    turn = np.arctan2(across, along)
    size = np.hypot(along, across) / (share * model**2).sum(axis=(1, 2))
    shift = (share * _UNIT).sum(axis=1) * size[:, None]
    middle = (share * corners_mm).sum(axis=1) - _turned(shift[:, None], turn)[:, 0]
    return np.column_stack((middle, turn))


def square_corners(poses: Floats, sides_mm: Floats) -> Floats:
    """Return corners (m, 4, 2) of squares from their poses (m, 3) and sides (m,)."""
    return poses[:, None, :2] + _turned(sides_mm[:, None, None] * _UNIT, poses[:, 2])


def _turned(xy: Floats, turn: Floats) -> Floats:
    cos, sin = np.cos(turn), np.sin(turn)
    rows = np.stack((np.stack((cos, sin), axis=1), np.stack((-sin, cos), axis=1)), axis=1)
    return np.asarray(xy @ rows)


def _good_corners(corners_mm: Floats, sides: Floats) -> NDArray[np.bool_]:
    """Which corners fit their square; where one is bad, the other three fit well without it."""
    good = np.ones(corners_mm.shape[:2], dtype=bool)
    worst = _misfit(corners_mm, sides, good)
    limit = max(_BAD_LEAST, _BAD_TIMES * float(np.median(worst)))
    tries = []
    for corner in range(4):
        three = good.copy()
        three[:, corner] = False
        tries.append(_misfit(corners_mm, sides, three))
    least = np.array(tries)
    at_fault = np.flatnonzero(worst > limit)
    good[at_fault, least[:, at_fault].argmin(axis=0)] = False
    good[at_fault[least[:, at_fault].min(axis=0) > limit]] = False
    return good


def _misfit(corners_mm: Floats, sides: Floats, good: NDArray[np.bool_]) -> Floats:
    fitted = square_corners(square_poses(corners_mm, good), sides)
    off = np.hypot(*np.moveaxis(corners_mm - fitted, 2, 0)) / sides[:, None]
    return np.asarray(np.where(good, off, 0).max(axis=1))
