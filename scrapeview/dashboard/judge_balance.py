"""The parts of a face against each other: rails, ends, sides, middle."""

import math

import pandas as pd
import streamlit as st

from scrapeview.charts import verdict_words as words
from scrapeview.charts.judge_charts import balance_chart, balance_look
from scrapeview.charts.shown import Units, area, points_by, points_unit
from scrapeview.dashboard.face_downloads import file_stem, offer_table
from scrapeview.dashboard.judge_look import show_told
from scrapeview.dashboard.judge_part import show_still
from scrapeview.judge.verdict.criteria import Verdict
from scrapeview.judge.verdict.verdict_table import balance_table
from scrapeview.record import FaceEntry

NOT_COMPARED = "This print has no parts that bear and could be weighed against each other."
KEY = (
    "Right of the line the first part bears more, left of it the second. Green ground: the "
    "difference that the target allows."
)


def show_balance(face: FaceEntry, verdict: Verdict, units: Units) -> None:
    """Show how the parts of a face stand to each other."""
    st.subheader("Parts against each other", anchor=False)
    if not any(math.isfinite(each.difference_percent) for each in verdict.balances):
        st.info(NOT_COMPARED)
        _show_zones(face, verdict, units)
        return
    drawn, told = st.columns(2, gap="medium")
    with drawn:
        _show_chart(face, verdict, units)
    with told:
        _show_sentences(verdict, units)
        _show_zones(face, verdict, units)


def _show_sentences(verdict: Verdict, units: Units) -> None:
    open_: list[tuple[str, str]] = []
    rest: list[tuple[str, str]] = []
    for each in verdict.balances:
        asks = each.allowed_percent is not None and each.stands != "clears"
        told = open_ if asks else rest
        told.append((balance_look(each)[0], words.balance_sentence(each, units)))
    asked = sum(each.allowed_percent is not None for each in verdict.balances)
    level = f"{asked} of {asked} differences are within what the target allows." if asked else ""
    show_told(open_, rest, level, "The rest in words" if open_ else "In words")


def _show_chart(face: FaceEntry, verdict: Verdict, units: Units) -> None:
    figure = balance_chart(verdict, units)
    show_still(face, verdict.pass_number, "balance", figure, KEY, balance_table(verdict))


def _show_zones(face: FaceEntry, verdict: Verdict, units: Units) -> None:
    if not verdict.zones:
        return
    with st.expander("Figures of each part"):
        st.dataframe(shown_zones(verdict, units), hide_index=True, width="stretch")
        stem = file_stem(face, "pass", verdict.pass_number, "parts")
        offer_table(zones_table(verdict), stem, f"judge-{face.face_id}-parts", "Parts")


def shown_zones(verdict: Verdict, units: Units) -> pd.DataFrame:
    """Return the parts of a face as a person reads them, one a row."""
    unit = points_unit(units)
    return pd.DataFrame(
        [
            {
                "Part": zone.name.capitalize(),
                "Area": area(zone.area_mm2, units),
                "Points": zone.points,
                f"Points/{unit}": round(points_by(zone.points_per_square_inch, units), 1),
                "from": round(points_by(zone.ppsi_interval.low, units), 1),
                "to": round(points_by(zone.ppsi_interval.high, units), 1),
                "Contact, %": round(zone.contact_percent, 1),
                "from %": round(zone.contact_interval.low, 1),
                "to %": round(zone.contact_interval.high, 1),
            }
            for zone in verdict.zones
        ]
    )


def zones_table(verdict: Verdict) -> pd.DataFrame:
    """Return the parts of a face as numbers, one a row, with units in the names."""
    return pd.DataFrame(
        [
            {
                "pass": verdict.pass_number, "part": zone.name, "kind": zone.kind,
                "area_mm2": zone.area_mm2, "points": zone.points,
                "points_per_square_inch": zone.points_per_square_inch,
                "ppsi_low": zone.ppsi_interval.low, "ppsi_high": zone.ppsi_interval.high,
                "contact_percent": zone.contact_percent,
                "contact_low_percent": zone.contact_interval.low,
                "contact_high_percent": zone.contact_interval.high,
            }
            for zone in verdict.zones
        ]
    )  # fmt: skip
