"""The page Judge: whether a face is done, how sure that is, and what to do next."""

import pandas as pd
import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.judge_eye import show_eye
from scrapeview.dashboard.judge_over import show_over
from scrapeview.dashboard.judge_part import part
from scrapeview.dashboard.shell import (
    EMPTY_PASSES,
    chosen_face,
    face_units,
    link_to,
    page,
    the_record,
)
from scrapeview.record import FaceEntry, Record

OVER, EYE = "Last passes", "By eye"
SECTIONS = (OVER, EYE)
"""Only the one that is looked at is made."""


def judge_page() -> None:
    """Show the page."""
    with page("Judge"):
        record = the_record()
        face = chosen_face(record)
        if face is not None:
            _show_face(record, face)


def _show_face(record: Record, face: FaceEntry) -> None:
    progress = record.progress(face.face_id)
    if progress.empty:
        st.info(EMPTY_PASSES)
        link_to("New print", face.face_id)
        return
    units = face_units(record, face)
    section = st.segmented_control(
        "What to look at", SECTIONS, default=SECTIONS[0], required=True, key="look",
        label_visibility="collapsed", bind="query-params",
    )  # fmt: skip
    with part():
        _show_section(record, face, section or SECTIONS[0], progress, units)


def _show_section(
    record: Record, face: FaceEntry, section: str, progress: pd.DataFrame, units: Units
) -> None:
    if section == OVER:
        show_over(record, face, progress, units)
    elif section == EYE:
        show_eye(record, face, progress, units)
