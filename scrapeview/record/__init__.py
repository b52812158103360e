"""The shop's record: machines, parts, faces, passes, prints and their readings, kept for good."""

from scrapeview.record.entries import (
    EyeCount,
    FaceEntry,
    FacePlan,
    FilmCalibration,
    Kept,
    KeptVerdict,
    LineCheck,
    Machine,
    Part,
    PassEntry,
    PrintEntry,
    Scrape,
    SwingTest,
)
from scrapeview.record.record import Record

__all__ = [
    "EyeCount",
    "FaceEntry",
    "FacePlan",
    "FilmCalibration",
    "Kept",
    "KeptVerdict",
    "LineCheck",
    "Machine",
    "Part",
    "PassEntry",
    "PrintEntry",
    "Record",
    "Scrape",
    "SwingTest",
]
