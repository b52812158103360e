"""A figure against the pass number: a curve that runs to a limit, and how sure that curve is.

The curve is Richards' growth curve (F. J. Richards, A flexible growth function for empirical use,
Journal of Experimental Botany 10 (1959) 290; from memory): a power of the figure runs to its limit
by the same share every pass. With power 1 that is exponential saturation, with -1 the logistic
curve, with 0 Gompertz's; it only rises or only falls. What is known of its parameters after the
prints is sampled by tempering from weak prior knowledge (P. Del Moral, A. Doucet, A. Jasra,
Sequential Monte Carlo samplers, J. R. Stat. Soc. B 68 (2006) 411; from memory), with errors after
Student and a chance that a print is bad, so that one bad print has little weight.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.judge.forecast.pass_figures import PassFigures, Which

Array = NDArray[np.float64]

SAMPLES = 1500
SEED = 1
MOST_PASSES = 16
"""Older passes say nothing more of what the next will bring."""
TAIL = 4.0
"""Degrees of freedom of the errors: 4 leaves a bad print little weight."""
BAD, BAD_SCALE = 0.07, 0.35
"""Chance of a bad print, and by how much of the figure such a print is wrong."""
DRIFT = 0.04
"""By how much of the figure the curve may be wrong one pass away, growing as the root of passes."""
MOVES = 3
LIKE_THE_LAST = 6
"""Passes back from which prints ahead take their errors."""
SMALLEST = 1e-6

LIMIT_POINTS = (np.log(35.0), 1.0)
"""Where points per square inch run to: anything from 5 to 250, far more than scraping gives."""
LIMIT_CONTACT = 0.9
"""By which factor, as a logarithm, contact may still rise or fall."""
RATE = (np.log(0.2), 0.9)
"""Share of what is missing that a pass makes good: 0.03 to 0.7."""
POWER = (-3.0, 1.5)
"""From growth by the same share each pass that ends at once, to gains that fade from the start."""
NOISE = (np.log(0.9), 0.4)
"""Errors between prints, of the readings' own."""


@dataclass(frozen=True, eq=False)
class Curves:
    """Samples of the curve that the prints leave possible.

    Parameters
    ----------
    which : {"points", "contact"}
    now_pass : int
        Last pass.
    now, limit : (m,) float
        Figure at the last pass, and the limit it runs to.
    rate : (m,) float
        Per pass.
    power : (m,) float
    noise : (m,) float
        Errors between prints, of the readings' own.
    errors : (k,) float
        Standard errors of the last prints, of the root of their figures.
    """

    which: Which
    now_pass: int
    now: Array
    limit: Array
    rate: Array
    power: Array
    noise: Array
    errors: Array

    def at(self, passes: Array | NDArray[np.int64]) -> Array:
        """Return the curves (m, k) at pass numbers (k,)."""
        ahead = np.asarray(passes, dtype=np.float64) - self.now_pass
        return _curve(np.log(self.now), np.log(self.limit), self.rate, self.power, ahead)


def curves_of(figures: PassFigures) -> Curves:
    """Return samples of the curve of one figure.

    Parameters
    ----------
    figures : PassFigures
        With one pass at least.
    """
    recent = figures.passes > figures.last_pass - MOST_PASSES
    ago = (figures.last_pass - figures.passes[recent]).astype(np.float64)
    seen, errors = figures.figures[recent], figures.errors[recent]
    rises = figures.which == "points"
    middle = np.log(max(float(np.median(seen[-3:])), SMALLEST))

    def prior(sample: Array) -> Array:
        return _prior(sample, middle, rises)

    def likelihood(sample: Array) -> Array:
        return _likelihood(sample, ago, seen, errors)

    rng = np.random.default_rng(SEED)
    sample = _tempered(_start(rng, middle, rises), prior, likelihood, rng)
    now, limit, rate, power, noise = sample.T
    return Curves(
        figures.which, figures.last_pass, np.exp(now), np.exp(limit), np.exp(rate), power,
        np.exp(noise), _errors_ahead(figures),
    )  # fmt: skip


def _errors_ahead(figures: PassFigures) -> Array:
    """Points strewn over a face vary as the root of their number; contact much alike."""
    use = np.flatnonzero(figures.usable)[-LIKE_THE_LAST:]
    use = use if len(use) else np.arange(len(figures.passes))
    return np.asarray(figures.errors[use] / np.sqrt(np.maximum(figures.figures[use], SMALLEST)))


def _curve(now: Array, limit: Array, rate: Array, power: Array, ahead: Array) -> Array:
    """Curves (m, k) at passes ahead of the last (k,); now and limit as logarithms."""
    q = np.where(np.abs(power) < 1e-3, 1e-3, power)[:, None]
    missing = -np.expm1(np.clip(q[:, 0] * (now - limit), -60, 60))[:, None]
    left = np.exp(np.clip(-rate[:, None] * ahead[None, :], -30, 30))
    share = np.maximum(1 - missing * left, 1e-12)
    return np.asarray(np.exp(np.clip(limit[:, None] + np.log(share) / q, -14, 14)))


def _likelihood(sample: Array, ago: Array, seen: Array, errors: Array) -> Array:
    now, limit, rate, power, noise = sample.T
    curve = _curve(now, limit, np.exp(rate), power, -ago)
    scale = np.hypot(np.exp(noise)[:, None] * errors, DRIFT * seen * np.sqrt(ago))
    off = (seen - curve) / scale
    good = np.log1p(-BAD) - np.log(scale) - (TAIL + 1) / 2 * np.log1p(off**2 / TAIL)
    wide = np.hypot(BAD_SCALE * seen, errors)
    bad = np.log(BAD) - np.log(wide) - 0.5 * ((seen - curve) / wide) ** 2
    return np.asarray(np.logaddexp(good, bad).sum(axis=1))


def _prior(sample: Array, middle: float, rises: bool) -> Array:
    now, limit, rate, power, noise = sample.T
    known = -0.5 * ((rate - RATE[0]) / RATE[1]) ** 2 - 0.5 * ((noise - NOISE[0]) / NOISE[1]) ** 2
    known -= 0.5 * (now - middle) ** 2
    if rises:
        known -= 0.5 * ((limit - LIMIT_POINTS[0]) / LIMIT_POINTS[1]) ** 2
    else:
        known -= 0.5 * ((limit - now) / LIMIT_CONTACT) ** 2
    allowed = (
        (power > POWER[0])
        & (power < POWER[1])
        & ((limit > now) if rises else (limit < np.log(100.0)))
    )
    return np.where(allowed, known, -np.inf)


def _start(rng: np.random.Generator, middle: float, rises: bool) -> Array:
    """Draw from what is known before any print."""
    drawn = np.empty((0, 5))
    while len(drawn) < SAMPLES:
        normal = rng.standard_normal((2 * SAMPLES, 5))
        now = middle + normal[:, 0]
        level, spread = LIMIT_POINTS
        limit = level + spread * normal[:, 1] if rises else now + LIMIT_CONTACT * normal[:, 1]
        rate = RATE[0] + RATE[1] * normal[:, 2]
        power = rng.uniform(*POWER, len(normal))
        noise = NOISE[0] + NOISE[1] * normal[:, 4]
        fresh = np.column_stack((now, limit, rate, power, noise))
        drawn = np.vstack((drawn, fresh[np.isfinite(_prior(fresh, middle, rises))]))
    return drawn[:SAMPLES]


def _tempered(
    sample: Array,
    prior: Callable[[Array], Array],
    likelihood: Callable[[Array], Array],
    rng: np.random.Generator,
) -> Array:
    """Lead a sample of the prior to one of the posterior, the prints weighing more and more."""
    told, heat = likelihood(sample), 0.0
    while heat < 1:
        step = _step(told, 1 - heat)
        heat += step
        chosen = _resampled(step * told, rng)
        sample, told = sample[chosen], told[chosen]
        before = prior(sample)
        spread = np.linalg.cholesky(np.cov(sample.T) + 1e-9 * np.eye(sample.shape[1]))
        for scale in np.geomspace(1.0, 0.3, MOVES):
            moved = sample + scale * rng.standard_normal(sample.shape) @ spread.T
            known, fits = prior(moved), likelihood(moved)
            gain = known - before + heat * (fits - told)
            taken = np.log(rng.random(len(sample))) < gain
            sample = np.where(taken[:, None], moved, sample)
            before, told = np.where(taken, known, before), np.where(taken, fits, told)
    return sample


def _step(told: Array, left: float) -> float:
    """Return the largest step of heat after which half of the samples still count."""
    low, high = 0.0, left
    if _counting(left * told) >= 0.5 * len(told):
        return left
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if _counting(middle * told) >= 0.5 * len(told) else (low, middle)
    return max(low, 1e-6)


def _counting(logs: Array) -> float:
    weights = np.exp(logs - logs.max())
    return float(weights.sum() ** 2 / (weights**2).sum())


def _resampled(logs: Array, rng: np.random.Generator) -> NDArray[np.intp]:
    weights = np.exp(logs - logs.max())
    places = (rng.random() + np.arange(len(logs))) / len(logs)
    return np.minimum(np.searchsorted(np.cumsum(weights) / weights.sum(), places), len(logs) - 1)
