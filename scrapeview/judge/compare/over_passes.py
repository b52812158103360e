"""What the last passes of a face have in common: how often each place was marked.

A place marked in every one of them was never taken down by the scraper; one never marked has not
borne yet. Both also come about by chance, so what unrelated prints of the same contact would give
is reported beside them.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing.components import BARE, MARKS
from scrapeview.errors import ReadingError
from scrapeview.judge.compare.chance import Chance, filled, random_offsets, range_of
from scrapeview.judge.compare.laid import FaceGrid, LaidPrint, Mask
from scrapeview.judge.compare.places import large_marks, open_space, table_of_places

LEAST_MARKED_MM = 0.8
"""A disc of this diameter is the smallest mark that counts, as for a point."""
LEAST_BARE_MM = 25.4 / 4
"""Bare metal counts where a circle a quarter inch across finds room, as for a bare patch."""
TRIALS = 24


@dataclass(frozen=True, eq=False)
class Places:
    """Places of one kind.

    Parameters
    ----------
    mask : (h, w) bool
    table : DataFrame
        Columns of the table "places", largest first.
    area_mm2 : float
        Of all of them together.
    chance_mm2 : Chance
        Area that unrelated prints of the same contact would give.
    least_mm : float
        Smallest size that counts: diameter of a disc of the same area for marks, of a circle that
        finds room for bare places.
    """

    mask: Mask
    table: pd.DataFrame
    area_mm2: float
    chance_mm2: Chance
    least_mm: float

    @property
    def beyond_chance(self) -> bool:
        """Whether there is more of it than unrelated prints would give."""
        return self.area_mm2 > self.chance_mm2.high


@dataclass(frozen=True, eq=False)
class OverPasses:
    """The last passes of a face over each other.

    Parameters
    ----------
    grid : FaceGrid
    passes : int
        How many.
    marked : (h, w) int16
        In how many passes each place was marked.
    seen : (h, w) int16
        In how many passes it was seen at all.
    always, never : Places
        Seen in every pass, and marked in all of them or in none.
    known_mm2 : float
        Area seen in every pass.
    seen_once_mm2 : float
        Area seen in at least one.
    """

    grid: FaceGrid
    passes: int
    marked: NDArray[np.int16]
    seen: NDArray[np.int16]
    always: Places
    never: Places
    known_mm2: float
    seen_once_mm2: float

    @property
    def marked_share(self) -> NDArray[np.float64]:
        """Share of the passes that saw a place in which it was marked; NaN where none did."""
        seen = np.where(self.seen > 0, self.seen, 1)
        return np.where(self.seen > 0, self.marked / seen, np.nan)


def over_passes(
    prints: Sequence[LaidPrint],
    *,
    least_marked_mm: float = LEAST_MARKED_MM,
    least_bare_mm: float = LEAST_BARE_MM,
) -> OverPasses:
    """Lay passes over each other; their order does not matter.

    Parameters
    ----------
    prints : sequence of LaidPrint
        One a pass, on one grid.
    least_marked_mm, least_bare_mm : float, keyword-only
        Smallest places that are listed.

    Raises
    ------
    ReadingError
        Where there are fewer than two passes, or they lie on different grids.
    """
    _require_comparable(prints)
    grid = prints[0].grid
    marked = np.sum([laid.contact for laid in prints], axis=0, dtype=np.int16)
    seen = np.sum([laid.known for laid in prints], axis=0, dtype=np.int16)
    known = seen == len(prints)
    always = large_marks(known & (marked == len(prints)), grid, least_marked_mm)
    never = open_space(known & (marked == 0), grid, least_bare_mm)
    by_chance = _by_chance(prints, known, least_marked_mm, least_bare_mm)
    return OverPasses(
        grid=grid,
        passes=len(prints),
        marked=np.asarray(marked),
        seen=np.asarray(seen),
        always=_places(always, grid, MARKS, by_chance[0], least_marked_mm),
        never=_places(never, grid, BARE, by_chance[1], least_bare_mm),
        known_mm2=float(known.sum()) * grid.square_mm2,
        seen_once_mm2=float((seen > 0).sum()) * grid.square_mm2,
    )


def _require_comparable(prints: Sequence[LaidPrint]) -> None:
    if len(prints) < 2:
        raise ReadingError("One pass has nothing to be compared with: keep a second one first.")
    if any(laid.grid != prints[0].grid for laid in prints):
        raise ReadingError("The passes lie on different grids: lay all of them onto one.")


def _places(
    mask: Mask, grid: FaceGrid, connectivity: int, chance: Chance, least_mm: float
) -> Places:
    area_mm2 = float(mask.sum()) * grid.square_mm2
    return Places(mask, table_of_places(mask, grid, connectivity), area_mm2, chance, least_mm)


def _by_chance(
    prints: Sequence[LaidPrint], known: Mask, least_marked_mm: float, least_bare_mm: float
) -> tuple[Chance, Chance]:
    """Area always and never marked, mm2, where every pass is moved by an offset of its own."""
    grid = prints[0].grid
    # sorted by what is in them, so that the order of passes does not matter
    whole = sorted((filled(laid, seed=1) for laid in prints), key=_digest)
    found = np.zeros((TRIALS, 2))
    for trial in range(TRIALS):
        offsets = random_offsets(grid, len(whole), seed=trial + 1)
        every, any_ = known.copy(), ~known
        for contact, offset in zip(whole, offsets, strict=True):
            moved = np.roll(contact, offset, (0, 1))
            every &= moved
            any_ |= moved
        found[trial] = (
            large_marks(every, grid, least_marked_mm).sum(),
            open_space(~any_, grid, least_bare_mm).sum(),
        )
    found *= grid.square_mm2
    return range_of(found[:, 0]), range_of(found[:, 1])


def _digest(contact: Mask) -> bytes:
    return hashlib.sha256(np.packbits(contact).tobytes()).digest()
