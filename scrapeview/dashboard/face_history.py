"""The readings of one print: which is current and why, and choosing another."""

from typing import Any

import pandas as pd
import streamlit as st

from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.dashboard.face_downloads import file_stem, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.standing import day
from scrapeview.record import FaceEntry, Record


def show_history(record: Record, face: FaceEntry, print_id: int, units: Units) -> None:
    """Show which readings of a print were the current one, and let another be chosen."""
    history = record.history(print_id)
    current = history[history["current"]].iloc[0]
    st.markdown("**Readings of this print**")
    st.caption(current_line(current, history["reading_id"].nunique()))
    st.dataframe(_shown(history, units), hide_index=True, width="stretch")
    with st.expander("Download the history"):
        stem = file_stem(face, "print", print_id, "readings")
        offer_table(history, stem, f"face-history-{print_id}", "Readings")
    others = history[history["reading_id"] != current["reading_id"]]
    if not others.empty:
        _choose(record, print_id, others.drop_duplicates("reading_id", keep="last"), units)


def current_line(current: pd.Series, readings: int) -> str:
    """Return which reading is the current one, since when and why."""
    of = f" of {readings}" if readings > 1 else ""
    return (
        f"Reading {current['reading_id']}{of} is the current one since "
        f"{day(current['chosen_at_utc'])}: {as_written(current['why'])}."
    )


def _shown(history: pd.DataFrame, units: Units) -> pd.DataFrame:
    """Return the history as a person reads it, latest first."""
    latest_first = history.iloc[::-1]
    return pd.DataFrame(
        {
            "Reading": latest_first["reading_id"],
            "Current": latest_first["current"],
            "Why": latest_first["why"],
            "Since": latest_first["chosen_at_utc"].map(day),
            "Contact, %": latest_first["contact_percent"].round(1),
            f"Points/{points_unit(units)}": _points(latest_first, units).round(1),
            "Corrected by hand": latest_first["corrections"],
            "Read": latest_first["read_at_utc"].map(day),
            "Version": latest_first["scrapeview_version"],
        }
    )


def _points(history: pd.DataFrame, units: Units) -> pd.Series:
    return history["points_per_square_inch"].map(lambda ppsi: points_by(ppsi, units))


def _choose(record: Record, print_id: int, others: pd.DataFrame, units: Units) -> None:
    rows: list[Any] = list(others.itertuples(index=False))
    named = {
        int(row.reading_id): f"Reading {row.reading_id}: {row.contact_percent:.1f} % contact, "
        f"{points_by(row.points_per_square_inch, units):.1f} points/{points_unit(units)}"
        for row in rows
    }
    key = f"face-choose-{print_id}"
    with st.expander("Choose another reading"), st.form(key, border=False):
        chosen = st.selectbox("Reading", list(named), format_func=named.__getitem__)
        why = st.text_input("Why", max_chars=200, placeholder="such as: counted by hand, agrees")
        pressed = st.form_submit_button("Make it the current one", width="stretch")
    if pressed and not why.strip():
        st.warning("Say why: later you will want to know.")
    elif pressed:
        record.choose_reading(print_id, chosen, why.strip())
        st.rerun()
