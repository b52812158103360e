"""The page Judge: whether a face is done, how sure that is, and what to do next."""

import streamlit as st

from scrapeview.dashboard.shell import EMPTY_PASSES, chosen_face, link_to, page, the_record
from scrapeview.record import FaceEntry, Record


def judge_page() -> None:
    """Show the page."""
    with page("Judge"):
        record = the_record()
        face = chosen_face(record)
        if face is not None:
            _show_face(record, face)


def _show_face(record: Record, face: FaceEntry) -> None:
    if record.progress(face.face_id).empty:
        st.info(EMPTY_PASSES)
        link_to("New print", face.face_id)
