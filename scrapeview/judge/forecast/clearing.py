"""When a print will clear a target: curves followed ahead pass by pass, and counted out."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy import stats

from scrapeview.judge.forecast.pass_figures import FIGURE_COLUMNS, READING_Z, Which
from scrapeview.judge.forecast.progress_model import DRIFT, Array, Curves
from scrapeview.judge.verdict.criteria import RISK
from scrapeview.targets import Target

HORIZON = 30
"""Passes ahead that are looked at; what takes longer is not reached with this way of working."""
BOUND_Z = float(stats.norm.ppf(1 - RISK))
"""A print clears a target by its one-sided bound at the verdict's risk, in standard errors."""
DRIFTING = 6.0
"""Passes ahead over which a wrong curve goes on growing wrong."""
Chosen = NDArray[np.bool_]


@dataclass(frozen=True)
class Needed:
    """How much more is needed, with its interval.

    Parameters
    ----------
    low, middle, high : float or None
        None where it is not reached at this rate; an interval may be open upwards.
    """

    low: float | None
    middle: float | None
    high: float | None


UNKNOWN = Needed(None, None, None)
NONE_NEEDED = Needed(0.0, 0.0, 0.0)


def asked_of(target: Target, which: Which) -> tuple[float | None, float | None]:
    """Return the least and the most a target asks of one figure, None where it does not."""
    if which == "points":
        return target.ppsi_least, None
    return target.contact_least_percent, target.contact_most_percent


def is_there(progress: pd.DataFrame, which: Which, target: Target) -> bool:
    """Return whether every print of the last pass clears the target by its bounds.

    Parameters
    ----------
    progress : DataFrame
        Columns of the table "passes", rows in any order.
    which : {"points", "contact"}
    target : Target
    """
    last = progress[progress["number"] == progress["number"].max()]
    reliable = last["is_print"] & (last["count_reliable"] | (which == "contact"))
    figure, low, high = (last[name].to_numpy(dtype=np.float64) for name in FIGURE_COLUMNS[which])
    # half widths shrink as the verdict's do from the readings' 95 % to its one-sided risk
    share = BOUND_Z / READING_Z
    least, most = asked_of(target, which)
    clear = np.isfinite(low) & np.isfinite(high) & reliable.to_numpy(dtype=bool)
    if least is not None:
        clear &= figure - share * (figure - low) >= least
    if most is not None:
        clear &= figure + share * (high - figure) <= most
    return bool(len(clear) and clear.all())


def followed(curves: Curves, rng: np.random.Generator) -> Array:
    """Return the face itself (m, HORIZON) on the passes ahead, curves growing wrong on the way."""
    ahead = np.arange(1, HORIZON + 1)
    wrong = DRIFT * np.sqrt(np.minimum(ahead, DRIFTING)) * rng.standard_normal((len(curves.now), 1))
    return np.asarray(curves.at(curves.now_pass + ahead) * np.exp(wrong))


def clears(face: Array, curves: Curves, target: Target, rng: np.random.Generator) -> Chosen:
    """Return whether the prints (m, HORIZON) of a face ahead clear the target by their bounds."""
    error = rng.choice(curves.errors, face.shape) * np.sqrt(face)
    read = face + curves.noise[:, None] * error * rng.standard_normal(face.shape)
    return _clear(read, error, asked_of(target, curves.which))


def _clear(figure: Array, error: Array, asked: tuple[float | None, float | None]) -> Chosen:
    least = -np.inf if asked[0] is None else asked[0]
    most = np.inf if asked[1] is None else asked[1]
    margin = BOUND_Z * error
    return np.asarray((figure - margin >= least) & (figure + margin <= most))


def first_pass(cleared: Chosen) -> NDArray[np.int64]:
    """Return the first pass ahead, from 1, that clears; HORIZON + 1 where none does."""
    first = np.argmax(cleared, axis=1) + 1
    return np.where(cleared.any(axis=1), first, HORIZON + 1)


def chances_of(first: NDArray[np.int64]) -> Array:
    """Return the chance of each number of passes from 1 to HORIZON, and last of none of them."""
    return np.asarray(np.bincount(first, minlength=HORIZON + 2)[1:] / len(first))


def needed(first: NDArray[np.int64], confidence: float) -> Needed:
    """Return the passes needed: the median, and the interval at that confidence.

    Whole passes hold an interval more often than it says. Its ends are therefore those passes of
    which at least half of the chance lies inside (mid-P; H. O. Lancaster, Significance tests in
    discrete distributions, J. Am. Stat. Assoc. 56 (1961) 223; from memory).
    """
    chance = chances_of(first)
    up_to = np.cumsum(chance)
    tail = (1 - confidence) / 2
    inside = np.abs(up_to - chance / 2 - 0.5) <= 0.5 - tail
    middle = int(np.searchsorted(up_to, 0.5))
    held = np.flatnonzero(inside & (chance > 0))
    low, high = min([middle, *held[:1]]), max([middle, *held[-1:]])
    return Needed(*(float(n + 1) if n < HORIZON else None for n in (low, middle, high)))


def quantiles(values: Array, confidence: float) -> Needed:
    """Return median and interval of amounts; infinite ones are not reached."""
    tail = (1 - confidence) / 2
    low, middle, high = np.quantile(values, (tail, 0.5, 1 - tail), method="inverted_cdf")
    return Needed(*(float(v) if np.isfinite(v) else None for v in (low, middle, high)))
