"""Estimates of step, tilt and twist with their intervals, in film units and micrometres."""

from dataclasses import dataclass
from typing import Literal

from scrapeview.judge.verdict.stretches import JudgedPrint
from scrapeview.placements import Placement

Kind = Literal["height", "tilt"]
OverlapReason = Literal[
    "agree", "film differs", "rocked", "not in line", "marks elsewhere", "too little"
]


@dataclass(frozen=True, eq=False)
class PlacedPrint:
    """A print of one placement; its reading's millimetres are those of the whole face."""

    printed: JudgedPrint
    placement: Placement


@dataclass(frozen=True)
class FilmUnit:
    """What one film unit is worth: a standard deviation of the heights of texture and film.

    Parameters
    ----------
    um, low_um, high_um : float
        Micrometres, with the 95 % interval; both ends equal the figure where it was told without.
    how : {"shim", "own figure"}
    """

    um: float
    low_um: float
    high_um: float
    how: Literal["shim", "own figure"]


@dataclass(frozen=True)
class Estimate:
    """One estimated quantity with its 95 % interval.

    Parameters
    ----------
    kind : {"height", "tilt"}
        A height in film units, or a tilt in film units per metre.
    value, low, high : float
    value_um, low_um, high_um : float or None
        The same in micrometres, or micrometres per metre, where the film unit is calibrated.
    """

    kind: Kind
    value: float
    low: float
    high: float
    value_um: float | None = None
    low_um: float | None = None
    high_um: float | None = None

    @property
    def stands_off(self) -> bool:
        """Whether zero lies outside the interval."""
        return self.low > 0 or self.high < 0


@dataclass(frozen=True)
class Joint:
    """Where two neighbouring stretches of a face meet.

    Parameters
    ----------
    first, second : str
        Names of the stretches, left to right.
    at_mm : float
        Where along the face: the middle of what both placements covered.
    overlap_mm : float
        How long both covered.
    step, tilt_along, tilt_across : Estimate or None
        Of the second against the first: how much higher it begins (positive is higher, standing
        out of the metal), how much it rises along the face relative to the first (negative:
        the two make a hump; positive: a hollow), and how much more it rises from the far side
        to the near one (twist). None where it cannot be told.
    why_not : str
        Why it cannot be told, "" where it is.
    """

    first: str
    second: str
    at_mm: float
    overlap_mm: float
    step: Estimate | None
    tilt_along: Estimate | None
    tilt_across: Estimate | None
    why_not: str = ""


@dataclass(frozen=True)
class Overlap:
    """What two placements show of the stretch that both covered.

    Parameters
    ----------
    first, second : str
    from_mm, to_mm : float
        Along the face.
    contact_first, contact_second : float
        Percent.
    only_first, only_second, both : float
        Marked area in one print alone and in both, percent of the common area.
    both_by_chance : float
        What `both` would be if the two had nothing to do with each other.
    drift_percent : float
        How much more contact the second shows at the right end than at the left one, less the same
        of the first, in percent points over the overlap.
    reason : {"agree", "film differs", "rocked", "not in line", "marks elsewhere", "too little"}
        What the overlap says, the first that holds: see docs/in-line.md.
    """

    first: str
    second: str
    from_mm: float
    to_mm: float
    contact_first: float
    contact_second: float
    only_first: float
    only_second: float
    both: float
    both_by_chance: float
    drift_percent: float
    reason: OverlapReason


@dataclass(frozen=True)
class InLine:
    """Whether the stretches of one pass lie in one line.

    Parameters
    ----------
    pass_number : int
    joints : tuple of Joint
    overlaps : tuple of Overlap
    unit : FilmUnit or None
    """

    pass_number: int
    joints: tuple[Joint, ...]
    overlaps: tuple[Overlap, ...]
    unit: FilmUnit | None


@dataclass(frozen=True)
class SharedPlane:
    """Whether two ways that one reference spans lie in one plane.

    Parameters
    ----------
    first, second : str
        The far way and the near one, or left and right.
    balance : Estimate
        How much higher the second bears against the reference as it lay (height).
    offset : Estimate
        How much higher the second lies than where the first way's plane and its own would meet
        halfway: what the reference's lean hides from the balance (height).
    tilt_across : Estimate
        How much more the second rises across, from far to near; for a left and a right way from
        left to right (tilt).
    twist : Estimate
        How much more the second rises along its length, to the right; for a left and a right way
        to the near side (tilt).
    why_not : str
        Why it cannot be told; then the estimates are 0 with infinite intervals.
    """

    first: str
    second: str
    balance: Estimate
    offset: Estimate
    tilt_across: Estimate
    twist: Estimate
    why_not: str = ""
