"""The adjustment itself: robust first, then plain least squares without what does not fit."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from scrapeview.plane.joined.bundle_problem import Problem

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
RAYLEIGH_MEDIAN = float(np.sqrt(2 * np.log(2)))
"""Median length of an error whose two coordinates have standard deviation 1."""
_CORNER_TIMES = 4.5
"""An error this many times the noise happens by chance to 1 corner of 25,000."""
_TILE_TIMES = 2.2
"""A whole tile's root mean square over the noise, which chance reaches for 1 tile of 1,000."""
_LEAST_NOISE_PX = 0.01
_ROUNDS = 6
_UNSHARP = 1.5
"""Noise of a photograph over that of all, from which it counts less."""


@dataclass(frozen=True, eq=False)
class Fit:
    """What the adjustment found.

    Attributes
    ----------
    problem : Problem
        Of what was used, with the weights it had last.
    x : float array
        Packed unknowns.
    noise_px : float
        Standard deviation of a corner's coordinate.
    """

    problem: Problem
    x: Floats
    noise_px: float


def adjust(problem: Problem, start: Floats, given: Floats) -> Fit:
    """Return the least squares solution without what does not fit it.

    Parameters
    ----------
    problem : Problem
        Without what cannot be used to start from.
    start : float array
        Packed unknowns to start from.
    given : (M, 4) float array
        Weights of the corners by themselves.
    """
    size = _noise(problem.lengths_px(start))
    x = _least_squares(problem, start, "soft_l1", max(2 * size, 0.3))
    used = np.zeros(given.shape, dtype=bool)
    for _ in range(_ROUNDS):
        off = problem.lengths_px(x)
        noise = _photo_noise(off * given, problem.sightings.photo)
        before, used = used, _fitting(off * given, noise, problem)
        share = np.median(noise) / np.maximum(noise, _UNSHARP * np.median(noise)) * _UNSHARP
        problem = problem.weighed(given * used * share[:, None], float(np.median(noise)))
        x = _least_squares(problem, x, "linear", 1.0)
        if (used == before).all():
            break
    problem, x = problem.only_used(x)
    return Fit(problem, x, _noise_left(problem, x))


def _fitting(off: Floats, noise: Floats, problem: Problem) -> Bools:
    """Which corners (M, 4) fit: not those far off, nor tiles that do not fit as a whole."""
    seen = problem.sightings
    used = off <= _CORNER_TIMES * noise[:, None]
    used &= (used.sum(axis=1) > 2)[:, None]
    relative = off / noise[:, None]
    count = len(seen.ids)
    sighted = np.bincount(seen.tile, minlength=count)
    dropped = np.bincount(seen.tile, weights=~used.any(axis=1), minlength=count)
    squares = np.bincount(seen.tile, weights=(relative**2 * used).sum(axis=1), minlength=count)
    corners = np.bincount(seen.tile, weights=used.sum(axis=1), minlength=count)
    misfit = np.sqrt(squares / 2 / np.maximum(corners, 1))
    bad = (misfit > _TILE_TIMES) | (2 * dropped > sighted)
    return np.asarray(used & ~bad[seen.tile][:, None])


def _noise(off: Floats) -> float:
    return max(float(np.median(off)) / RAYLEIGH_MEDIAN, _LEAST_NOISE_PX)


def _photo_noise(off: Floats, photo: NDArray[np.intp]) -> Floats:
    """Return the noise (M,) of the photograph of each sighting."""
    each = {p: _noise(off[photo == p]) for p in set(photo.tolist())}
    pooled = _noise(off)
    return np.array([max(each[p], pooled) for p in photo.tolist()])


def _noise_left(problem: Problem, x: Floats) -> float:
    """Return the standard deviation of a coordinate, for the unknowns that were solved for."""
    residuals = problem.residuals(x)
    free = 2 * int((problem.sightings.weight > 0).sum()) - (len(x) - 2 * problem.lens_count - 3)
    return max(float(np.sqrt((residuals**2).sum() / max(free, 1))), _LEAST_NOISE_PX)


def _least_squares(problem: Problem, start: Floats, loss: str, scale_px: float) -> Floats:
    fit = least_squares(
        problem.residuals,
        start,
        jac=problem.jacobian,
        loss=loss,
        f_scale=scale_px,
        x_scale="jac",
        ftol=1e-6 if loss == "linear" else 1e-3,
        xtol=1e-12,
        gtol=1e-12,
        max_nfev=30,
        tr_solver="lsmr",
        tr_options={"atol": 1e-8, "btol": 1e-8, "maxiter": 4 * len(start)},
    )
    return np.asarray(fit.x, dtype=np.float64)
