"""How many passes and hours a face still needs, from its prints so far.

Only points per square inch and contact are forecast: worst square and bare patch hang on single
places that the next pass takes, not on a trend.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.judge.forecast.clearing import (
    NONE_NEEDED,
    UNKNOWN,
    Chosen,
    Needed,
    asked_of,
    chances_of,
    clears,
    first_pass,
    followed,
    is_there,
    needed,
    quantiles,
)
from scrapeview.judge.forecast.hours import hours_for, hours_of
from scrapeview.judge.forecast.pass_figures import PassFigures, Which, pass_figures
from scrapeview.judge.forecast.progress_model import SEED, Array, Curves, curves_of
from scrapeview.targets import Target

FEWEST_PASSES = 3
CONFIDENCE = 0.8
SHOWN_AHEAD = 12
"""Passes ahead that a curve is drawn for, at most."""
FIGURES: tuple[Which, ...] = ("points", "contact")

State = Literal["there", "ahead", "never", "too few", "nothing asked"]
"""there: the last pass clears all. ahead: some passes more. never: more likely than not it is not
reached at this rate. too few: fewer than three passes to go by. nothing asked: neither points nor
contact."""


@dataclass(frozen=True, kw_only=True, eq=False)
class FigureForecast:
    """The curve of one figure and what it still needs.

    Parameters
    ----------
    which : {"points", "contact"}
    usable_passes : int
        Passes with a print that can be relied on for this figure.
    next_pass : int
        Number of the next pass.
    curve : DataFrame
        pass, middle, low, high: the face itself, from the first pass on to those ahead, in points
        per square inch or percent; no rows where there is no forecast.
    limit : Needed
        What the figure has come to by the last of the passes looked at.
    passes : Needed
        Passes until a print clears this figure's target alone.
    never_chance : float
        Chance that none does within the passes looked at; NaN where nothing is forecast.
    """

    which: Which
    usable_passes: int
    next_pass: int
    curve: pd.DataFrame
    limit: Needed
    passes: Needed
    never_chance: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Forecast:
    """How many passes and hours a face still needs.

    Parameters
    ----------
    state : {"there", "ahead", "never", "too few", "nothing asked"}
    target : Target
    confidence : float
        Of all intervals.
    last_pass : int
    passes : Needed
        Passes until one print clears all that is asked of points and contact.
    never_chance : float
        Chance that none does within the passes looked at with this way of working; NaN where
        there is no forecast.
    hours : Needed or None
        None where no hours were told.
    points, contact : FigureForecast
    short_of : tuple of {"points", "contact"}
        What is asked of and has too few usable passes.
    chances : (HORIZON + 1,) float
        Chance of each number of passes from 1 on, and last of none of them; empty where there is no
        forecast.
    """

    state: State
    target: Target
    confidence: float
    last_pass: int
    passes: Needed
    never_chance: float
    hours: Needed | None
    points: FigureForecast
    contact: FigureForecast
    short_of: tuple[Which, ...]
    chances: NDArray[np.float64]

    def of(self, which: Which) -> FigureForecast:
        """Return the forecast of one figure."""
        return self.points if which == "points" else self.contact


def forecast(progress: pd.DataFrame, target: Target, *, confidence: float = CONFIDENCE) -> Forecast:
    """Return what a face still needs until a print clears the target's points and contact.

    A print clears a target where its one-sided bound at the verdict's risk does. The curves go on
    as the prints have come along so far: with another stroke, film or reference they would not.

    Parameters
    ----------
    progress : DataFrame
        Columns of the table "passes", rows in any order.
    target : Target
    confidence : float
        Of the intervals.
    """
    figures = {which: pass_figures(progress, which) for which in FIGURES}
    asked = [w for w in FIGURES if asked_of(target, w) != (None, None)]
    short_of = tuple(w for w in asked if figures[w].usable_passes < FEWEST_PASSES)
    there = bool(asked) and all(is_there(progress, w, target) for w in asked)
    rng = np.random.default_rng(SEED)
    parts, cleared = {}, {}
    for which in FIGURES:
        parts[which], cleared[which] = _figure(figures[which], target, confidence, rng)
    state, passes, hours, chances = _state(asked, short_of, there), UNKNOWN, None, np.empty(0)
    if state == "there":
        passes, hours = NONE_NEEDED, NONE_NEEDED
    if state == "ahead":
        first = first_pass(np.logical_and.reduce([cleared[which] for which in asked]))
        passes, chances = needed(first, confidence), chances_of(first)
        hours = hours_for(hours_of(progress), first, confidence, rng)
        state = "never" if passes.middle is None else "ahead"
    return Forecast(
        state=state,
        target=target,
        confidence=confidence,
        last_pass=figures["points"].last_pass,
        passes=passes,
        never_chance=float(chances[-1]) if len(chances) else (0.0 if there else np.nan),
        hours=hours,
        points=parts["points"],
        contact=parts["contact"],
        short_of=short_of,
        chances=chances,
    )


def _state(asked: list[Which], short_of: tuple[Which, ...], there: bool) -> State:
    if not asked:
        return "nothing asked"
    if there:
        return "there"
    return "too few" if short_of else "ahead"


def _figure(
    figures: PassFigures, target: Target, confidence: float, rng: np.random.Generator
) -> tuple[FigureForecast, Chosen]:
    if figures.usable_passes < FEWEST_PASSES:
        nothing = FigureForecast(
            which=figures.which, usable_passes=figures.usable_passes,
            next_pass=figures.last_pass + 1,
            curve=_curve(np.empty(0), np.empty((1, 0)), confidence),
            limit=UNKNOWN, passes=UNKNOWN, never_chance=np.nan,
        )  # fmt: skip
        return nothing, np.empty((0, 0), dtype=bool)
    curves = curves_of(figures)
    ahead = followed(curves, rng)
    cleared = clears(ahead, curves, target, rng)
    first = first_pass(cleared)
    asked = asked_of(target, figures.which) != (None, None)
    found = FigureForecast(
        which=figures.which,
        usable_passes=figures.usable_passes,
        next_pass=figures.last_pass + 1,
        curve=_drawn(figures, curves, ahead, confidence),
        limit=quantiles(ahead[:, -1], confidence),
        passes=needed(first, confidence) if asked else UNKNOWN,
        never_chance=float(chances_of(first)[-1]) if asked else np.nan,
    )
    return found, cleared


def _drawn(figures: PassFigures, curves: Curves, ahead: Array, confidence: float) -> pd.DataFrame:
    past = np.arange(int(figures.passes[0]), curves.now_pass + 1)
    coming = curves.now_pass + np.arange(1, SHOWN_AHEAD + 1)
    face = np.hstack((curves.at(past), ahead[:, :SHOWN_AHEAD]))
    return _curve(np.concatenate((past, coming)), face, confidence)


def _curve(passes: Array | NDArray[np.int64], face: Array, confidence: float) -> pd.DataFrame:
    tail = (1 - confidence) / 2
    low, middle, high = np.quantile(face, (tail, 0.5, 1 - tail), axis=0)
    return pd.DataFrame(
        {"pass": np.asarray(passes, dtype=np.int64), "middle": middle, "low": low, "high": high}
    )
