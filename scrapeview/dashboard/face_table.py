"""The table of a face's passes, in the reader's units, and as files in the record's own."""

import pandas as pd
import streamlit as st

from scrapeview.charts.progress_frame import names_in, progress_frame
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_table
from scrapeview.dashboard.standing import day
from scrapeview.record import FaceEntry


def show_table(face: FaceEntry, progress: pd.DataFrame, units: Units) -> None:
    """Show the prints of a face one a row, with their downloads."""
    st.subheader("Table of the passes", anchor=False)
    shown = progress_frame(progress, units)
    shown["printed_at"] = shown["printed_at"].map(day)
    labels = _labels(units)
    config = {
        name: st.column_config.NumberColumn(label, format=form) if form else label
        for name, (label, form) in labels.items()
    }
    st.dataframe(
        shown, hide_index=True, column_config=config, column_order=list(labels), width="stretch"
    )
    with st.popover("Download the passes", icon=ICON):
        st.caption("All columns, with their units in the names; lengths in mm, counts by in2.")
        stem = file_stem(face, "passes")
        offer_table(progress, stem, f"face-{face.face_id}-passes", "Passes")


def _labels(units: Units) -> dict[str, tuple[str, str]]:
    names = names_in(units)
    unit, length = names.points_unit, "%.3f" if units == "inch" else "%.1f"
    metal = "%.2f" if units == "inch" else "%.1f"
    return {
        "number": ("Pass", "%d"),
        "placement": ("Placement", ""),
        "printed_at": ("Printed", ""),
        "who": ("Who", ""),
        "scraping": ("Scraping", ""),
        names.metal: (f"Metal, {names.metal_unit}", metal),
        "hours": ("Hours, h", "%.1f"),
        "contact_percent": ("Contact, %", "%.1f"),
        "contact_low_percent": ("Contact from, %", "%.1f"),
        "contact_high_percent": ("to, %", "%.1f"),
        names.points: (f"Points {unit}", "%.1f"),
        names.points_low: (f"Points from, {unit}", "%.1f"),
        names.points_high: (f"to, {unit}", "%.1f"),
        "count_reliable": ("Count reliable", ""),
        "worst_contact_percent": ("Worst square, %", "%.1f"),
        names.worst_points: (f"Points there, {unit}", "%.1f"),
        names.bare_circle: (f"Bare circle, {names.length_unit}", length),
        names.small: (f"10 % of points below, {names.length_unit}", length),
        names.median: (f"Median point, {names.length_unit}", length),
        names.large: (f"10 % above, {names.length_unit}", length),
        "haze_percent": ("Haze, %", "%.0f"),
        "smear_percent": ("Smear, %", "%.0f"),
        "merged_percent": ("Merged, %", "%.0f"),
        "corrections": ("Corrected by hand", "%d"),
        "notes": ("Notes", ""),
    }
