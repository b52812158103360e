"""Stretches of a long face: what each placement's print shows, and which belong together."""

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from scrapeview.placements import Placement, Side

SAME_PLACE = 0.6
"""Share of the longer of two stretches that both cover, to be the same one; ours, no source."""
_ACROSS: dict[Side, int] = {"far": 0, "": 1, "near": 2}


@dataclass(frozen=True, kw_only=True)
class Stretch:
    """What one print shows of one stretch of a face.

    Parameters
    ----------
    pass_number, print_id, reading_id : int
    placement : Placement
        Where it lies: as it was told or, where a print shows the whole face, as it was read.
    is_print, count_reliable : bool
    contact_percent, contact_low, contact_high : float
    ppsi, ppsi_low, ppsi_high : float
        Points per square inch.
    area_mm2 : float
    """

    pass_number: int
    print_id: int
    reading_id: int
    placement: Placement
    is_print: bool = True
    count_reliable: bool = True
    contact_percent: float = 0.0
    contact_low: float = 0.0
    contact_high: float = 0.0
    ppsi: float = 0.0
    ppsi_low: float = 0.0
    ppsi_high: float = 0.0
    area_mm2: float = 0.0

    @property
    def start_mm(self) -> float:
        """Where it begins along the face; 0 where that is not known."""
        return self.placement.start_mm or 0.0

    @property
    def end_mm(self) -> float:
        """Where it ends along the face; 0 where that is not known."""
        return self.placement.end_mm or 0.0

    @property
    def name(self) -> str:
        """What it is called, by its print where nobody named it."""
        return self.placement.name or f"print {self.print_id}"


@dataclass(frozen=True)
class Followed:
    """One stretch over the passes, at most one print a pass, the earliest first."""

    stretches: tuple[Stretch, ...]

    @property
    def last(self) -> Stretch:
        """Its latest print, whose name it goes by."""
        return self.stretches[-1]

    @property
    def name(self) -> str:
        """What it is called."""
        return self.last.name


def from_left(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Return stretches from left to right, the far side first; those not placed come last."""
    return sorted(
        stretches,
        key=lambda one: (
            not one.placement.is_told, one.start_mm, _ACROSS[one.placement.side], one.print_id,
        ),
    )  # fmt: skip


def latest_of_each(stretches: Sequence[Stretch]) -> list[Stretch]:
    """Return the stretches of one pass, of several prints of the same one only the latest."""
    kept: list[Stretch] = []
    for one in sorted(stretches, key=lambda one: one.print_id, reverse=True):
        if not any(_alike(one, other) for other in kept):
            kept.append(one)
    return from_left(kept)


def followed(stretches: Sequence[Stretch]) -> tuple[Followed, ...]:
    """Return stretches followed over the passes, from left to right.

    Two are the same where they lie on the same side and both cover 60 % or more of the longer one;
    else, where one of them is not placed, by their name.

    Parameters
    ----------
    stretches : sequence of Stretch
        Of any passes, in any order.
    """
    numbers = sorted({one.pass_number for one in stretches}, reverse=True)
    lines: list[list[Stretch]] = []
    for number in numbers:
        here = latest_of_each([one for one in stretches if one.pass_number == number])
        open_lines = list(lines)
        for one, line in _pairs(here, open_lines):
            line.append(one)
            here.remove(one)
        lines += [[one] for one in here]
    found = [Followed(tuple(reversed(line))) for line in lines]
    order = from_left([line.last for line in found])
    return tuple(sorted(found, key=lambda line: order.index(line.last)))


def covered(one: Stretch, other: Stretch) -> float:
    """Return the share, 0-1, of the longer of two placed stretches that both cover."""
    if not (one.placement.is_told and other.placement.is_told):
        return 0.0
    both = min(one.end_mm, other.end_mm) - max(one.start_mm, other.start_mm)
    longer = max(one.end_mm - one.start_mm, other.end_mm - other.start_mm)
    return max(0.0, both / longer)


def _pairs(here: list[Stretch], lines: list[list[Stretch]]) -> list[tuple[Stretch, list[Stretch]]]:
    """Which stretch goes on which line, the best pair first and each at most once."""
    rated = [
        (_likeness(one, line[-1]), one, line)
        for one in here
        for line in lines
        if _alike(one, line[-1])
    ]
    taken: list[tuple[Stretch, list[Stretch]]] = []
    for _, one, line in sorted(rated, key=lambda pair: -pair[0]):
        if not any(one is first or line is second for first, second in taken):
            taken.append((one, line))
    return taken


def _alike(one: Stretch, other: Stretch) -> bool:
    return _likeness(one, other) >= SAME_PLACE


def _likeness(one: Stretch, other: Stretch) -> float:
    if one.placement.is_told and other.placement.is_told:
        same_side = one.placement.side == other.placement.side
        return covered(one, other) if same_side else 0.0
    named = one.placement.name.casefold(), other.placement.name.casefold()
    return 1.0 if named[0] == named[1] else 0.0


def prints_table(stretches: Sequence[Stretch]) -> pd.DataFrame:
    """Return prints of stretches with where they lie and what they bear, one row a print."""
    named = {
        "pass": "pass_number", "print_id": "print_id", "is_print": "is_print",
        "count_reliable": "count_reliable", "contact_percent": "contact_percent",
        "contact_low_percent": "contact_low", "contact_high_percent": "contact_high",
        "points_per_square_inch": "ppsi", "ppsi_low": "ppsi_low", "ppsi_high": "ppsi_high",
        "area_mm2": "area_mm2",
    }  # fmt: skip
    table = pd.DataFrame(
        {column: [getattr(one, field) for one in stretches] for column, field in named.items()}
    )
    where = [one.placement for one in stretches]
    table.insert(2, "placement", [place.name for place in where])
    table.insert(3, "start_mm", [place.start_mm for place in where])
    table.insert(4, "length_mm", [place.length_mm for place in where])
    table.insert(5, "side", [place.side for place in where])
    return table
