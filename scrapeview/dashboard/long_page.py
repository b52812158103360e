"""The page Long face: a face longer than the reference, or than one photograph, as one strip."""

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.judge_part import part
from scrapeview.dashboard.long_joined import show_joined
from scrapeview.dashboard.long_line import show_line
from scrapeview.dashboard.long_placement import show_placements
from scrapeview.dashboard.long_progress import show_progress
from scrapeview.dashboard.long_strip import show_strip
from scrapeview.dashboard.long_zoom import show_zoom
from scrapeview.dashboard.shell import EMPTY_PASSES, chosen_face, link_to, page, the_record
from scrapeview.face_in_line import LongFace, long_face_of
from scrapeview.record import FaceEntry, Record
from scrapeview.shown_units import face_units

STRIP, STRETCH, PROGRESS = "Strip", "Stretch", "Progress"
LINE, JOINED, PLACEMENTS = "In line", "Photographs", "Placements"
SECTIONS = (STRIP, STRETCH, PROGRESS, LINE, JOINED, PLACEMENTS)
"""Only the one that is looked at is made."""
NOT_TOLD = (
    "No print of this face says where along it the reference lay. Tell it below for the prints "
    "there are; for the next ones tell it when you keep them, on the page New print."
)


def long_page() -> None:
    """Show the page."""
    with page("Long face"):
        record = the_record()
        face = chosen_face(record)
        if face is not None:
            _show_face(record, face)


def _show_face(record: Record, face: FaceEntry) -> None:
    found = long_face_of(record, face)
    if not (found.placed or found.unplaced):
        st.info(EMPTY_PASSES)
        link_to("New print", face.face_id)
        return
    units = face_units(record, face)
    section = st.segmented_control(
        "What to look at", SECTIONS, default=SECTIONS[0], required=True, key="look",
        label_visibility="collapsed", bind="query-params",
    )  # fmt: skip
    with part():
        _show_section(record, face, section or SECTIONS[0], found, units)


def _show_section(
    record: Record, face: FaceEntry, section: str, found: LongFace, units: Units
) -> None:
    if section == JOINED:
        show_joined(record, face, found, units)
    elif section == PLACEMENTS:
        show_placements(record, face, found, units)
    elif not found.placed:
        st.info(NOT_TOLD)
        show_placements(record, face, found, units)
    elif section == STRIP:
        show_strip(record, face, found, units)
    elif section == STRETCH:
        show_zoom(record, face, found, units)
    elif section == PROGRESS:
        show_progress(face, found, units)
    elif section == LINE:
        show_line(record, face, found, units)
