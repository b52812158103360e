"""The shop's record: machines, parts, faces, passes, prints and their readings, kept for good."""

from scrapeview.record.entries import (
    FaceEntry,
    FacePlan,
    Kept,
    Machine,
    Part,
    PassEntry,
    PrintEntry,
    Scrape,
)
from scrapeview.record.record import Record

__all__ = [
    "FaceEntry",
    "FacePlan",
    "Kept",
    "Machine",
    "Part",
    "PassEntry",
    "PrintEntry",
    "Record",
    "Scrape",
]
