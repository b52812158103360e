"""Whether a face has stopped gaining: three passes without gain beyond what errors explain.

A straight line through the last four passes, with the readings' own errors after Student so that
one bad print decides nothing, says how much the three passes between gained.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from scrapeview.judge.forecast.clearing import asked_of
from scrapeview.judge.forecast.pass_figures import PassFigures, Which, pass_figures
from scrapeview.judge.forecast.progress_model import TAIL
from scrapeview.targets import Target

PASSES = 3
"""Without gain, before a stall is called one."""
WORTH = 0.08
"""Gain over the three passes, of the figure, that is worth the name."""
SURE = 0.65
"""Chance of less than that from which it counts as a stall."""
WIDEST = 0.6
"""Gain or loss over the three passes that is thought of, of the figure."""
_LEVELS = np.linspace(-0.4, 0.4, 81)
_GAINS = np.linspace(-WIDEST, WIDEST, 121)


@dataclass(frozen=True, kw_only=True)
class Gain:
    """What the last three passes gained towards the target, of one figure.

    Parameters
    ----------
    which : {"points", "contact"}
    percent : float
        Gain over the three passes, of the figure; below 0 it moved away.
    chance_of_none : float
        Chance that it gained less than is worth the name.
    """

    which: Which
    percent: float
    chance_of_none: float


@dataclass(frozen=True, kw_only=True)
class Stall:
    """Whether a face has stopped gaining.

    Parameters
    ----------
    stalled : bool
        Whether nothing that is still short of its target gains.
    gains : tuple of Gain
        Of what is asked, still short and has four usable passes.
    passes : tuple of int
        Numbers of the first and last pass that were looked at; (0, 0) where there are too few.
    """

    stalled: bool
    gains: tuple[Gain, ...]
    passes: tuple[int, int]


def stall_of(progress: pd.DataFrame, target: Target) -> Stall:
    """Return whether a face has stopped gaining; a figure that lies on target needs no gain.

    Parameters
    ----------
    progress : DataFrame
        Columns of the table "passes", rows in any order.
    target : Target
    """
    both = [pass_figures(progress, which) for which in ("points", "contact")]
    short = [figures for figures in both if _is_short(figures, target)]
    seen = [figures for figures in short if figures.usable_passes > PASSES]
    gains = tuple(_gain(figures, target) for figures in seen)
    stalled = bool(gains) and all(gain.chance_of_none >= SURE for gain in gains)
    span = (0, 0)
    if seen:
        used = seen[0].passes[seen[0].usable][-PASSES - 1 :]
        span = (int(used[0]), int(used[-1]))
    return Stall(stalled=stalled, gains=gains, passes=span)


def _is_short(figures: PassFigures, target: Target) -> bool:
    """Whether the last usable print's figure itself, whatever its error, is off the target."""
    least, most = asked_of(target, figures.which)
    if (least is None and most is None) or not figures.usable_passes:
        return False
    last = float(figures.figures[figures.usable][-1])
    return (least is not None and last < least) or (most is not None and last > most)


def _gain(figures: PassFigures, target: Target) -> Gain:
    use = np.flatnonzero(figures.usable)[-PASSES - 1 :]
    passes, seen, errors = (a[use] for a in (figures.passes, figures.figures, figures.errors))
    middle = float(np.median(seen))
    if middle <= 0:
        return Gain(which=figures.which, percent=0.0, chance_of_none=1.0)
    at = (passes - passes.mean()) / PASSES
    line = _LEVELS[:, None, None] + _GAINS[None, :, None] * at
    off = ((seen - middle) / middle - line) * middle / errors
    fits = -(TAIL + 1) / 2 * np.log1p(off**2 / TAIL).sum(axis=2)
    chance = np.exp(fits - fits.max()).sum(axis=0)
    chance /= chance.sum()
    most = asked_of(target, figures.which)[1]
    towards = -_GAINS if most is not None and seen[-1] > most else _GAINS
    return Gain(
        which=figures.which,
        percent=100 * float(chance @ towards),
        chance_of_none=float(chance[towards < WORTH].sum()),
    )
