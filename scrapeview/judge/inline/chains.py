"""Placements of one pass in their order along the face, and where neighbours meet."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from scrapeview.errors import ReadingError
from scrapeview.judge.inline.estimates import PlacedPrint
from scrapeview.placements import SIDES
from scrapeview.result import Reading

SAME_STRETCH = 0.75
"""Share of the shorter of two placements that both must cover to be prints of one stretch."""
LEAST_OVERLAP_MM = 40.0


@dataclass(frozen=True, eq=False)
class Stretch:
    """One placement on the face.

    Parameters
    ----------
    name : str
    reading : Reading
    from_mm, to_mm : float
        What the reference covered of the face and the photographs show.
    """

    name: str
    reading: Reading
    from_mm: float
    to_mm: float

    @property
    def middle_mm(self) -> float:
        """Middle along the face."""
        return (self.from_mm + self.to_mm) / 2

    @property
    def half_mm(self) -> float:
        """Half its length."""
        return (self.to_mm - self.from_mm) / 2


@dataclass(frozen=True, eq=False)
class Meeting:
    """Two neighbouring placements and what both covered; `to_mm` below `from_mm` for a gap."""

    first: Stretch
    second: Stretch

    @property
    def from_mm(self) -> float:
        """Where the second begins."""
        return self.second.from_mm

    @property
    def to_mm(self) -> float:
        """Where the first ends."""
        return self.first.to_mm

    @property
    def at_mm(self) -> float:
        """Middle of what both covered."""
        return (self.from_mm + self.to_mm) / 2

    @property
    def overlap_mm(self) -> float:
        """Length that both covered; 0 where they leave a gap."""
        return max(0.0, self.to_mm - self.from_mm)


def last_pass(prints: Sequence[PlacedPrint]) -> tuple[PlacedPrint, ...]:
    """Return the prints of the last pass among some, in the order they were kept.

    Photographs that show no print are left out, unless none of the pass shows one: what was not
    printed is not bare.

    Raises
    ------
    ReadingError
        Where there is none.
    """
    if not prints:
        raise ReadingError("There is no placement yet: keep a print of this face first.")
    number = max(one.printed.pass_number for one in prints)
    chosen = [one for one in prints if one.printed.pass_number == number]
    found = [one for one in chosen if one.printed.reading.is_print] or chosen
    return tuple(sorted(found, key=lambda one: one.printed.print_id))


def chains_of(prints: Sequence[PlacedPrint]) -> tuple[tuple[Stretch, ...], ...]:
    """Return the stretches of one pass from left to right, those of each side by themselves.

    Of several prints of one stretch the last counts. A later print of a part of a stretch leaves
    the earlier one there, for what it alone shows.
    """
    chains = []
    for side in SIDES:
        here = [one for one in prints if one.placement.side == side]
        laid = _latest([_stretch(one, here) for one in here])
        if laid:
            chains.append(tuple(sorted(laid, key=lambda one: one.middle_mm)))
    return tuple(chains)


def in_a_row(chain: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Return the stretches of a chain without those that lie within another one."""
    return tuple(
        one
        for one in chain
        if not any(
            one is not other and one.half_mm < other.half_mm and _same(one, other)
            for other in chain
        )
    )


def meetings_of(chain: Sequence[Stretch]) -> tuple[Meeting, ...]:
    """Return where neighbours of a chain meet."""
    return tuple(Meeting(one, two) for one, two in pairwise(chain))


def _stretch(one: PlacedPrint, others: Sequence[PlacedPrint]) -> Stretch:
    reading, placement = one.printed.reading, one.placement
    corners = np.concatenate(reading.regions_mm)[:, 0]
    low, high = float(corners.min()), float(corners.max())
    if placement.start_mm is not None and placement.end_mm is not None:
        low, high = max(low, placement.start_mm), min(high, placement.end_mm)
    name = placement.name or one.printed.placement
    alike = sum((other.placement.name or other.printed.placement) == name for other in others)
    if not name or alike > 1:
        name = f"{name} (print {one.printed.print_id})".strip()
    return Stretch(name, reading, low, high)


def _latest(stretches: Sequence[Stretch]) -> list[Stretch]:
    return [
        one
        for i, one in enumerate(stretches)
        if one.to_mm > one.from_mm and not _printed_again(one, stretches[i + 1 :])
    ]


def _printed_again(one: Stretch, later: Sequence[Stretch]) -> bool:
    """Whether later prints of one stretch, or of its parts, cover most of it together."""
    covered_mm, reached_mm = 0.0, one.from_mm
    for other in sorted(later, key=lambda other: other.from_mm):
        if _same(one, other):
            start_mm, end_mm = max(reached_mm, other.from_mm), min(one.to_mm, other.to_mm)
            covered_mm += max(0.0, end_mm - start_mm)
            reached_mm = max(reached_mm, end_mm)
    return covered_mm >= SAME_STRETCH * 2 * one.half_mm


def _same(one: Stretch, other: Stretch) -> bool:
    """Whether two stretches are the same one, or one is a part of the other."""
    both = min(one.to_mm, other.to_mm) - max(one.from_mm, other.from_mm)
    return both >= SAME_STRETCH * 2 * min(one.half_mm, other.half_mm)
