"""Each photograph by itself: its tiles' common size and squareness take the perspective out.

Metric rectification from equal areas and from right angles (R. Hartley, A. Zisserman, Multiple
View Geometry, 2nd ed., section 2.7), each step linear in its unknowns.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from scrapeview.plane.joined.sightings import Sightings
from scrapeview.plane.projective import apply_homography

Floats = NDArray[np.float64]
_TRIANGLES = np.array([[0, 1, 2], [1, 2, 3], [2, 3, 0], [3, 0, 1]])
_UNIT = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
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
        Homography from the photograph, in halves of its diagonal from its middle.
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
    """Return what the sizes of one photograph's tiles say of its lens."""
    rows = sightings.photo == photo
    sides = sightings.sides_mm[sightings.tile[rows]]
    return float(_denominator(sightings.from_middle[rows], sides)[3])


def own_frame(sightings: Sightings, photo: int) -> OwnFrame:
    """Return the frame that makes the tiles of one photograph square and of their size.

    Parameters
    ----------
    sightings : Sightings
        As an ideal camera sees them.
    photo : int
    """
    rows = sightings.photo == photo
    corners, tiles = sightings.from_middle[rows], sightings.tile[rows]
    sides = sightings.sides_mm[tiles]
    to_mm = _squared(corners, sides)
    good = _good_corners(_mapped(to_mm, corners), sides)
    whole: NDArray[np.bool_] = np.asarray(good.all(axis=1))
    if 2 <= whole.sum() < len(whole):
        to_mm = _squared(corners[whole], sides[whole])
        good = _good_corners(_mapped(to_mm, corners), sides)
    return OwnFrame(to_mm, tiles, square_poses(_mapped(to_mm, corners), good), good)


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


def _mapped(homography: Floats, corners: Floats) -> Floats:
    return apply_homography(homography, corners).reshape(corners.shape)


def _squared(corners: Floats, sides: Floats) -> Floats:
    flatten = _without_perspective(corners, sides)
    return _to_squares(_mapped(flatten, corners), sides) @ flatten


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


def _without_perspective(corners: Floats, sides: Floats) -> Floats:
    line = _denominator(corners, sides, bent=False)
    flatten = np.vstack((np.eye(3)[:2], line / line[2]))
    depth = corners.reshape(-1, 2) @ flatten[2, :2] + 1
    # beyond any camera above the plane: better to start without perspective
    return flatten if depth.min() > 0.1 else np.eye(3)


def _denominator(corners: Floats, sides: Floats, bent: bool = True) -> Floats:
    """Return the mapping's denominator, linear in (x, y, 1), and k1 where the lens may bend.

    An area shrinks with the third power of the denominator. Triangles of three corners each
    measure it, so that it shows across a single row of tiles as well.
    """
    triangles = corners[:, _TRIANGLES]
    edges = triangles[:, :, 1:] - triangles[:, :, :1]
    areas = (edges[..., 0, 0] * edges[..., 1, 1] - edges[..., 0, 1] * edges[..., 1, 0]) / 2
    value = np.cbrt(2 * areas / sides[:, None] ** 2).ravel()
    value /= np.median(value)
    places = triangles.mean(axis=2).reshape(-1, 2)
    columns = [places, np.ones((len(places), 1))]
    if not bent:
        return _robust_linear(np.hstack(columns), value)
    columns.append(_BEND * (places**2).sum(axis=1, keepdims=True))
    held = np.vstack((np.hstack(columns), [0, 0, 0, _K1_HOLD]))
    return _robust_linear(held, np.append(value, 0))


def _to_squares(corners: Floats, sides: Floats) -> Floats:
    """Return the affine mapping that makes the tiles square and of their size."""
    right = (corners[:, 1] - corners[:, 0] + corners[:, 2] - corners[:, 3]) / 2
    down = (corners[:, 3] - corners[:, 0] + corners[:, 2] - corners[:, 1]) / 2
    size = float(np.median(sides / np.hypot(*right.T)))
    right, down = right * size / sides[:, None], down * size / sides[:, None]
    equations = np.vstack([_product(right, right), _product(down, down), _product(right, down)])
    wanted = np.repeat([1.0, 1.0, 0.0], len(sides))
    xx, xy, yy = _robust_linear(equations, wanted)
    form = np.array([[xx, xy], [xy, yy]])
    if np.linalg.eigvalsh(form)[0] < 0.01:
        form = np.eye(2)
    affine = np.eye(3)
    affine[:2, :2] = size * np.linalg.cholesky(form).T
    return affine


def _product(p: Floats, q: Floats) -> Floats:
    """Return the rows by which (xx, xy, yy) of a symmetric form give p' M q."""
    x, y = p.T
    u, v = q.T
    return np.column_stack((x * u, x * v + y * u, y * v))


def _robust_linear(equations: Floats, wanted: Floats) -> Floats:
    first = np.linalg.lstsq(equations, wanted, rcond=None)[0]
    fit = least_squares(
        lambda x: equations @ x - wanted,
        first,
        jac=lambda _: equations,
        loss="soft_l1",
        f_scale=_NOTED,
        ftol=1e-4,
        max_nfev=20,
    )
    return np.asarray(fit.x, dtype=np.float64)
