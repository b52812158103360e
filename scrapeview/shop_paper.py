"""How true the shop's printer prints cards and tiles: the bar that was measured on its paper."""

from scrapeview.plane.cards import PaperScale
from scrapeview.record import Record

BAR = "card_bar_mm"
"""Setting of the shop: length of the bar on its printed sheets, mm."""


def bar_mm(record: Record) -> float | None:
    """Return how long the bar was measured, mm; None where it was not."""
    measured = record.setting(BAR, None)
    return None if measured is None else float(measured)


def keep_bar(record: Record, measured_mm: float | None) -> None:
    """Keep how long the bar was measured, or that it was not.

    Raises
    ------
    PlaneError
        Where no printer makes it that long; nothing is changed.
    """
    if measured_mm is not None:
        PaperScale.from_bar(measured_mm)
    record.set_setting(BAR, measured_mm)


def paper_scale(record: Record) -> PaperScale:
    """Return how long a drawn millimetre is on the shop's cards and tiles."""
    measured = bar_mm(record)
    return PaperScale() if measured is None else PaperScale.from_bar(measured)
