"""The page Judge: whether a face is done, how sure that is, and what to do next."""

import pandas as pd
import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.charts.verdict_words import waiting_sentence
from scrapeview.dashboard.judge_balance import show_balance
from scrapeview.dashboard.judge_cached import verdict_of
from scrapeview.dashboard.judge_criteria import show_criteria
from scrapeview.dashboard.judge_eye import show_eye
from scrapeview.dashboard.judge_headline import show_advice, show_basis, show_headline
from scrapeview.dashboard.judge_next import show_next
from scrapeview.dashboard.judge_over import show_over
from scrapeview.dashboard.judge_part import part
from scrapeview.dashboard.judge_progress import show_progress
from scrapeview.dashboard.judge_shape import show_shape
from scrapeview.dashboard.new_print_scrape import waiting_pass
from scrapeview.dashboard.shell import EMPTY_PASSES, chosen_face, link_to, page, the_record
from scrapeview.record import FaceEntry, Record
from scrapeview.shown_units import face_units

VERDICT, SHAPE, OVER = "Verdict", "Shape", "Last passes"
NEXT, PROGRESS, EYE = "Next pass", "Progress", "By eye"
SECTIONS = (VERDICT, SHAPE, OVER, NEXT, PROGRESS, EYE)
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
    waiting = waiting_pass(record, face)
    if waiting is not None:
        st.info(waiting_sentence(waiting.number))
    if section != EYE:
        # the eye is not to be led by the program's figures
        with part():
            show_headline(face, verdict_of(record, face.face_id), units)
    with part():
        _show_section(record, face, section or SECTIONS[0], progress, units)


def _show_section(
    record: Record, face: FaceEntry, section: str, progress: pd.DataFrame, units: Units
) -> None:
    if section == VERDICT:
        _show_verdict(record, face, units)
    elif section == SHAPE:
        show_shape(record, face, progress, units)
    elif section == NEXT:
        show_next(record, face, progress, verdict_of(record, face.face_id), units)
    elif section == PROGRESS:
        show_progress(face, progress, verdict_of(record, face.face_id), units)
    elif section == OVER:
        show_over(record, face, progress, units)
    elif section == EYE:
        show_eye(record, face, progress, units)


def _show_verdict(record: Record, face: FaceEntry, units: Units) -> None:
    verdict = verdict_of(record, face.face_id)
    show_basis(record, face, verdict, units)
    show_advice(verdict, units)
    with part():
        show_criteria(face, verdict, units)
    with part():
        show_balance(face, verdict, units)
