"""The units a person works in: those of a face, else those of the shop."""

from scrapeview.charts.shown import Units
from scrapeview.record import FaceEntry, Record


def shop_units(record: Record) -> Units:
    """Return the units the shop works in."""
    return "inch" if record.setting("units", "metric") == "inch" else "metric"


def face_units(record: Record, face: FaceEntry) -> Units:
    """Return the units a face is shown in: its own, else the shop's."""
    return face.plan.units or shop_units(record)
