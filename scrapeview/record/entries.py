"""What the shop's record holds, as frozen records: machine, part, face, pass, print."""

import json
from dataclasses import dataclass, field
from typing import Any, Literal

from scrapeview.flatness import NOT_KNOWN, ReferenceFlatness
from scrapeview.placements import Placement
from scrapeview.settings import Settings
from scrapeview.targets import NO_TARGET, Target

Shape = Literal["rectangle", "round", "free"]
Scraping = Literal["", "rough", "spacing out", "finish", "single points"]
Polygon = tuple[tuple[float, float], ...]
Swing = Literal["convex", "hollow", "even"]
Calibrated = Literal["shim", "own figure"]
Checked = Literal["step", "tilt along", "tilt across", "twist", "offset"]
Instrument = Literal["level", "indicator", "straightedge and feeler", "other"]


@dataclass(frozen=True)
class Machine:
    """A machine that is being rebuilt."""

    machine_id: int
    name: str
    notes: str = ""


@dataclass(frozen=True)
class Part:
    """A part of a machine that has faces to scrape."""

    part_id: int
    machine_id: int
    name: str


@dataclass(frozen=True, kw_only=True)
class FacePlan:
    """What a person says of a face before its first print.

    Parameters
    ----------
    name, role, reference, notes : str
        The role is what it does (way, gib, table); the reference is what it is printed against.
    shape : {"rectangle", "round", "free"}
        rectangle: placed by its four corners. round: by its rim; its width is the diameter. free:
        by a known length in the photograph, with outlines drawn by hand; no width and height.
    width_mm, height_mm : float
        0 where the shape has none.
    regions_mm, openings_mm : tuple of polygons
        In mm of the face; without regions all of the shape is the face.
    target : Target
    flatness : ReferenceFlatness
        Of the reference.
    marking : str
        "auto", "blue", "red", "black" or "rubbed".
    units : {"", "metric", "inch"}
        "" follows the shop.
    settings : Settings
        Frozen for the face so that its passes compare; sample picks belong to a print, not here.
    """

    name: str
    role: str = ""
    shape: Shape = "rectangle"
    width_mm: float = 0.0
    height_mm: float = 0.0
    regions_mm: tuple[Polygon, ...] = ()
    openings_mm: tuple[Polygon, ...] = ()
    target: Target = NO_TARGET
    reference: str = ""
    flatness: ReferenceFlatness = NOT_KNOWN
    marking: str = "auto"
    units: Literal["", "metric", "inch"] = ""
    settings: Settings = field(default_factory=Settings)
    notes: str = ""


@dataclass(frozen=True)
class FaceEntry:
    """A face in the record: its plan, and which part of which machine it belongs to."""

    face_id: int
    part: Part
    machine: Machine
    plan: FacePlan

    @property
    def title(self) -> str:
        """Machine, part and face in one line."""
        return f"{self.machine.name}, {self.part.name}: {self.plan.name}"


@dataclass(frozen=True, kw_only=True)
class Scrape:
    """What was done to the face before the print of a pass.

    Parameters
    ----------
    scraping : {"", "rough", "spacing out", "finish", "single points"}
    metal_um : float or None
        Stroke depth or metal taken, micrometres, 0-1000.
    hours : float or None
        0-1000.
    """

    who: str = ""
    scraping: Scraping = ""
    metal_um: float | None = None
    hours: float | None = None
    notes: str = ""


@dataclass(frozen=True)
class PassEntry:
    """One cycle of scraping and printing; it waits for its print while it has none."""

    pass_id: int
    face_id: int
    number: int
    begun_at_utc: str
    scrape: Scrape
    print_ids: tuple[int, ...]


@dataclass(frozen=True)
class PrintEntry:
    """One print: where the reference lay, its photographs and its readings, oldest first.

    Parameters
    ----------
    photo_sha256s : tuple of str
        Where the print was joined from several photographs the first is the map that was made of
        them, which its readings are of, and the others are what it was joined from.
    joined_json : str
        "" where it was not joined.
    """

    print_id: int
    pass_id: int
    where: Placement
    kept_at_utc: str
    photo_sha256s: tuple[str, ...]
    reading_ids: tuple[int, ...]
    current_reading_id: int
    joined_json: str = field(default="", repr=False)

    @property
    def placement(self) -> str:
        """What a person calls the place where the reference lay."""
        return self.where.name

    @property
    def joined(self) -> dict[str, Any] | None:
        """How the map was joined from photographs; None where the print is of one photograph."""
        told: dict[str, Any] | None = json.loads(self.joined_json) if self.joined_json else None
        return told


@dataclass(frozen=True)
class Kept:
    """Where a print that was just kept stands."""

    pass_number: int
    pass_id: int
    print_id: int
    reading_id: int


@dataclass(frozen=True, kw_only=True)
class EyeCount:
    """One square of a print counted by eye, beside what was counted in the photograph.

    Parameters
    ----------
    print_id, reading_id : int
    x_mm, y_mm, side_mm : float
        The square, which the program chose.
    by_eye, by_tool : int
        Points whose middle lies in it.
    who, counted_at_utc : str
    count_id : int
        Its number in the record; 0 before it is there.
    """

    print_id: int
    reading_id: int
    x_mm: float
    y_mm: float
    side_mm: float
    by_eye: int
    by_tool: int
    who: str = ""
    counted_at_utc: str = ""
    count_id: int = field(default=0, compare=False)


@dataclass(frozen=True, kw_only=True)
class SwingTest:
    """What the swing test of a face said: the part on its reference, pushed sideways at one end.

    Parameters
    ----------
    pass_number : int
        The pass after which it was made.
    result : {"convex", "hollow", "even"}
        It swung from near the middle, shuffled end to end, or turned at about three tenths.
    pivot_percent : float or None
        Where it turned: distance from the end that was not pushed, of the length, 0-100.
    who, notes, made_at_utc : str
    test_id : int
        Its number in the record; 0 before it is there.
    """

    pass_number: int
    result: Swing
    pivot_percent: float | None = None
    who: str = ""
    notes: str = ""
    made_at_utc: str = ""
    test_id: int = field(default=0, compare=False)


@dataclass(frozen=True, kw_only=True)
class FilmCalibration:
    """What one film unit is worth on a face.

    Parameters
    ----------
    um, low_um, high_um : float
        Micrometres, 0-1000, with the interval; both ends equal the figure where none was told.
    how : {"shim", "own figure"}
    pass_number : int or None
        The pass whose print with a shim it is from.
    notes, made_at_utc : str
    calibration_id : int
        Its number in the record; 0 before it is there.
    """

    um: float
    low_um: float
    high_um: float
    how: Calibrated
    pass_number: int | None = None
    notes: str = ""
    made_at_utc: str = ""
    calibration_id: int = field(default=0, compare=False)


@dataclass(frozen=True, kw_only=True)
class LineCheck:
    """What an instrument showed where prints gave an estimate.

    Parameters
    ----------
    pass_number : int
        The pass after which it was made.
    what : {"step", "tilt along", "tilt across", "twist", "offset"}
    between : str
        Names of the two stretches or ways.
    value_um : float
        Micrometres, or micrometres per metre for tilts; -100,000 to 100,000.
    error_um : float or None
        How sure that is, in the same unit.
    instrument : {"level", "indicator", "straightedge and feeler", "other"}
    who, notes, made_at_utc : str
    check_id : int
        Its number in the record; 0 before it is there.
    """

    pass_number: int
    what: Checked
    between: str
    value_um: float
    error_um: float | None = None
    instrument: Instrument
    who: str = ""
    notes: str = ""
    made_at_utc: str = ""
    check_id: int = field(default=0, compare=False)


@dataclass(frozen=True, kw_only=True)
class KeptVerdict:
    """A verdict kept beside its face, so that a whole shop is listed without judging it anew.

    Parameters
    ----------
    judged_from : str
        Fingerprint of all it was judged from; where that has changed, the verdict is stale.
    outcome, reason : str
    judged_at_utc : str
    """

    judged_from: str
    outcome: str
    reason: str
    judged_at_utc: str = ""
