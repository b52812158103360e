"""Which points of a print to take, in which order, and how many in one pass."""

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.columns import table
from scrapeview.judge.next.around import Around, neighbours
from scrapeview.judge.next.stage import disc_mm, sized_for_percent
from scrapeview.result import Reading
from scrapeview.targets import Target
from scrapeview.units import MM2_PER_SQUARE_INCH

Codes = NDArray[np.object_]
Flags = NDArray[np.bool_]
Rows = NDArray[np.intp]

SPARSE_SHARE = 0.5
"""A square inch with less than this share of the face's contact lies low: it is left alone."""
LARGE_AREA = 2.0
"""A point with this many times the area that one point should carry is large: it makes two."""
CROWDED = 1.25
"""Points in a square inch, of what is wanted and of what the face has, from which it is crowded."""


def points_to_take(
    reading: Reading, target: Target, around: Around, share: float, halt: str
) -> pd.DataFrame:
    """Return the table "to_take" of a print.

    Parameters
    ----------
    reading : Reading
    target : Target
    around : Around
        Of the reading's points.
    share : float
        Of the points that one pass takes at most, 0-1.
    halt : str
        Why nothing is to be taken, "" where something is.
    """
    points = reading.points.assign(
        around_ppsi=around.ppsi, around_contact_percent=around.contact_percent
    )
    what, why = _sorted_out(points, reading, target)
    if halt:
        what[:], why[:] = "leave", halt
    order = ranking(points, why)
    order = order[what[order] == "take"]
    return _points_table(points, _within(what, order, points, share), why, order)


def large_mm(reading: Reading, target: Target) -> float:
    """Return the diameter from which a point is large, mm; NaN where nothing says.

    It is that of twice the area which one point of the lattice wanted carries; where no points are
    asked for, of twice the print's own median.
    """
    return float(np.sqrt(LARGE_AREA) * _typical_mm(reading, target))


def ranking(points: pd.DataFrame, why: Codes) -> Rows:
    """Return the rows of points in the order to take them.

    Hollow ones, then patches and large ones by size, then crowded ones by how crowded, then the
    largest of the rest by size; among equals the larger, the more crowded, the further left and the
    higher up goes first.
    """
    crowding = np.round(np.nan_to_num(points["around_ppsi"].to_numpy()), 6)
    size = np.round(points["diameter_mm"].to_numpy(), 6)
    crowded = why == "crowded"
    first = np.select([points["hollow"].to_numpy(), crowded, why == "largest"], [0, 2, 3], 1)
    by_crowding = crowded & (first == 2)
    keys = (
        points["y_mm"], points["x_mm"], np.where(by_crowding, -size, -crowding),
        np.where(by_crowding, -crowding, -size), first,
    )  # fmt: skip
    return np.lexsort([np.asarray(key, dtype=np.float64) for key in keys])


def _typical_mm(reading: Reading, target: Target) -> float:
    if target.ppsi_least:
        return disc_mm(target.ppsi_least, sized_for_percent(reading, target))
    return reading.evenness.median_diameter_mm or np.nan


def _sorted_out(points: pd.DataFrame, reading: Reading, target: Target) -> tuple[Codes, Codes]:
    """What is to be done with each point and why, before it is known how many may be taken."""
    ppsi, contact = points["around_ppsi"].to_numpy(), points["around_contact_percent"].to_numpy()
    hollow, merged = points["hollow"].to_numpy(), points["merged"].to_numpy()
    sparse = contact < SPARSE_SHARE * reading.contact_percent
    wanted = target.ppsi_least or 0.0
    crowded = ppsi > CROWDED * max(wanted, reading.points_per_square_inch)
    enough = _bears_enough(ppsi, contact, target) & ~crowded & ~merged
    cases: list[tuple[Flags, str, str]] = [
        (hollow & sparse, "leave", "hollow, sparse"),
        (sparse, "leave", "sparse"),
        (hollow, "take", "hollow"),
        (enough, "leave", "enough"),
        (merged, "take", "merged"),
        (points["diameter_mm"].to_numpy() >= large_mm(reading, target), "take", "large"),
        (crowded, "take", "crowded"),
    ]
    told = [case for case, _, _ in cases]
    what = np.select(told, [np.full(len(points), w, object) for _, w, _ in cases], "")
    why = np.select(told, [np.full(len(points), y, object) for _, _, y in cases], "ordinary")
    more = _largest_of_the_rest(points, why, reading, target)
    what[more], why[more] = "take", "largest"
    return what, why


def _bears_enough(ppsi: NDArray[np.float64], contact: NDArray[np.float64], target: Target) -> Flags:
    """Where the square inch around a point bears what is asked of the whole face, and no more."""
    if target.ppsi_least is None:
        return np.zeros(len(ppsi), dtype=bool)
    low, high = target.contact_least_percent or 0.0, target.contact_most_percent or 100.0
    return np.asarray((ppsi >= target.ppsi_least) & (contact >= low) & (contact <= high))


def _largest_of_the_rest(
    points: pd.DataFrame, why: Codes, reading: Reading, target: Target
) -> Rows:
    """Rows of further points to part where those sorted out do not make up for what is missing.

    Each point that is parted makes two, so that as many are needed as points are missing. One that
    is already as small as wanted is not parted, unless all are.
    """
    if not target.ppsi_least:
        return np.empty(0, dtype=np.intp)
    missing = target.ppsi_least * reading.area_mm2 / MM2_PER_SQUARE_INCH - len(points)
    needed = int(np.ceil(missing)) - int(np.isin(why, ("hollow", "merged", "large")).sum())
    diameter = points["diameter_mm"].to_numpy()
    least = min(_typical_mm(reading, target), reading.evenness.median_diameter_mm)
    short = points["around_ppsi"].to_numpy() < target.ppsi_least
    fit = (why == "ordinary") & short & (diameter >= least)
    by_size = ranking(points, np.full(len(points), "largest", dtype=object))
    # hollow points come first there, and none of them is ordinary
    return by_size[fit[by_size]][: max(0, needed)]


def _within(what: Codes, order: Rows, points: pd.DataFrame, share: float) -> Codes:
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


def _points_table(points: pd.DataFrame, what: Codes, why: Codes, order: Rows) -> pd.DataFrame:
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
