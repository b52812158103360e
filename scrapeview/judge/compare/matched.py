"""Points that stayed, went and came between two prints of one face, and how many chance gives."""

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.columns import table
from scrapeview.judge.compare.chance import Chance, areas_by_chance, matches_by_chance
from scrapeview.judge.compare.change import Change, difference
from scrapeview.judge.compare.laid import LaidPrint, Mask, grid_for, lay
from scrapeview.judge.compare.pairs import nearest_pairs
from scrapeview.judge.compare.shift import NO_SHIFT, Shift, shift_between
from scrapeview.result import Reading

PICK_PX = 1.5
"""How far off a person picks corners and rims, px."""

Fate = Literal["stayed", "went", "came", "not known"]
FATES: tuple[Fate, ...] = ("stayed", "went", "came", "not known")


@dataclass(frozen=True, eq=False)
class Comparison:
    """Two prints of one face, compared in the face's coordinates.

    Parameters
    ----------
    shift : Shift
        How far the later print lay off the earlier one; taken out where it is clear.
    points : DataFrame
        One row a point: its `fate`; `x_mm`, `y_mm` and `diameter_mm` in the later print, those
        with `before_` in the earlier one, NaN where there is none; `apart_mm` between the two. All
        places lie in the earlier print's coordinates.
    stayed, went, came : int
        Points of each fate.
    not_known_before, not_known_after : int
        Points of the earlier and of the later print at a place the other one does not show.
    chance : Chance
        How many points would match if the prints had nothing to do with each other.
    stayed_mm2, went_mm2, came_mm2, known_mm2 : float
        Contact of each fate, and the area that both prints show.
    chance_mm2 : Chance
        How much contact would coincide by chance.
    before, after : LaidPrint
        Both on one grid, the later one moved back by the shift.
    contact_change : Change
        Change of the contact percentage.
    ppsi_change : Change
        Change of the points per square inch.
    count_reliable : bool
        Whether marks are apart enough in both prints for points to be told from each other.
    """

    shift: Shift
    points: pd.DataFrame
    stayed: int
    went: int
    came: int
    not_known_before: int
    not_known_after: int
    chance: Chance
    stayed_mm2: float
    went_mm2: float
    came_mm2: float
    known_mm2: float
    chance_mm2: Chance
    before: LaidPrint
    after: LaidPrint
    contact_change: Change
    ppsi_change: Change
    count_reliable: bool


def compare_prints(
    before: Reading,
    after: Reading,
    *,
    washed_out: tuple[Mask | None, Mask | None] = (None, None),
    shift: Shift | None = None,
) -> Comparison:
    """Compare two prints of one face.

    Parameters
    ----------
    before, after : Reading
        Readings in the same face's coordinates; scales and origins may differ.
    washed_out : pair of (h, w) bool, optional, keyword-only
        What glare has emptied of each, on its own mask; what is not given counts as known.
    shift : Shift, optional, keyword-only
        Of the later print, where it is known; else it is found from the contact maps.

    Returns
    -------
    Comparison
    """
    if shift is None:
        shift = shift_between(before, after, washed_out=washed_out)
    grid = grid_for((before, after))
    one = lay(before, grid, washed_out=washed_out[0])
    two = lay(after, grid, washed_out=washed_out[1], shift_mm=(shift.x_mm, shift.y_mm))
    first = _places(before, NO_SHIFT)
    second = _places(after, shift)
    reach_error_mm = registration_error_mm(before, after)
    pairs = nearest_pairs(first, second, reach_error_mm)
    seen = _seen(first, one, two), _seen(second, two, one)
    points = _points_table(first, second, pairs, seen)
    fate = points["fate"]
    both = one.known & two.known
    areas = [
        float(mask.sum()) * grid.square_mm2
        for mask in (
            one.contact & two.contact, one.contact & both & ~two.contact,
            two.contact & both & ~one.contact, both,
        )
    ]  # fmt: skip
    return Comparison(
        shift=shift,
        points=points,
        stayed=int((fate == "stayed").sum()),
        went=int((fate == "went").sum()),
        came=int((fate == "came").sum()),
        not_known_before=int(((fate == "not known") & points["x_mm"].isna()).sum()),
        not_known_after=int(((fate == "not known") & points["before_x_mm"].isna()).sum()),
        chance=matches_by_chance(first, second, one, two, reach_error_mm),
        stayed_mm2=areas[0],
        went_mm2=areas[1],
        came_mm2=areas[2],
        known_mm2=areas[3],
        chance_mm2=areas_by_chance(one, two),
        before=one,
        after=two,
        contact_change=difference(
            before.contact_percent, before.contact_interval,
            after.contact_percent, after.contact_interval,
        ),
        ppsi_change=difference(
            before.points_per_square_inch, before.ppsi_interval,
            after.points_per_square_inch, after.ppsi_interval,
        ),
        count_reliable=before.count_reliable and after.count_reliable,
    )  # fmt: skip


def registration_error_mm(before: Reading, after: Reading) -> float:
    """Return how far the same place may lie apart in two prints because of the picks of both."""
    return PICK_PX * float(np.hypot(before.plane.pick_error_mm, after.plane.pick_error_mm))


def _places(reading: Reading, shift: Shift) -> NDArray[np.float64]:
    """Places and diameters (N, 3) of a reading's points, mm."""
    places = reading.points[["x_mm", "y_mm", "diameter_mm"]].to_numpy(dtype=float)
    return np.asarray(places - (shift.x_mm, shift.y_mm, 0.0))


def _seen(places: NDArray[np.float64], own: LaidPrint, other: LaidPrint) -> Mask:
    """Which points lie, by middle and half of what their own print shows, in the other too."""
    if not len(places):
        return np.zeros(0, dtype=bool)
    turn = np.arange(8) * (np.pi / 4)
    ring = np.column_stack((np.cos(turn), np.sin(turn))) * np.sqrt(0.5) / 2
    spots = places[:, None, :2] + ring * places[:, None, 2:]
    here, there = (
        own.grid.holds(known, spots.reshape(-1, 2)).reshape(len(places), len(turn)).sum(axis=1)
        for known in (own.known, own.known & other.known)
    )
    # the middle of a point at the face's edge may lie on a square that is hardly face
    near = cv2.dilate(other.known.view(np.uint8), np.ones((3, 3), np.uint8)).astype(bool)
    return own.grid.holds(near, places[:, :2]) & (there >= 0.5 * here)


def _points_table(
    first: NDArray[np.float64],
    second: NDArray[np.float64],
    pairs: NDArray[np.intp],
    seen: tuple[Mask, Mask],
) -> pd.DataFrame:
    stayed = np.hstack((first[pairs[:, 0]], second[pairs[:, 1]]))
    lone_first = np.setdiff1d(np.arange(len(first)), pairs[:, 0])
    lone_second = np.setdiff1d(np.arange(len(second)), pairs[:, 1])
    nowhere = np.full((len(first) + len(second), 3), np.nan)
    only_before = np.hstack((first[lone_first], nowhere[: len(lone_first)]))
    only_after = np.hstack((nowhere[: len(lone_second)], second[lone_second]))
    rows = np.vstack((stayed, only_before, only_after))
    fates = np.concatenate(
        (
            np.full(len(pairs), "stayed", dtype=object),
            np.where(seen[0][lone_first], "went", "not known").astype(object),
            np.where(seen[1][lone_second], "came", "not known").astype(object),
        )
    )
    values = {
        "fate": fates,
        "before_x_mm": rows[:, 0], "before_y_mm": rows[:, 1], "before_diameter_mm": rows[:, 2],
        "x_mm": rows[:, 3], "y_mm": rows[:, 4], "diameter_mm": rows[:, 5],
        "apart_mm": np.hypot(rows[:, 3] - rows[:, 0], rows[:, 4] - rows[:, 1]),
    }  # fmt: skip
    return table("compared", values)
