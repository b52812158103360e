"""What to do on the next pass: which points to take, in which order, and what to leave alone."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing.components import BARE
from scrapeview.columns import table
from scrapeview.judge.around import around_points, contact_map, neighbours
from scrapeview.judge.laid import FaceGrid, LaidPrint, Mask, grid_for, lay
from scrapeview.judge.places import large_marks, open_space, table_of_places
from scrapeview.judge.stage import (
    Stage,
    StageName,
    Stroke,
    disc_mm,
    pitch_mm,
    sized_for_percent,
    stage_of,
    stroke_for,
)
from scrapeview.judge.usable import film_criterion
from scrapeview.judge.verdict import ASKS_BEARING, JudgedPrint, judge_face
from scrapeview.result import Reading
from scrapeview.targets import ASKED_BY_NAME, Target

Halt = Literal["", "done", "no print", "heavy film"]

SPARSE_SHARE = 0.5
"""A square inch with less than this share of the face's contact lies low: it is left alone."""
SMALLEST_SPARSE_MM = 10.0
LARGE_AREA = 2.0
"""A point with this many times the area that one point should carry is large: it makes two."""
CROWDED = 1.25
"""Points in a square inch, of what is wanted and of what the face has, from which it is crowded."""
BARE_PITCHES = 2.5
"""Spacings across which nothing bears, from which a place is bare where a target does not say."""
MOST_TAKEN: dict[StageName, float] = {
    "rough": 1.0,
    "spacing out": 1 / 2,
    "finish": 1 / 3,
    "single points": 1 / 10,
}
"""Share of the points that one pass takes at most, on the whole and in the square inch around each of
them: what is left carries the next print, which then shows what the strokes did. Our suggestions."""


@dataclass(frozen=True, eq=False)
class NextPass:
    """What to do on the next pass.

    Parameters
    ----------
    halt : str
        Why nothing is to be taken: "done", "no print", "heavy film" (print again first); else "".
    points : DataFrame
        Columns of the table "to_take", one row a point: those to take by rank, then those for
        later, then the others by number. what: "take", "later", "leave" or "". why: "hollow",
        "merged", "large", "crowded"; "sparse", "hollow, sparse", "enough", "done"; or "ordinary".
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

    @property
    def to_take(self) -> pd.DataFrame:
        """The rows of the points to take on this pass, in their order."""
        return self.points[self.points["what"] == "take"]


def next_pass(
    reading: Reading,
    target: Target,
    *,
    done: bool | None = None,
    washed_out: Mask | None = None,
) -> NextPass:
    """Return what to do on the next pass.

    Hollow points come first, since they are rubbed hardest; then large ones and patches, the
    largest first; then those of crowded places. Where the face bears less than half of what it
    bears on the whole, everything is left: it comes up when what is around it goes down.

    Parameters
    ----------
    reading : Reading
        Of the last print.
    target : Target
    done : bool, optional, keyword-only
        Whether the face was judged done; without it the figures of this print decide.
    washed_out : (h, w) bool, optional, keyword-only
        Pixels of the reading's own mask that glare has emptied.

    Returns
    -------
    NextPass
    """
    grid = grid_for([reading])
    laid = lay(reading, grid, washed_out=washed_out)
    halt = _halt(reading, target, meets(reading, target) if done is None else done)
    large = large_mm(reading, target)
    around = around_points(reading.points[["x_mm", "y_mm"]].to_numpy(), laid)
    ranked = reading.points.assign(
        around_ppsi=around.ppsi, around_contact_percent=around.contact_percent
    )
    stage = None if halt else stage_of(reading, target)
    share = MOST_TAKEN[stage.name] if stage else 0.0
    what, why = _sorted_out(ranked, reading, target, large)
    if halt:
        what[:], why[:] = "leave", halt
    order = ranking(ranked, why)
    order = order[what[order] == "take"]
    what = _within(what, order, ranked, share)
    bare, sparse = _places_to_leave(laid, reading, target)
    return NextPass(
        halt=halt,
        points=_points_table(ranked, what, why, order),
        bare=table_of_places(bare, grid, BARE),
        sparse=table_of_places(sparse, grid, BARE),
        leave=bare | sparse,
        grid=grid,
        stage=stage,
        stroke=stroke_for(reading, target, stage) if stage else None,
        most_percent=100 * share,
        large_mm=large,
    )


def meets(reading: Reading, target: Target) -> bool:
    """Return whether all figures of a print clear its target, another print's agreement aside."""
    if not any(getattr(target, name) is not None for name in ASKS_BEARING):
        return False
    verdict = judge_face([JudgedPrint(1, 1, "", reading)], target)
    figures = set(ASKED_BY_NAME) - {"prints_apart_most_percent"}
    return all(one.stands == "clears" for one in verdict.criteria if one.name in figures)


def large_mm(reading: Reading, target: Target) -> float:
    """Return the diameter from which a point is large, mm; NaN where nothing says.

    It is that of twice the area which one point of the lattice wanted carries; where no points are
    asked for, of twice the print's own median.
    """
    if target.ppsi_least:
        typical = disc_mm(target.ppsi_least, sized_for_percent(reading, target))
    else:
        typical = reading.evenness.median_diameter_mm or np.nan
    return float(np.sqrt(LARGE_AREA) * typical)


def ranking(points: pd.DataFrame, why: NDArray[np.str_]) -> NDArray[np.intp]:
    """Return the rows of points in the order to take them.

    Hollow ones, then patches and large ones by size, then crowded ones by how crowded; among equals
    the larger, the more crowded, the higher up and the further left goes first.
    """
    crowding = np.nan_to_num(points["around_ppsi"].to_numpy())
    size = np.round(points["diameter_mm"].to_numpy(), 6)
    crowded_only = why == "crowded"
    first = np.select([points["hollow"].to_numpy(), ~crowded_only], [0, 1], 2)
    keys = (
        points["x_mm"], points["y_mm"],
        np.where(crowded_only, -size, -crowding), np.where(crowded_only, -crowding, -size), first,
    )  # fmt: skip
    return np.lexsort([np.asarray(key, dtype=np.float64) for key in keys])


def _halt(reading: Reading, target: Target, done: bool) -> Halt:
    if not reading.is_print:
        return "no print"
    film = film_criterion(reading, target)
    if film is not None and film.stands == "cannot tell":
        return "heavy film"
    return "done" if done else ""


def _sorted_out(
    points: pd.DataFrame, reading: Reading, target: Target, large: float
) -> tuple[NDArray[np.object_], NDArray[np.object_]]:
    """What is to be done with each point and why, before it is known how many may be taken."""
    ppsi, contact = points["around_ppsi"].to_numpy(), points["around_contact_percent"].to_numpy()
    hollow, merged = points["hollow"].to_numpy(), points["merged"].to_numpy()
    sparse = contact < SPARSE_SHARE * reading.contact_percent
    wanted = target.ppsi_least or 0.0
    crowded = ppsi > CROWDED * max(wanted, reading.points_per_square_inch)
    enough = _bears_enough(ppsi, contact, target) & ~crowded & ~merged
    cases: list[tuple[NDArray[np.bool_], str, str]] = [
        (hollow & sparse, "leave", "hollow, sparse"),
        (sparse, "leave", "sparse"),
        (hollow, "take", "hollow"),
        (enough, "leave", "enough"),
        (merged, "take", "merged"),
        (points["diameter_mm"].to_numpy() >= large, "take", "large"),
        (crowded, "take", "crowded"),
    ]
    told = [case for case, _, _ in cases]
    what = np.select(told, [np.full(len(points), w, object) for _, w, _ in cases], "")
    why = np.select(told, [np.full(len(points), y, object) for _, _, y in cases], "ordinary")
    return what, why


def _bears_enough(
    ppsi: NDArray[np.float64], contact: NDArray[np.float64], target: Target
) -> NDArray[np.bool_]:
    """Where the square inch around a point bears what is asked of the whole face, and no more."""
    if target.ppsi_least is None:
        return np.zeros(len(ppsi), dtype=bool)
    low, high = target.contact_least_percent or 0.0, target.contact_most_percent or 100.0
    return np.asarray((ppsi >= target.ppsi_least) & (contact >= low) & (contact <= high))


def _within(
    what: NDArray[np.object_], order: NDArray[np.intp], points: pd.DataFrame, share: float
) -> NDArray[np.object_]:
    """Put off what is too many for one pass; hollow points never are."""
    near = neighbours(points[["x_mm", "y_mm"]].to_numpy())
    hollow = points["hollow"].to_numpy()
    taken = np.zeros(len(points), dtype=bool)
    most = np.ceil(share * len(points))
    for row in order:
        beside = near[row]
        room = taken.sum() < most and taken[beside].sum() < np.ceil(share * len(beside))
        taken[row] = hollow[row] or room
    what = what.copy()
    what[order[~taken[order]]] = "later"
    return what


def _points_table(
    points: pd.DataFrame,
    what: NDArray[np.object_],
    why: NDArray[np.object_],
    order: NDArray[np.intp],
) -> pd.DataFrame:
    taken = what[order] == "take"
    order = np.concatenate((order[taken], order[~taken]))
    rank = np.zeros(len(points), dtype=np.int32)
    rank[order] = np.arange(1, len(order) + 1)
    caution = np.select(
        [points["edge"], points["glare"], points["faint"]], ["edge", "glare", "faint"], ""
    )
    rows = np.concatenate((order, np.flatnonzero(rank == 0)))
    values = points.iloc[rows]
    return table(
        "to_take",
        {
            "rank": rank[rows], "number": rows + 1, "what": what[rows], "why": why[rows],
            "caution": caution[rows],
            **{name: values[name] for name in (
                "x_mm", "y_mm", "diameter_mm", "around_ppsi", "around_contact_percent",
            )},
        },
    )  # fmt: skip


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
