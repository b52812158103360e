"""The first start: the sample series into the record with one press."""

import streamlit as st

from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.steps import steps_on
from scrapeview.record import Record
from scrapeview.record_samples import keep_samples

WHAT_IT_IS = (
    "Scrapeview keeps photographs of your blued prints, counts their contact and points, and "
    "shows pass by pass how each face comes along. Nothing is in the record yet: look around "
    "with the sample job, or add the machine you are working on."
)
WHAT_THE_SAMPLE_IS = (
    "Eight computed pictures of an invented job, the cross slide of a surface grinder. Reading "
    "them takes some seconds. You can remove the machine again."
)


def sample_button(record: Record) -> int | None:
    """Show the button that loads the sample series; return its face once it is loaded."""
    pressed = st.button(
        "Load the sample series", type="primary", key="load_samples", width="stretch"
    )
    st.caption(WHAT_THE_SAMPLE_IS)
    if not pressed:
        return None
    bar = st.progress(0.0, "Looking for the sample photographs")
    with plainly():
        face = keep_samples(record, steps_on(bar))
        return face.face_id
    bar.empty()
    return None
