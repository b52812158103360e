"""All that the record knows of one machine, as frozen records without the database's numbers."""

from dataclasses import dataclass

from scrapeview.placements import Placement
from scrapeview.record.entries import (
    EyeCount,
    FacePlan,
    FilmCalibration,
    LineCheck,
    Scrape,
    SwingTest,
)


@dataclass(frozen=True)
class PhotographEntry:
    """A photograph: its hash, what its file was called, when it came into the record."""

    sha256: str
    name: str
    added_at_utc: str


@dataclass(frozen=True)
class Choice:
    """That a reading became the current one of its print, when and why."""

    reading: int
    why: str
    chosen_at_utc: str


@dataclass(frozen=True)
class PrintHistory:
    """A print with all its readings and how the current one came to be.

    Parameters
    ----------
    placement : Placement
        Formats 1 and 2 of an archive told its name only.
    kept_at_utc : str
    photo_sha256s : tuple of str
        Of a joined print the map first, then what it was joined from.
    readings : tuple of int
        Their numbers, oldest first.
    choices : tuple of Choice
        Oldest first; the last one holds.
    eye_counts : tuple of EyeCount
        Each with the number of its reading here, and 0 for its print.
    joined : str
        How the map was joined, as JSON text; "" where it was not.
    """

    placement: Placement
    kept_at_utc: str
    photo_sha256s: tuple[str, ...]
    readings: tuple[int, ...]
    choices: tuple[Choice, ...]
    eye_counts: tuple[EyeCount, ...] = ()
    joined: str = ""

    @property
    def read_of(self) -> tuple[str, ...]:
        """Which of its photographs its readings may be of."""
        return self.photo_sha256s[:1] if self.joined else self.photo_sha256s


@dataclass(frozen=True)
class PassHistory:
    """A pass with its prints; one without waits for its print."""

    number: int
    begun_at_utc: str
    scrape: Scrape
    prints: tuple[PrintHistory, ...]


@dataclass(frozen=True)
class FaceHistory:
    """A face with its passes, its tests, what its film is worth, and checks, in order."""

    plan: FacePlan
    passes: tuple[PassHistory, ...]
    swing_tests: tuple[SwingTest, ...] = ()
    film_calibrations: tuple[FilmCalibration, ...] = ()
    line_checks: tuple[LineCheck, ...] = ()


@dataclass(frozen=True)
class PartHistory:
    """A part with its faces."""

    name: str
    faces: tuple[FaceHistory, ...]


@dataclass(frozen=True)
class MachineHistory:
    """A machine with all that belongs to it."""

    name: str
    notes: str
    parts: tuple[PartHistory, ...]
    photographs: tuple[PhotographEntry, ...]

    @property
    def faces(self) -> tuple[FaceHistory, ...]:
        """All faces, part by part."""
        return tuple(face for part in self.parts for face in part.faces)

    @property
    def prints(self) -> tuple[PrintHistory, ...]:
        """All prints, face by face and pass by pass."""
        return tuple(p for face in self.faces for each in face.passes for p in each.prints)
