"""Where a face stands after its latest pass: figures with intervals, and the target in words."""

from typing import Any

import numpy as np
import pandas as pd
import streamlit as st

from scrapeview.bearing import Interval
from scrapeview.charts.shown import Units, interval, points_by, points_unit
from scrapeview.charts.shown import length as length_words
from scrapeview.dashboard.standing import (
    day,
    range_words,
    target_words,
    verdict_html,
)
from scrapeview.face_verdict import kept_verdict
from scrapeview.record import FaceEntry, FacePlan, PassEntry, Record
from scrapeview.targets import Target

BREAK = "  \n"
"""A new line in Markdown."""
NO_TARGET_WORDS = "No target is set: choose one with the face on the page Shop."


def show_standing(
    face: FaceEntry, progress: pd.DataFrame, waiting: PassEntry | None, units: Units
) -> None:
    """Show the figures of the latest pass, print by print, beside the target."""
    about = about_line(face.plan)
    if about:
        st.caption(about)
    latest = progress[progress["number"] == progress["number"].max()]
    confidence = face.plan.settings.confidence
    for row in latest.itertuples(index=False):
        st.markdown(heading(row))
        _show_figures(row, face.plan.target, units, confidence)
    st.caption(target_line(face.plan.target, units))
    if waiting is not None:
        st.info(f"Pass {waiting.number} is scraped and waits for its print.")


def show_verdict(record: Record, face: FaceEntry) -> None:
    """Show the verdict on a face in one line."""
    if not face.plan.target.asks:
        return
    with st.spinner("Judging the face ...", show_time=False):
        verdict = kept_verdict(record, face.face_id)
    st.html(verdict_html(verdict.outcome, verdict.reason))


def about_line(plan: FacePlan) -> str:
    """Return what a face does, what it is printed against and what was noted of it, in a line."""
    against = f"printed against {plan.reference}" if plan.reference else ""
    notes = " ".join(plan.notes.split())
    what = ", ".join(part for part in (plan.role, against) if part)
    return as_written(". ".join(part for part in (what[:1].upper() + what[1:], notes) if part))


def heading(row: Any) -> str:
    """Return pass, placement, day, kind of scraping and hand of a print in one line."""
    where = f", {row.placement}" if row.placement else ""
    told = ", ".join(part for part in (day(row.printed_at), row.scraping, row.who) if part)
    return f"**Pass {row.number}{as_written(where)}**" + (f" · {as_written(told)}" if told else "")


def target_line(target: Target, units: Units) -> str:
    """Return the target of a face in one line, or that there is none."""
    if not target.asks:
        return NO_TARGET_WORDS
    return f"Target: {as_written(target_words(target, units))}"


def _show_figures(row: Any, target: Target, units: Units, confidence: float) -> None:
    if not row.is_print:
        st.warning("No print was found on the face: see the checks of this pass below.")
        return
    level = f"{100 * confidence:g} % interval"
    with st.container(key=f"standing_{row.print_id}"):
        contact, points, worst, bare = st.columns(4)
    ends = (row.contact_low_percent, row.contact_high_percent)
    contact.metric("Contact", f"{row.contact_percent:.1f} %")
    least, most = target.contact_least_percent, target.contact_most_percent
    stands = against_words(row.contact_percent, *ends, least, most, " %")
    contact.caption(f"{level} {interval(Interval(*ends))}{BREAK}{stands}")
    _show_points(points, row, target, units, level)
    worst.metric("Worst square", f"{row.worst_contact_percent:.1f} %")
    if row.count_reliable:
        there = points_by(row.worst_points_per_square_inch, units)
        worst.caption(f"contact there; {there:.1f} points/{points_unit(units)}")
    else:
        worst.caption("contact there")
    bare.metric("Largest bare circle", length_words(row.bare_circle_mm, units))
    bare.caption("across")


def _show_points(place: Any, row: Any, target: Target, units: Units, level: str) -> None:
    label = f"Points/{points_unit(units)}"
    if not row.count_reliable:
        place.metric(label, "unreliable")
        merged = f"{row.merged_percent:.0f} % of the contact lies in merged patches"
        place.caption(f"{merged}: go by contact.")
        return
    value, low, high = (
        points_by(v, units) for v in (row.points_per_square_inch, row.ppsi_low, row.ppsi_high)
    )
    place.metric(label, f"{value:.1f}")
    least = None if target.ppsi_least is None else points_by(target.ppsi_least, units)
    stands = against_words(value, low, high, least, None, "")
    place.caption(f"{level} {interval(Interval(low, high))}{BREAK}{stands}")


def against_words(
    value: float, low: float, high: float, least: float | None, most: float | None, unit: str
) -> str:
    """Return how a figure stands to its target, with how sure that is.

    Parameters
    ----------
    value, low, high : float
        The figure and the ends of its interval.
    least, most : float or None
        What is asked.
    unit : str
    """
    asked = range_words(least, most)
    if not asked:
        return "no target"
    floor = -np.inf if least is None else least
    ceiling = np.inf if most is None else most
    if floor <= value <= ceiling:
        doubts = [side for side, out in (("below", low < floor), ("above", high > ceiling)) if out]
        words = "✓ met" + (f", but its interval reaches {' and '.join(doubts)}" if doubts else "")
    else:
        side = "▽ below" if value < floor else "△ above"
        near = high >= floor if value < floor else low <= ceiling
        words = f"{side}, but its interval reaches it" if near else side
    return f"target {asked}{unit}: {words}"


def as_written(text: str) -> str:
    """Return what a person wrote so that Markdown shows it as it is."""
    return "".join(f"\\{c}" if c in "\\`*_{}[]()#+-.!|<>$~:" else c for c in text)
