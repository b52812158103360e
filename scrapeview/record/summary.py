"""The figures of a reading that stand beside its pass: what the tables of passes show."""

import math
from typing import Any

from scrapeview.columns import columns_of
from scrapeview.result import Reading

OF_THE_PASS = frozenset(
    (
        "number", "placement", "placement_start_mm", "placement_length_mm", "placement_side",
        "printed_at", "who", "scraping", "metal_um", "hours", "notes", "readings", "print_id",
        "reading_id",
    )
)  # fmt: skip
"""Columns of the table of passes that are no figures of a reading."""
SUMMARY = tuple(column for column in columns_of("passes") if column.name not in OF_THE_PASS)


def summary_of(reading: Reading) -> dict[str, Any]:
    """Return the figures of a reading by the names of `SUMMARY`; NaN where there is none."""
    worst = reading.worst_square
    return {
        "is_print": bool(reading.is_print),
        "count_reliable": bool(reading.count_reliable),
        "contact_percent": reading.contact_percent,
        "contact_low_percent": reading.contact_interval.low,
        "contact_high_percent": reading.contact_interval.high,
        "points": len(reading.points),
        "points_per_square_inch": reading.points_per_square_inch,
        "ppsi_low": reading.ppsi_interval.low,
        "ppsi_high": reading.ppsi_interval.high,
        "points_per_25mm_square": reading.points_per_25mm_square,
        "area_mm2": reading.area_mm2,
        "worst_contact_percent": worst.contact_percent if worst else math.nan,
        "worst_points_per_square_inch": worst.points_per_square_inch if worst else math.nan,
        "bare_circle_mm": reading.bare_patch.circle_mm,
        "bare_area_mm2": reading.bare_patch.area_mm2,
        "median_diameter_mm": reading.evenness.median_diameter_mm,
        "small_diameter_mm": reading.evenness.small_diameter_mm,
        "large_diameter_mm": reading.evenness.large_diameter_mm,
        "spacing_index": reading.evenness.spacing_index,
        "haze_percent": reading.heaviness.haze_percent,
        "smear_percent": reading.heaviness.smear_percent,
        "merged_percent": reading.merged_percent,
        "washed_out_percent": reading.washed_out_percent,
        "corrections": len(reading.corrections),
    }
