"""The page Face: how one face came along, pass by pass."""

import streamlit as st

from scrapeview.dashboard.face_charts import show_charts
from scrapeview.dashboard.face_notes import show_notes
from scrapeview.dashboard.face_pass import show_pass
from scrapeview.dashboard.face_standing import show_standing, show_verdict
from scrapeview.dashboard.face_table import show_table
from scrapeview.dashboard.shell import (
    EMPTY_PASSES,
    chosen_face,
    link_to,
    page,
    plainly,
    the_record,
)
from scrapeview.face_in_line import is_long
from scrapeview.record import FaceEntry, PassEntry, Record
from scrapeview.shown_units import face_units


def face_page() -> None:
    """Show the page."""
    with page("Face"):
        record = the_record()
        face = chosen_face(record)
        if face is not None:
            _show_face(record, face)


def _show_face(record: Record, face: FaceEntry) -> None:
    progress = record.progress(face.face_id)
    passes = record.passes(face.face_id)
    waiting = next((entry for entry in passes if not entry.print_ids), None)
    if progress.empty:
        _show_empty(face, waiting)
        return
    units = face_units(record, face)
    show_standing(face, progress, waiting, units)
    with plainly():
        show_verdict(record, face)
    _show_ways_on(face, len(progress), waiting)
    show_charts(face, progress, units)
    show_pass(record, face, units)
    show_notes(record, face, units)
    show_table(face, progress, units)


def _show_empty(face: FaceEntry, waiting: PassEntry | None) -> None:
    if waiting is not None:
        st.info(f"Pass {waiting.number} is scraped and waits for the first print of this face.")
    else:
        st.info(EMPTY_PASSES)
    link_to("New print", face.face_id)


def _show_ways_on(face: FaceEntry, prints: int, waiting: PassEntry | None) -> None:
    label = "New print" if waiting is None else f"Print pass {waiting.number}"
    with st.container(horizontal=True):
        with st.container(width=220):
            link_to("New print", face.face_id, label)
        with st.container(width=220):
            link_to("Judge", face.face_id, "Judge this face")
        if prints > 1:
            with st.container(width=220):
                link_to("Side by side", face.face_id)
        if is_long(face.plan):
            with st.container(width=220):
                link_to("Long face", face.face_id)
