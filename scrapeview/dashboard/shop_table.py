"""All faces as one table, for a wide screen and for download."""

from typing import Any

import pandas as pd
import streamlit as st

from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.dashboard.standing import day, verdict_word

_SHOWN = (
    "machine", "part", "face", "role", "verdict", "verdict_reason", "contact_percent", "points",
    "passes", "last_print", "trend_contact_percent", "trend_ppsi",
)  # fmt: skip


def show_table(found: pd.DataFrame, units: Units) -> int | None:
    """Show faces as a table and return the one whose row was chosen, if any."""
    if found.empty:
        st.info("No face is found. Try fewer words or another machine, or add a face to a part.")
        return None
    found = found.reset_index(drop=True)
    chosen = st.dataframe(
        shown_table(found, units), hide_index=True, column_config=_columns(units),
        column_order=_SHOWN, on_select="rerun", selection_mode="single-row", key="shop_table",
        placeholder="-",
    )  # fmt: skip
    st.caption("Choose a row to open the face.")
    st.download_button(
        "Download the table", download_csv(found), "shop.csv", "text/csv", key="shop_csv"
    )
    rows = chosen["selection"]["rows"]
    return int(found["face_id"].iloc[rows[0]]) if rows else None


def shown_table(found: pd.DataFrame, units: Units) -> pd.DataFrame:
    """Return the table in the shop's units; what no print or count tells is left empty."""
    is_print = found["is_print"].astype(bool)
    counted = found["count_reliable"].astype(bool) & is_print
    ppsi = found["points_per_square_inch"].astype(float)
    return found.assign(
        verdict=found["verdict"].map(verdict_word),
        contact_percent=found["contact_percent"].astype(float).where(is_print),
        points=points_by(1.0, units) * ppsi.where(counted),
        last_print=found["last_printed_at"].map(day),
    )


def download_csv(found: pd.DataFrame) -> str:
    """Return the table as CSV, trends left out, with the units in the names."""
    return found.drop(columns=["trend_contact_percent", "trend_ppsi"]).to_csv(index=False)


def _columns(units: Units) -> dict[str, Any]:
    config = st.column_config
    line: dict[str, Any] = {"y_min": 0, "color": "blue"}
    return {
        "machine": "Machine",
        "part": "Part",
        "face": "Face",
        "role": "Role",
        "verdict": "Verdict",
        "verdict_reason": config.TextColumn("Why", width="medium"),
        "contact_percent": config.NumberColumn("Contact, %", format="%.1f"),
        "points": config.NumberColumn(f"Points/{points_unit(units)}", format="%.1f"),
        "passes": config.NumberColumn("Passes"),
        "last_print": "Last print",
        "trend_contact_percent": config.LineChartColumn("Contact, last passes", **line),
        "trend_ppsi": config.LineChartColumn("Points, last passes", **line),
    }
