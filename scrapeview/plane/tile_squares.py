"""One photograph's plane from squares of known size that lie on it, nobody knows where.

The homography that takes the photo to millimetres makes every square square and of its size.
What place and turn each square has follows in closed form (variable projection, G. Golub and
V. Pereyra, 1973), so that only five unknowns are left: two of perspective, two of foreshortening
and the scale.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from scrapeview.plane.projective import apply_homography, inverse, jacobian

Array = NDArray[np.float64]

_UNIT = np.array([-0.5 - 0.5j, 0.5 - 0.5j, 0.5 + 0.5j, -0.5 + 0.5j])
_HELD = 1e-3
"""Weight that keeps the first perspective small across a row of squares, which hardly shows it."""


@dataclass(frozen=True, eq=False)
class Squares:
    """Squares in a photograph.

    Attributes
    ----------
    corners_px : (M, 4, 2) float array
        Clockwise.
    sides_mm : (M,) float array
    error_px : (M,) float array
        Standard error of the corners, each direction.
    """

    corners_px: Array
    sides_mm: Array
    error_px: Array

    def only(self, keep: NDArray[np.bool_]) -> "Squares":
        """Return some of them."""
        return Squares(self.corners_px[keep], self.sides_mm[keep], self.error_px[keep])


@dataclass(frozen=True, eq=False)
class Rectified:
    """How the photo lies on the plane, in millimetres turned anyhow.

    Attributes
    ----------
    px_to_mm : (3, 3) float array
    covariance : (9, 9) float array
        Of the elements of its inverse, row by row.
    """

    px_to_mm: Array
    covariance: Array

    def corners_mm(self, squares: Squares) -> Array:
        """Return where corners (M, 4, 2) lie on the plane."""
        mapped = apply_homography(self.px_to_mm, squares.corners_px.reshape(-1, 2))
        return mapped.reshape(-1, 4, 2)

    def gaps_mm(self, squares: Squares) -> Array:
        """Return how far (M, 4) corners lie from the best square of their side."""
        return np.abs(_gaps(self.corners_mm(squares), squares.sides_mm))

    def error_mm(self, squares: Squares) -> Array:
        """Return the standard error (M,) of the squares' corners on the plane."""
        return squares.error_px / _px_per_mm(self.px_to_mm, squares)


def rectify(squares: Squares, *, robust: bool = False) -> Rectified:
    """Solve for the plane.

    Parameters
    ----------
    squares : Squares
        One or more.
    robust : bool, keyword-only
        Whether squares that do not fit count for little (Cauchy's loss).
    """
    first = _first(squares)
    start = apply_homography(first, squares.corners_px.reshape(-1, 2))
    reach = float(np.abs(start).max())
    error_mm = squares.error_px / _px_per_mm(first, squares)

    def px_to_mm(change: Array) -> Array:
        return np.asarray(_change(change, reach) @ first)

    def gaps(change: Array) -> Array:
        corners = apply_homography(px_to_mm(change), squares.corners_px.reshape(-1, 2))
        off = _gaps(corners.reshape(-1, 4, 2), squares.sides_mm) / error_mm[:, None]
        return np.concatenate((off.real.ravel(), off.imag.ravel()))

    loss = {"loss": "cauchy", "f_scale": 3.0} if robust else {}
    found = least_squares(gaps, np.zeros(5), method="trf" if robust else "lm", **loss)
    spread = np.linalg.pinv(found.jac.T @ found.jac)
    freedom = 5 * len(squares.sides_mm) - 5
    if freedom:
        spread *= max(1.0, float((gaps(found.x) ** 2).sum()) / freedom)
    by_change = _derivative(lambda change: inverse(px_to_mm(change)).ravel(), found.x)
    return Rectified(px_to_mm(found.x), np.asarray(by_change @ spread @ by_change.T))


def _first(squares: Squares) -> Array:
    """First photo to mm, from the squares' areas: they shrink with the cube of the depth."""
    corners = squares.corners_px[..., 0] + 1j * squares.corners_px[..., 1]
    across, down = corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]
    areas = np.abs((across.conj() * down).imag) / 2
    depth = np.cbrt(areas / squares.sides_mm**2)
    middles = squares.corners_px.mean(axis=1)
    middle = middles.mean(axis=0)
    reach = max(1.0, float(np.abs(squares.corners_px - middle).max()))
    design = np.column_stack((np.ones(len(depth)), (middles - middle) / reach))
    weight = np.ones(len(depth))
    held = np.diag([0.0, _HELD, _HELD]) * len(depth)
    for _ in range(5):
        level, *slope = np.linalg.solve(
            (design * weight[:, None]).T @ design + held, (design * weight[:, None]).T @ depth
        )
        rest = np.abs(depth - design @ np.array([level, *slope])) / level
        weight = 1 / (1 + (rest / 0.01) ** 2)
    scale = level**-1.5
    shift = np.array([[1, 0, -middle[0]], [0, 1, -middle[1]], [0, 0, 1.0]])
    view = np.array([[scale, 0, 0], [0, scale, 0], [*(np.array(slope) / level / reach), 1.0]])
    return np.asarray(view @ shift)


def _change(change: Array, reach_mm: float) -> Array:
    """Homography near the unit matrix, in mm: scale, foreshortening (2) and perspective (2)."""
    scale, stretch, shear, right, down = change
    return np.array(
        [
            [1 + scale + stretch, shear, 0],
            [shear, 1 + scale - stretch, 0],
            [right / reach_mm, down / reach_mm, 1],
        ]
    )


def _gaps(corners_mm: Array, sides_mm: Array) -> NDArray[np.complex128]:
    """Corners less those of the best square of known side, (M, 4) complex, mm."""
    places = corners_mm[..., 0] + 1j * corners_mm[..., 1]
    places = places - places.mean(axis=1, keepdims=True)
    turn = (places * _UNIT.conj()).sum(axis=1, keepdims=True)
    turn = turn / np.abs(turn)
    return np.asarray(places - sides_mm[:, None] * turn * _UNIT)


def _derivative(function: Callable[[Array], Array], at: Array) -> Array:
    """Derivative (N, M) of N values by M small changes, by central differences."""
    step = 1e-5
    moves = np.eye(len(at)) * step
    columns = [(function(at + move) - function(at - move)) / (2 * step) for move in moves]
    return np.column_stack(columns)


def _px_per_mm(px_to_mm: Array, squares: Squares) -> Array:
    local = jacobian(px_to_mm, squares.corners_px.mean(axis=1))
    return np.asarray(np.abs(np.linalg.det(local)) ** -0.5)
