"""How each stretch of a long face came along, and which one is behind the others."""

from collections.abc import Callable

import streamlit as st

from scrapeview.charts import long_words as words
from scrapeview.charts.long_progress import stretches_chart, stretches_table
from scrapeview.charts.long_stretches import Stretch, followed
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_standing import as_written, target_line
from scrapeview.dashboard.long_part import show_chart, stretches_html
from scrapeview.face_in_line import LongFace
from scrapeview.record import FaceEntry

NOTE = (
    "Stretches are the same from pass to pass where both cover 60 % or more of the longer one. "
    "Bars through the signs are intervals; hollow signs: the count is unreliable there."
)


def show_progress(face: FaceEntry, found: LongFace, units: Units) -> None:
    """Show contact and points of each stretch over the passes."""
    lines = followed([*found.placed, *found.unplaced])
    target, number = face.plan.target, max(found.numbers)
    behind = words.behind_sentence(lines, target, units)
    if behind:
        st.markdown(f"**{as_written(behind)}**")
    gone = words.gone_sentence(lines, number)
    if gone:
        st.caption(as_written(gone))
    figure = stretches_chart(lines, target, units)
    show_chart(face, "stretches", figure, stretches_table(lines), NOTE)
    st.caption(target_line(target, units))
    st.markdown(f"**Latest print of each stretch, pass {number}**")
    st.html(stretches_html([line.last for line in lines], units, _of_pass(number)))


def _of_pass(number: int) -> Callable[[Stretch], str]:
    return lambda one: "" if one.pass_number == number else f"of pass {one.pass_number}"
