"""The figures and checks of a print that is being looked at, in plain words."""

import streamlit as st

from scrapeview.charts import shown
from scrapeview.charts.shown import Units, points_unit
from scrapeview.dashboard.standing import target_words
from scrapeview.record import FacePlan
from scrapeview.result import Reading


def show_figures(reading: Reading, plan: FacePlan, units: Units) -> None:
    """Show contact and points with their intervals, or why there are none."""
    if not reading.is_print:
        st.warning(
            f"No print was found. {reading.reason} If there is one, show it: choose the tool "
            "Marking and tap a place that is surely marking, then the tool Metal and a bare place."
        )
        return
    inch = units == "inch"
    per_area = reading.points_per_square_inch if inch else reading.points_per_25mm_square
    spread = reading.ppsi_interval if inch else reading.p25_interval
    contact_spread = shown.interval(reading.contact_interval)
    with st.container(horizontal=True, gap="medium"):
        _figure("Contact", f"{reading.contact_percent:.1f} %", contact_spread)
        label = f"Points/{points_unit(units)}"
        if reading.count_reliable:
            _figure(label, f"{per_area:.1f}", shown.interval(spread))
        else:
            _figure(label, "unreliable", "")
        _figure("Points counted", f"{len(reading.points)}", "")
    if not reading.count_reliable:
        st.warning(f"{shown.merged_sentence(reading)}: go by contact, not by the count.")
    st.caption(
        f"Below contact and points their {100 * reading.settings.confidence:g} % intervals. "
        f"{shown.area(reading.area_mm2, units)} read. "
        f"Target: {target_words(plan.target, units)}. Film: {shown.film(reading)}."
    )


def summary_words(reading: Reading, units: Units) -> str:
    """Return the figures in one line."""
    if not reading.is_print:
        return "No print found."
    contact = f"Contact {reading.contact_percent:.1f} %"
    if not reading.count_reliable:
        return f"{contact}, count unreliable."
    inch = units == "inch"
    per_area = reading.points_per_square_inch if inch else reading.points_per_25mm_square
    points = len(reading.points)
    return f"{contact}, {per_area:.1f} points/{points_unit(units)}, {points} points."


def _figure(label: str, value: str, spread: str) -> None:
    st.metric(label, value, spread or None, delta_color="off", delta_arrow="off", width="content")


def show_checks(reading: Reading) -> None:
    """Show what is wrong with the photograph or the print, and what was in order."""
    for check in reading.checks:
        if check.severity == "bad":
            st.error(check.sentence)
        elif check.severity == "warn":
            st.warning(check.sentence)
    fine = [check.sentence for check in reading.checks if check.severity == "ok"]
    if fine:
        with st.expander(f"{len(fine)} checks in order"):
            st.markdown("\n".join(f"- {sentence}" for sentence in fine))
