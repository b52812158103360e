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
    """

    problem: Problem
    x: Floats


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
    photo = problem.sightings.photo
    size = _noise(problem.lengths_px(start))
    x = _least_squares(problem, start, "soft_l1", max(2 * size, 0.3))
    unsharp = _unsharpness(problem.weighed(given, problem.noise_px), x)[photo]
    if (unsharp > 1).any():
        # else the sharp photographs' tiles would be judged by where an unsharp one has them
        noise = _noise(problem.lengths_px(x) * given / unsharp[:, None])
        x = _least_squares(_weighed(problem, given, noise, unsharp), x, "soft_l1", noise)
    used = np.zeros(given.shape, dtype=bool)
    for _ in range(_ROUNDS):
        off = problem.lengths_px(x) * given / unsharp[:, None]
        noise = _noise(off)
        before, used = used, _fitting(off / noise, problem)
        problem = _weighed(problem, given * used, noise, unsharp)
        x = _least_squares(problem, x, "linear", 1.0)
        if (used == before).all():
            break
    return Fit(*problem.only_used(x))


def _weighed(problem: Problem, weight: Floats, noise_px: float, unsharp: Floats) -> Problem:
    return problem.weighed(weight / unsharp[:, None], noise_px)


def _unsharpness(problem: Problem, x: Floats) -> Floats:
    """Return the noise (P,) of each photograph over that of all, at least 1.

    Of one that seems unsharp, its noise is what it leaves where it is solved by itself: one that
    is sharp, but shows the tiles otherwise than the others, is not to pass for unsharp.
    """
    seen = problem.sightings
    off = problem.lengths_px(x) * seen.weight
    pooled = _noise(off)
    unsharp = np.ones(seen.photo_count)
    for photo in range(seen.photo_count):
        rows = seen.photo == photo
        free = 5 * int(rows.sum()) - 8
        if _noise(off[rows]) <= _UNSHARP * pooled or free <= 0:
            continue
        alone = problem.weighed(seen.weight * rows[:, None], pooled)
        own = alone.lengths_px(_least_squares(alone, x, "soft_l1", pooled))[rows]
        own_noise = _noise(own * seen.weight[rows]) * float(np.sqrt(8 * rows.sum() / free))
        if own_noise > _UNSHARP * pooled:
            unsharp[photo] = own_noise / pooled
    return unsharp


def _fitting(relative: Floats, problem: Problem) -> Bools:
    """Which corners (M, 4) fit: not those far off, nor tiles that do not fit as a whole."""
    seen = problem.sightings
    used = relative <= _CORNER_TIMES
    used &= (used.sum(axis=1) > 1)[:, None]
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
