"""What to do on the next pass: which points to take, in which order, and what to leave alone."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd

from scrapeview.bearing.components import BARE
from scrapeview.judge.compare.laid import FaceGrid, LaidPrint, Mask, grid_for, lay
from scrapeview.judge.compare.places import large_marks, open_space, table_of_places
from scrapeview.judge.next.around import around_points, contact_map
from scrapeview.judge.next.stage import (
    Stage,
    StageName,
    Stroke,
    pitch_mm,
    stage_of,
    stroke_for,
)
from scrapeview.judge.next.to_take import SPARSE_SHARE, large_mm, points_to_take
from scrapeview.judge.verdict.judged_face import ASKS_BEARING, JudgedPrint, judge_face
from scrapeview.judge.verdict.usable import film_criterion
from scrapeview.result import Reading
from scrapeview.targets import ASKED_BY_NAME, Target

Halt = Literal["", "done", "enough", "no print", "heavy film"]

SMALLEST_SPARSE_MM = 10.0
"""Diameter of the disc of whose area a place must be to be told."""
BARE_PITCHES = 2.5
"""Spacings across which nothing bears, from which a place is bare where a target does not say."""
MOST_TAKEN: dict[StageName, float] = {
    "rough": 1.0,
    "spacing out": 1 / 2,
    "finish": 1 / 3,
    "single points": 1 / 10,
}
"""Share of the points that one pass takes at most, on the whole and in the square inch around each:
what is left carries the next print, which then shows what the strokes did. Our suggestions."""


@dataclass(frozen=True, eq=False)
class NextPass:
    """What to do on the next pass.

    Parameters
    ----------
    halt : str
        Why nothing is to be taken: "done"; "enough" (this print reaches all that is asked, another
        has to confirm it); "no print", "heavy film" (print again first); else "".
    points : DataFrame
        Columns of the table "to_take", one row a point: those to take by rank, then those for
        later, then the others by number. what: "take", "later", "leave" or "". why: "hollow",
        "merged", "large", "crowded", "largest" (of the rest); "sparse", "hollow, sparse",
        "enough" or what `halt` says; else "ordinary".
        caution: "edge", "glare", "faint" or "".
    bare, sparse : DataFrame
        Columns of the table "places": what to leave because nothing or too little bears there.
    leave : (h, w) bool
        Those places on the grid.
    grid : FaceGrid
    stage : Stage or None
        None where there is nothing to do.
    stroke : Stroke or None
    most_percent : float
        Share of the points that this pass takes at most.
    large_mm : float
        Diameter from which a point is large; NaN where nothing says.
    contact_short : (float, float) or None
        Contact found and asked for, percent, where it falls short of what is asked.
    """

    halt: Halt
    points: pd.DataFrame
    bare: pd.DataFrame
    sparse: pd.DataFrame
    leave: Mask
    grid: FaceGrid
    stage: Stage | None
    stroke: Stroke | None
    most_percent: float
    large_mm: float
    contact_short: tuple[float, float] | None = None

    @property
    def to_take(self) -> pd.DataFrame:
        """The rows of the points to take on this pass, in their order."""
        return self.points[self.points["what"] == "take"]


def next_pass(
    reading: Reading,
    target: Target,
    *,
    done: bool = False,
    washed_out: Mask | None = None,
) -> NextPass:
    """Return what to do on the next pass.

    Hollow points come first, since they are rubbed hardest; then large ones and patches, the
    largest first; then those of crowded places; then, where points are missing, the largest of the
    rest. Where the face bears less than half of what it
    bears on the whole, everything is left: it comes up when what is around it goes down.

    Parameters
    ----------
    reading : Reading
        Of the last print.
    target : Target
    done : bool, keyword-only
        Whether the face was judged done.
    washed_out : (h, w) bool, optional, keyword-only
        Pixels of the reading's own mask that glare has emptied.

    Returns
    -------
    NextPass
    """
    grid = grid_for([reading])
    laid = lay(reading, grid, washed_out=washed_out)
    halt = _halt(reading, target, done)
    around = around_points(reading.points[["x_mm", "y_mm"]].to_numpy(), laid)
    stage = None if halt else stage_of(reading, target)
    share = MOST_TAKEN[stage.name] if stage else 0.0
    bare, sparse = _places_to_leave(laid, reading, target)
    return NextPass(
        halt=halt,
        points=points_to_take(reading, target, around, share, halt),
        bare=table_of_places(bare, grid, BARE),
        sparse=table_of_places(sparse, grid, BARE),
        leave=bare | sparse,
        grid=grid,
        stage=stage,
        stroke=stroke_for(reading, target, stage) if stage else None,
        most_percent=100 * share,
        large_mm=large_mm(reading, target),
        contact_short=_contact_short(reading, target),
    )


def meets(reading: Reading, target: Target) -> bool:
    """Return whether all figures of a print clear its target, another print's agreement aside."""
    if not any(getattr(target, name) is not None for name in ASKS_BEARING):
        return False
    verdict = judge_face([JudgedPrint(1, 1, "", reading)], target)
    figures = set(ASKED_BY_NAME) - {"prints_apart_most_percent"}
    return all(one.stands == "clears" for one in verdict.criteria if one.name in figures)


def _contact_short(reading: Reading, target: Target) -> tuple[float, float] | None:
    least = target.contact_least_percent
    if least is None or reading.contact_percent >= least:
        return None
    return reading.contact_percent, least


def _halt(reading: Reading, target: Target, done: bool) -> Halt:
    if not reading.is_print:
        return "no print"
    film = film_criterion(reading, target)
    if film is not None and film.stands == "cannot tell":
        return "heavy film"
    if done:
        return "done"
    return "enough" if meets(reading, target) else ""


def _places_to_leave(laid: LaidPrint, reading: Reading, target: Target) -> tuple[Mask, Mask]:
    """Where nothing bears, and where too little does."""
    if not reading.is_print:
        return np.zeros_like(laid.known), np.zeros_like(laid.known)
    bare = open_space(laid.known & ~laid.contact, laid.grid, _bare_mm(reading, target))
    low = contact_map(laid) < SPARSE_SHARE * reading.contact_percent
    return bare, large_marks(low & laid.known, laid.grid, SMALLEST_SPARSE_MM)


def _bare_mm(reading: Reading, target: Target) -> float:
    if target.bare_circle_most_mm:
        return target.bare_circle_most_mm
    return BARE_PITCHES * pitch_mm(target.ppsi_least or max(1.0, reading.points_per_square_inch))
