"""The page Side by side: two prints of a face compared, and what its last passes have in common."""

import pandas as pd
import streamlit as st

from scrapeview.dashboard.shell import EMPTY_PASSES, chosen_face, link_to, page, the_record
from scrapeview.dashboard.side_passes import show_passes
from scrapeview.dashboard.side_prints import show_prints
from scrapeview.record import FaceEntry
from scrapeview.shown_units import face_units

ONE_PRINT = (
    "This face has one print so far, and nothing to lay beside it. Scrape the high places, print "
    "again and keep the print on the page New print; then two prints can be compared here."
)


def side_page() -> None:
    """Show the page."""
    with page("Side by side"):
        record = the_record()
        face = chosen_face(record)
        if face is None:
            return
        progress = record.progress(face.face_id)
        if len(progress) < 2:
            _say_what_to_do(face, progress)
            return
        units = face_units(record, face)
        show_prints(record, face, progress, units)
        show_passes(record, face, progress, units)


def _say_what_to_do(face: FaceEntry, progress: pd.DataFrame) -> None:
    st.info(EMPTY_PASSES if progress.empty else ONE_PRINT)
    link_to("New print", face.face_id)
