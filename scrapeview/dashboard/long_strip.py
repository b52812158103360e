"""The strip of a long face: placements, what bears, gaps, and where stretches meet."""

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd
import streamlit as st

from scrapeview.charts import long_words as words
from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.inline_words import CHECK_IT, joint_sentences
from scrapeview.charts.long_joints import JOINT_NOTE, joint_signs
from scrapeview.charts.long_stretches import Stretch, prints_table
from scrapeview.charts.long_strip import StripView, contact_map_table, long_strip
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.judge_look import signed_list
from scrapeview.dashboard.judge_part import part
from scrapeview.dashboard.long_cached import elsewhere_of, in_line_of, joined_of, picture_of_face
from scrapeview.dashboard.long_part import (
    chosen_pass,
    show_chart,
    stretches_html,
)
from scrapeview.dashboard.shell import link_to
from scrapeview.face_in_line import (
    Box,
    LongFace,
    between,
    bounds_of,
    checks_of,
    covered_percent,
    unit_of,
)
from scrapeview.judge.inline.estimates import InLine, Joint
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import LineCheck

CONTACT, PHOTOGRAPHS = "Contact", "As photographed"
NOTE = (
    "Along the face to scale; across it is drawn as wide as can be seen. Bars: where the reference "
    "lay. Where two prints show a place, its contact is their mean."
)
WHOLE = 0.95
"""Share of the face from which one print counts as all of it; ours, no source."""
ONE_PRINT = (
    "One print shows the whole face, so there is no joint to look at. For a reference that is "
    "shorter than the face, keep one print for each place it lay, and tell where that was."
)
ONE_PLACEMENT = (
    "This pass has one placement, so there is no joint to look at. Where the reference is shorter "
    "than the face, print again with it moved along by two thirds of its length, and keep that as "
    "another print of the same pass."
)


def show_strip(record: Record, face: FaceEntry, found: LongFace, units: Units) -> None:
    """Show the face of one pass as a strip."""
    number = chosen_pass(face, found.numbers)
    stretches = found.of_pass(number)
    sound = without_misplaced(record, stretches)
    if not sound:
        # what to do about it is said already
        st.html(stretches_html(stretches, units))
        return
    bounds_mm = bounds_of(face.plan, stretches)
    look = st.segmented_control(
        "Picture", (CONTACT, PHOTOGRAPHS), default=CONTACT, required=True,
        key=f"long-{face.face_id}-layer", label_visibility="collapsed",
    )  # fmt: skip
    with part():
        _show_figures(record, face, number, sound, bounds_mm, units)
    place, view = st.empty(), StripView(bounds_mm, stretches)
    with part(), place.container():
        view = _view(record, face, (stretches, sound), bounds_mm, look)
        if not _is_known(face, sound):
            # what the joints say takes longer than the strip
            _show_first(view, units)
    st.html(stretches_html(stretches, units))
    offer_stretches(face, number, stretches)
    joints: Sequence[Joint] = ()
    with part():
        joints = _show_joints(record, face, number, sound, units)
    with part(), place.container():
        _show_chart(face, number, replace(view, joints=joint_signs(joints, units)), units)
    if len(stretches) == 1:
        say_alone(face, stretches[0])
    _show_unplaced(found, number)


def say_alone(face: FaceEntry, one: Stretch) -> None:
    """Say why there is no joint where a pass has one placement, and what to do."""
    if one.end_mm - one.start_mm >= WHOLE * face.plan.width_mm:
        st.caption(ONE_PRINT)
        return
    st.info(ONE_PLACEMENT)
    link_to("New print", face.face_id)


def without_misplaced(record: Record, stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Return the stretches whose readings lie where they were told to, and name the others."""
    wrong = elsewhere_of(record, stretches)
    if wrong:
        names = ", ".join(one.name for one in stretches if one.print_id in wrong)
        st.warning(as_written(
            f"{names}: read before it was told where the reference lay, so it is left out of the "
            "joined map. Tell it once more under Placements: then it is read again there."
        ))  # fmt: skip
    return tuple(one for one in stretches if one.print_id not in wrong)


def _show_figures(
    record: Record,
    face: FaceEntry,
    number: int,
    stretches: Sequence[Stretch],
    bounds_mm: Box,
    units: Units,
) -> None:
    contact, whole = joined_of(record, face, stretches, bounds_mm)
    reliable = all(one.count_reliable for one in stretches)
    said = words.whole_sentence(whole, len(stretches), units, reliable=reliable)
    shown = words.covered_sentence(covered_percent(contact), number, len(stretches))
    st.markdown(f"**{as_written(said)}** {as_written(shown)}")


def _view(
    record: Record,
    face: FaceEntry,
    shown: tuple[tuple[Stretch, ...], tuple[Stretch, ...]],
    bounds_mm: Box,
    look: str | None,
) -> StripView:
    stretches, sound = shown
    contact, _ = joined_of(record, face, sound, bounds_mm)
    picture = picture_of_face(record, sound, bounds_mm) if look == PHOTOGRAPHS else ""
    return StripView(bounds_mm, stretches, contact, (), picture, bounds_mm)


def _is_known(face: FaceEntry, stretches: Sequence[Stretch]) -> bool:
    """Whether this tab has shown what is said of these stretches before; from now on it has."""
    key, told = f"long-{face.face_id}-known", tuple(one.reading_id for one in stretches)
    known = len(stretches) < 2 or st.session_state.get(key) == told
    st.session_state[key] = told
    return known


def _show_first(view: StripView, units: Units) -> None:
    figure = long_strip(view, units)
    st.plotly_chart(
        figure, theme=None, config=chart_config("strip"), key="long-strip-first",
        width="stretch", height=figure.layout.height,
    )  # fmt: skip


def _show_chart(face: FaceEntry, number: int, view: StripView, units: Units) -> None:
    if view.contact is None:
        return
    table = pd.DataFrame(contact_map_table(view.contact))
    show_chart(face, f"strip-pass-{number}", long_strip(view, units), table, NOTE)


def line_of(record: Record, face: FaceEntry, stretches: Sequence[Stretch]) -> InLine:
    """Return what the stretches of a pass say of the line, in micrometres where calibrated."""
    return in_line_of(record, stretches, unit_of(record.film_calibrations(face.face_id)))


def _show_joints(
    record: Record, face: FaceEntry, number: int, stretches: Sequence[Stretch], units: Units
) -> Sequence[Joint]:
    if len(stretches) < 2:
        return ()
    st.subheader("Where they meet: an estimate", anchor=False)
    joints = line_of(record, face, stretches).joints
    checks = record.line_checks(face.face_id)
    told = [
        (sign.letter if first else "", sentence)
        for joint, sign in zip(joints, joint_signs(joints, units), strict=True)
        for first, sentence in _said(joint, checks_of(checks, between(joint), number), units)
    ]
    st.html(signed_list(told))
    st.caption(JOINT_NOTE)
    return joints


def _said(joint: Joint, checks: Sequence[LineCheck], units: Units) -> list[tuple[bool, str]]:
    """What is said of a joint, but for the advice that the note below has, and which is first."""
    said = [one for one in joint_sentences(joint, units, checks) if one != CHECK_IT]
    return [(at == 0, one) for at, one in enumerate(said)]


def _show_unplaced(found: LongFace, number: int) -> None:
    names = [one.name for one in found.unplaced if one.pass_number == number]
    if names:
        st.info(as_written(
            f"Not on the strip, as it is not told where the reference lay: {', '.join(names)}. "
            "Tell it under Placements."
        ))  # fmt: skip


def offer_stretches(face: FaceEntry, number: int, stretches: Sequence[Stretch]) -> None:
    """Offer the stretches of a pass as a table."""
    name = f"placements-pass-{number}"
    key = f"long-{face.face_id}-{name}"
    with st.popover("Download the placements", icon=ICON, width="stretch"):
        offer_table(prints_table(stretches), file_stem(face, name), key, "Placements")
