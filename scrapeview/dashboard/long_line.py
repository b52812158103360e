"""Whether the stretches of a long face lie in line, and two ways in one plane: all estimates."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from scrapeview.charts import long_words as words
from scrapeview.charts.inline_words import (
    REFERENCE_NOTE,
    joint_sentences,
    overlap_sentence,
    plane_sentences,
    unit_sentence,
)
from scrapeview.charts.long_joints import (
    estimate_row,
    joints_table,
    letter_of,
    overlaps_table,
    shown_overlaps,
)
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.judge_part import part
from scrapeview.dashboard.long_cached import in_line_of, shared_plane_of, ways_of
from scrapeview.dashboard.long_checks import show_checks
from scrapeview.dashboard.long_film import show_film
from scrapeview.dashboard.long_part import chosen_pass
from scrapeview.dashboard.long_strip import say_alone, without_misplaced
from scrapeview.face_in_line import LongFace, between, checks_of, unit_of
from scrapeview.judge.inline.estimates import FilmUnit, InLine, Joint, SharedPlane
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import LineCheck

CHECK_BELOW = "Check each with a level or an indicator, and keep what it showed below."


def show_line(record: Record, face: FaceEntry, found: LongFace, units: Units) -> None:
    """Show joints, overlaps, shared planes, checks and the calibration of the film."""
    number = chosen_pass(face, found.numbers)
    stretches = without_misplaced(record, found.of_pass(number))
    unit = unit_of(record.film_calibrations(face.face_id))
    checks = record.line_checks(face.face_id)
    names: list[str] = []
    with part():
        names += _show_joints(record, face, number, stretches, unit, checks, units)
    with part():
        names += _show_ways(record, face, number, stretches, unit, checks, units)
    with part():
        show_checks(record, face, number, names, units)
    with part():
        show_film(record, face, found, units)


def _show_joints(
    record: Record,
    face: FaceEntry,
    number: int,
    stretches: Sequence[Stretch],
    unit: FilmUnit | None,
    checks: Sequence[LineCheck],
    units: Units,
) -> list[str]:
    """Show what lies between neighbouring stretches; return the names of the joints."""
    st.subheader("Step and tilt where stretches meet: an estimate", anchor=False)
    if len(stretches) < 2:
        for one in stretches:
            say_alone(face, one)
        return []
    line = in_line_of(record, stretches, unit)
    st.markdown(as_written(unit_sentence(unit, units)))
    for at, joint in enumerate(line.joints):
        _show_joint(at, joint, checks_of(checks, between(joint), number), units)
    if not line.joints:
        st.info("No two stretches of this pass lie next to each other on one side.")
    st.caption(as_written(f"{CHECK_BELOW} {REFERENCE_NOTE}"))
    _offer(face, number, "joints", joints_table(line.joints))
    _show_overlaps(face, number, line, units)
    return [between(joint) for joint in line.joints]


def _show_joint(at: int, joint: Joint, checks: Sequence[LineCheck], units: Units) -> None:
    where = words.along(joint.at_mm, units)
    both = words.along(joint.overlap_mm, units)
    title = f"{letter_of(at)}: {joint.first} to {joint.second}"
    st.markdown(f"**{as_written(title)}**, {where} from the left end, {both} covered by both")
    lines = joint_sentences(joint, units, checks)
    st.markdown("\n".join(f"- {as_written(sentence)}" for sentence in lines))


def _show_overlaps(face: FaceEntry, number: int, line: InLine, units: Units) -> None:
    st.subheader("Where two placements show the same", anchor=False)
    if not line.overlaps:
        st.info("No two placements overlap: lay the reference so that it covers a third again.")
        return
    sentences = [overlap_sentence(one, units) for one in line.overlaps]
    st.markdown("\n".join(f"- {as_written(sentence)}" for sentence in sentences))
    st.dataframe(
        shown_overlaps(line.overlaps, units), hide_index=True, width="stretch",
        key=f"long-{face.face_id}-overlaps",
    )  # fmt: skip
    _offer(face, number, "overlaps", overlaps_table(line.overlaps))


def _show_ways(
    record: Record,
    face: FaceEntry,
    number: int,
    stretches: Sequence[Stretch],
    unit: FilmUnit | None,
    checks: Sequence[LineCheck],
    units: Units,
) -> list[str]:
    """Show whether two ways that one reference spans share a plane; return what they are called."""
    spanned = [one for one in stretches if ways_of(record, one.reading_id) == 2]
    if not spanned:
        return []
    st.subheader("Two ways in one plane: an estimate", anchor=False)
    rows, names = [], []
    for one in spanned:
        shared = shared_plane_of(record, one.reading_id, unit)
        name = f"{shared.first} and {shared.second}"
        names.append(name)
        st.markdown(f"**{as_written(one.name)}**")
        told = plane_sentences(shared, units, checks_of(checks, name, number))
        st.markdown("\n".join(f"- {as_written(sentence)}" for sentence in told))
        rows += _plane_rows(one, shared)
    _offer(face, number, "ways", pd.DataFrame(rows))
    return list(dict.fromkeys(names))


def _plane_rows(one: Stretch, shared: SharedPlane) -> list[dict[str, object]]:
    estimates = (
        ("balance", shared.balance), ("offset", shared.offset),
        ("tilt across", shared.tilt_across), ("twist", shared.twist),
    )  # fmt: skip
    return [
        {
            "stretch": one.name, "first": shared.first, "second": shared.second, "what": what,
            **estimate_row(estimate), "why_not": shared.why_not,
        }
        for what, estimate in estimates
    ]  # fmt: skip


def _offer(face: FaceEntry, number: int, what: str, table: pd.DataFrame) -> None:
    if table.empty:
        return
    key = f"long-{face.face_id}-{what}-{number}"
    with st.popover(f"Download the {what}", icon=ICON, width="stretch"):
        offer_table(table, file_stem(face, "pass", number, what), key, "Numbers")
