"""The care of the record: check it, read its prints again, and take its tables out."""

from typing import Any

import pandas as pd
import streamlit as st

from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.steps import steps_on
from scrapeview.record import Record
from scrapeview.record.check import check_record
from scrapeview.record_tables import WHATS, record_table
from scrapeview.reread import READ_AGAIN, reread
from scrapeview.tables import KINDS, MIME, table_bytes

WHAT_WORDS = {
    "faces": "faces: where each stands",
    "passes": "passes: one row a print",
    "points": "points of every print",
    "cells": "squares of every print",
    "eye_counts": "squares counted by eye",
    "swing_tests": "swing tests of all faces",
    "film_calibrations": "what film is worth on each face",
    "line_checks": "checks with level or indicator",
}
KIND_WORDS = {"csv": "CSV, for a spreadsheet", "parquet": "Parquet", "json": "JSON"}
_EXPORT = "export_ready"
_ALL_FACES = 0
"""No face has this number."""


def show_check(record: Record) -> None:
    """Offer to check that every photograph and every reading is there and unharmed."""
    if not st.button("Check the record", key="check_record"):
        return
    bar = st.progress(0.0, "Checking every photograph and reading")
    problems = check_record(record, steps_on(bar))
    bar.empty()
    if not problems:
        st.success("The record is sound: every photograph and every reading is there, unharmed.")
        return
    lost = sum(not problem.is_harmless for problem in problems)
    if lost:
        st.error(f"{lost} thing{'s are' if lost > 1 else ' is'} wrong with the record.")
    else:
        st.success("Nothing is lost. Some files could be tidied away:")
    for problem in problems:
        (st.info if problem.is_harmless else st.warning)(problem.sentence)


def show_reread(record: Record) -> None:
    """Offer to read prints again with today's method and each face's settings."""
    st.subheader("Read prints again", anchor=False)
    st.caption(
        "After a change of a face's settings, or of the program, read its prints again so that "
        "all passes compare. Earlier readings stay in the record. Prints that are up to date "
        "are left alone; if it is broken off, press again to go on."
    )
    faces = {face.face_id: face.title for face in record.faces()}
    if not faces:
        st.info("There is no face yet: add one on the page Shop.")
        return
    face_id = st.selectbox(
        "Whose prints", [_ALL_FACES, *faces], key="reread_face",
        format_func=lambda face_id: faces.get(face_id, "all faces"),
    )  # fmt: skip
    if not st.button("Read again", key="reread"):
        return
    bar = st.progress(0.0, "Reading")
    with plainly():
        whose = list(faces) if face_id == _ALL_FACES else [face_id]
        moved = reread(record, whose, progress=steps_on(bar))
        bar.empty()
        _show_moved(moved)


def _show_moved(moved: pd.DataFrame) -> None:
    if moved.empty:
        st.success("Every print was read with today's method and settings: nothing to do.")
        return
    failed = int((moved["outcome"] != READ_AGAIN).sum())
    read = len(moved) - failed
    st.success(f"{read} print{'s were' if read != 1 else ' was'} read again.")
    if failed:
        st.warning(f"{failed} could not be read; the table says why. Their readings stay.")
    st.dataframe(moved, hide_index=True, placeholder="-", column_config=_moved_columns())
    st.download_button(
        "Download what moved", table_bytes(moved, "csv"), "read-again.csv", MIME["csv"],
        key="reread_csv", on_click="ignore",
    )  # fmt: skip


def _moved_columns() -> dict[str, Any]:
    number = st.column_config.NumberColumn
    return {
        "face": "Face",
        "pass": "Pass",
        "placement": "Placement",
        "before_contact_percent": number("Contact before, %", format="%.1f"),
        "after_contact_percent": number("after, %", format="%.1f"),
        "before_points_per_square_inch": number("Points/in2 before", format="%.1f"),
        "after_points_per_square_inch": number("after", format="%.1f"),
        "before_points": "Points before",
        "after_points": "after",
        "outcome": "Outcome",
    }


def show_exports(record: Record) -> None:
    """Offer the record's tables as files."""
    st.subheader("Take the figures out", anchor=False)
    left, right = st.columns(2)
    what = left.selectbox("Table", WHATS, key="export_what", format_func=WHAT_WORDS.__getitem__)
    kind = right.selectbox("File", KINDS, key="export_kind", format_func=KIND_WORDS.__getitem__)
    if st.button("Make the file", key="export_make"):
        bar = st.progress(0.0, "Gathering")
        with plainly():
            content = table_bytes(record_table(record, what, steps_on(bar)), kind)
            st.session_state[_EXPORT] = (what, kind, content)
        bar.empty()
    ready_what, ready_kind, content = st.session_state.get(_EXPORT, ("", "", b""))
    if (ready_what, ready_kind) == (what, kind):
        st.download_button(
            f"Download {what}.{kind}", content, f"scrapeview-{what}.{kind}", MIME[kind],
            key="export_download", type="primary", on_click="ignore",
        )  # fmt: skip
