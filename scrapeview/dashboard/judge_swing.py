"""The swing test: what it said of a face, kept beside what its print says."""

import dataclasses
from collections.abc import Sequence

import pandas as pd
import streamlit as st

from scrapeview.dashboard.face_downloads import file_stem, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.said_once import say_afresh, show_said
from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.shop_wide import scrapers
from scrapeview.dashboard.standing import day
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import Swing, SwingTest

LONGEST_NOTE = 400
RESULTS: dict[Swing, str] = {
    "convex": "Convex: it swung from near the middle",
    "hollow": "Hollow: it shuffled on its two ends in turn",
    "even": "Even: it turned about three tenths from the far end",
}
HOW = (
    "Set the part on its reference, clean and lightly oiled, push one end sideways with a finger "
    "and see where it turns."
)


def show_swing(record: Record, face: FaceEntry, numbers: Sequence[int]) -> None:
    """Show the swing tests of a face and let one be kept.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    numbers : sequence of int
        Of the passes that have a print.
    """
    st.markdown("**Swing test on the bench**")
    show_said(f"judge-{face.face_id}-swing")
    tests = record.swing_tests(face.face_id)
    if tests:
        st.markdown("\n".join(f"- {line_of(test)}" for test in reversed(tests[-6:])))
        with st.popover("Download the swing tests", width="stretch"):
            table = pd.DataFrame([dataclasses.asdict(test) for test in tests])
            stem = file_stem(face, "swing-tests")
            offer_table(table, stem, f"judge-{face.face_id}-swing", "Swing tests")
    else:
        st.caption("None is kept yet.")
    with st.expander("Keep a swing test", expanded=not tests):
        _show_form(record, face, numbers)


def line_of(test: SwingTest) -> str:
    """Return a swing test in one line, number first."""
    turned = (
        ""
        if test.pivot_percent is None
        else f", turned at {test.pivot_percent:.0f} % of its length from the far end"
    )
    by = f" ({', '.join(part for part in (test.who, day(test.made_at_utc)) if part)})"
    notes = f": {' '.join(test.notes.split())}" if test.notes else ""
    told = f"{test.result}{turned}{by if len(by) > 3 else ''}{notes}"
    return f"**Pass {test.pass_number}** {as_written(told)}"


def _show_form(record: Record, face: FaceEntry, numbers: Sequence[int]) -> None:
    key = f"judge-{face.face_id}-swing-form"
    st.caption(HOW)
    with st.form(key, border=False, clear_on_submit=False):
        result = st.radio(
            "What it did", list(RESULTS), index=None, key=f"{key}-result",
            format_func=lambda result: RESULTS[result],
        )  # fmt: skip
        turned, after = st.columns(2)
        percent = turned.number_input(
            "Where it turned, % of its length from the far end", 0.0, 100.0, None, step=1.0,
            format="%.0f", key=f"{key}-percent", placeholder="not measured",
        )  # fmt: skip
        number = after.selectbox(
            "After pass", sorted(numbers, reverse=True), key=f"{key}-pass", index=0
        )
        who = st.selectbox(
            "Tested by", list(scrapers(record)), index=None, key=f"{key}-who",
            placeholder="Choose or type a name", accept_new_options=True,
        )  # fmt: skip
        notes = st.text_input("Notes", key=f"{key}-notes", max_chars=LONGEST_NOTE)
        kept = st.form_submit_button("Keep the swing test", width="stretch")
    if kept and result is None:
        st.warning("Nothing was kept: say what the part did.")
    elif kept and result is not None:
        with plainly():
            record.add_swing_test(face.face_id, SwingTest(
                pass_number=int(number), result=result, pivot_percent=percent,
                who=(who or "").strip(), notes=notes.strip(),
            ))  # fmt: skip
            _start_afresh(face, key)


def _start_afresh(face: FaceEntry, key: str) -> None:
    for field in ("result", "percent", "notes"):
        st.session_state.pop(f"{key}-{field}", None)
    say_afresh(f"judge-{face.face_id}-swing", "The swing test is kept.")
