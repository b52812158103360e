"""Which kind of scraping comes next, and how wide and how far apart its strokes: suggestions."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from scrapeview.result import Reading
from scrapeview.targets import Target
from scrapeview.units import MM_PER_INCH

StageName = Literal["rough", "spacing out", "finish", "single points"]

SIZED_PERCENT = (20.0, 60.0)
"""Contact that points are sized for at least and at most where a target does not say: our
suggestion. Above 60 % the discs of a square lattice all but touch."""

ROUGH_MERGED_PERCENT = 50.0
ROUGH_SHARE = 0.3
"""Of the points wanted: with fewer, patches are still broken up rather than points placed."""
SPACING_MERGED_PERCENT = 10.0
SPACING_SHARE = 0.7
SPACING_SPREAD_PERCENT = 45.0
"""Spread of the points between the squares from which evenness comes first, where a target does not
say. These limits are our suggestions."""
SPLIT_IN_ONE_PASS = 2.0
"""A pass parts a mark into about two: no pass is asked to place more than twice the points."""


@dataclass(frozen=True, kw_only=True)
class Stage:
    """Kind of scraping that is suggested, and the figure it rests on.

    Parameters
    ----------
    name : str
        "rough", "spacing out", "finish" or "single points".
    why : str
        "merged", "few points", "uneven", "nearly there", "last places" or "no target".
    figure, limit : float
        What was found and what it was held against; NaN where there is none. merged and uneven: %;
        else points per square inch.
    """

    name: StageName
    why: str
    figure: float
    limit: float


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """Strokes for a spacing of points: our suggestion, from a square lattice.

    Parameters
    ----------
    ppsi : float
        Points per square inch they are meant to leave.
    pitch_mm : float
        From one stroke's middle to the next: the spacing of the points.
    narrowest_mm : float
        Gap between two points of that lattice: a narrower stroke does not part a mark for good.
    widest_mm : float
        Diameter of one of its points: a wider stroke takes a whole point away.
    """

    ppsi: float
    pitch_mm: float
    narrowest_mm: float
    widest_mm: float


def pitch_mm(ppsi: float) -> float:
    """Return the spacing of a square lattice of `ppsi` points per square inch, mm."""
    return MM_PER_INCH / float(np.sqrt(ppsi))


def disc_mm(ppsi: float, contact_percent: float) -> float:
    """Return the diameter of the discs of a square lattice with that contact, mm."""
    return 2 * pitch_mm(ppsi) * float(np.sqrt(contact_percent / 100 / np.pi))


def sized_for_percent(reading: Reading, target: Target) -> float:
    """Return the contact that points are sized for: the face's own, within what is asked.

    Scraping parts points, and leaves contact about what it is.
    """
    least, most = SIZED_PERCENT
    most = min(most, target.contact_most_percent or most)
    least = min(most, target.contact_least_percent or least)
    return float(np.clip(reading.contact_percent, max(5.0, least), max(5.0, most)))


def stage_of(reading: Reading, target: Target) -> Stage:
    """Return the kind of scraping to go on with.

    Parameters
    ----------
    reading : Reading
        Of the last print.
    target : Target
    """
    wanted, found = target.ppsi_least, reading.points_per_square_inch
    merged, spread = reading.merged_percent, reading.evenness.cell_points_spread_percent
    if merged >= ROUGH_MERGED_PERCENT:
        return Stage(name="rough", why="merged", figure=merged, limit=ROUGH_MERGED_PERCENT)
    if wanted is not None and found < ROUGH_SHARE * wanted:
        return Stage(name="rough", why="few points", figure=found, limit=wanted)
    if merged >= SPACING_MERGED_PERCENT:
        return Stage(name="spacing out", why="merged", figure=merged, limit=SPACING_MERGED_PERCENT)
    if wanted is not None and found < SPACING_SHARE * wanted:
        return Stage(name="spacing out", why="few points", figure=found, limit=wanted)
    allowed = target.spread_most_percent
    allowed = SPACING_SPREAD_PERCENT if allowed is None else allowed
    if spread > allowed:
        return Stage(name="spacing out", why="uneven", figure=spread, limit=allowed)
    if wanted is None:
        return Stage(name="finish", why="no target", figure=found, limit=float("nan"))
    if found < wanted:
        return Stage(name="finish", why="nearly there", figure=found, limit=wanted)
    return Stage(name="single points", why="last places", figure=found, limit=wanted)


def stroke_for(reading: Reading, target: Target, stage: Stage) -> Stroke | None:
    """Return the strokes for the spacing wanted on the next pass; None without a point to go by.

    Parameters
    ----------
    reading : Reading
    target : Target
    stage : Stage
        Of `stage_of`: for single points the spacing is not changed any more.
    """
    ppsi = _asked_next(reading.points_per_square_inch, target.ppsi_least, stage)
    if ppsi <= 0:
        return None
    pitch, disc = pitch_mm(ppsi), disc_mm(ppsi, sized_for_percent(reading, target))
    return Stroke(ppsi=ppsi, pitch_mm=pitch, narrowest_mm=pitch - disc, widest_mm=disc)


def _asked_next(found: float, wanted: float | None, stage: Stage) -> float:
    most = SPLIT_IN_ONE_PASS * found
    if wanted is None:
        return most if stage.name == "rough" else found
    return min(wanted, most) if most > 0 else wanted
