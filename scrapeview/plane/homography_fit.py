"""A homography fitted to known places on a plane and where the photograph shows them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from scrapeview.plane.projective import apply_homography

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Fitted:
    """A homography and how sure it is.

    Attributes
    ----------
    mm_to_px : (3, 3) float array
    covariance : (9, 9) float array
        Of its elements, row by row.
    gaps_px : (N, 2) float array
        Where the photograph shows each place, less where the fit has it.
    """

    mm_to_px: Array
    covariance: Array
    gaps_px: Array


def fit_homography(
    xy_mm: Array, xy_px: Array, error_px: Array, *, robust: bool = False, scatter: bool = True
) -> Fitted:
    """Fit a homography by least squares of the distances in the photograph.

    Parameters
    ----------
    xy_mm, xy_px : (N, 2) float arrays, N >= 4
    error_px : (N,) float array
        Standard error of each place in the photograph, each direction.
    robust : bool, keyword-only
        Whether places far off count for little (Cauchy's loss).
    scatter : bool, keyword-only
        Whether a fit worse than `error_px` makes the covariance larger.

    Returns
    -------
    Fitted
    """
    from_mm, from_px = _norming(xy_mm), _norming(xy_px)
    places, seen = apply_homography(from_mm, xy_mm), apply_homography(from_px, xy_px)
    weight = 1 / (error_px * from_px[0, 0])
    start = _direct(places, seen, weight)

    def gaps(elements: Array) -> Array:
        fitted = apply_homography(np.append(elements, 1.0).reshape(3, 3), places)
        return np.asarray(((fitted - seen) * weight[:, None]).ravel())

    loss = {"loss": "cauchy", "f_scale": 3.0} if robust else {}
    found = least_squares(gaps, start.ravel()[:8], method="trf" if robust else "lm", **loss)
    small = np.zeros((9, 9))
    small[:8, :8] = np.linalg.pinv(found.jac.T @ found.jac)
    freedom = 2 * len(places) - 8
    if scatter and freedom > 0:
        small *= max(1.0, float((gaps(found.x) ** 2).sum()) / freedom)
    norm_to_px = np.linalg.inv(from_px)
    spread = np.kron(norm_to_px, from_mm.T)
    homography = norm_to_px @ np.append(found.x, 1.0).reshape(3, 3) @ from_mm
    return Fitted(
        homography,
        np.asarray(spread @ small @ spread.T),
        xy_px - apply_homography(homography, xy_mm),
    )


def _norming(xy: Array) -> Array:
    """Similarity (3, 3) that brings points round the origin, about 1 away (R. Hartley, 1997)."""
    middle = xy.mean(axis=0)
    scale = 1 / max(1e-9, float(np.abs(xy - middle).mean()))
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1.0]])


def _direct(places: Array, seen: Array, weight: Array) -> Array:
    """Direct linear transform (R. Hartley and A. Zisserman, 2nd ed. 2004, sec. 4.1), last = 1."""
    x, y = places.T
    one, zero = np.ones(len(x)), np.zeros((len(x), 3))
    first = np.column_stack((x, y, one))
    rows = np.vstack(
        [
            np.hstack((first, zero, -seen[:, :1] * first)) * weight[:, None],
            np.hstack((zero, first, -seen[:, 1:] * first)) * weight[:, None],
        ]
    )
    homography = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    return np.asarray(homography / homography[2, 2])
