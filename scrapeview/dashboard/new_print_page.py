"""The page New print: a photograph is placed, read, corrected by hand and kept as a pass."""

import dataclasses

import streamlit as st

from scrapeview.charts.placement_words import placement_words
from scrapeview.charts.shown import Units
from scrapeview.dashboard.cached_prints import overlay_asked, reading_asked
from scrapeview.dashboard.new_print_correct import show_corrections
from scrapeview.dashboard.new_print_draft import Draft, drop
from scrapeview.dashboard.new_print_figures import show_checks, show_figures
from scrapeview.dashboard.new_print_keep import keep_form, save_form, show_kept
from scrapeview.dashboard.new_print_kept import asked_print, draft_of_kept, is_changed
from scrapeview.dashboard.new_print_outline import draw_outline
from scrapeview.dashboard.new_print_photo import clear_field, field_key, photo_field
from scrapeview.dashboard.new_print_place import place_face
from scrapeview.dashboard.new_print_scrape import later_form
from scrapeview.dashboard.new_print_several import several_field, show_joined
from scrapeview.dashboard.new_print_view import show_picture, take_events
from scrapeview.dashboard.new_print_where import ask_placement
from scrapeview.dashboard.shell import chosen_face, link_to, page, plainly, the_record
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.record import FaceEntry, Record
from scrapeview.result import Reading
from scrapeview.shown_units import face_units

ONE, SEVERAL = "one photograph", "several, to be joined"


def new_print_page() -> None:
    """Show the page."""
    with page("New print"):
        record = the_record()
        face = chosen_face(record)
        if face is None:
            return
        print_id = asked_print(st.query_params.get("print"))
        if print_id is not None:
            _correct_kept(record, face, print_id)
        else:
            _new_print(record, face)


def _new_print(record: Record, face: FaceEntry) -> None:
    units = face_units(record, face)
    draft = None
    # each part keeps its place on the page, or the browser would build the picture anew
    with st.container(), plainly():
        show_kept(face)
        placement = ask_placement(record, face, units)
        draft = _photographs(record, face, placement)
    if draft is not None:
        _told(draft, placement, units)
    if draft is None:
        later_form(record, face, units)
    elif draft.plane is None:
        st.subheader("Where the face lies", anchor=False)
        place_face(record, face, draft, units)
        _start_over(face, draft)
    elif face.plan.shape == "free" and not face.plan.regions_mm:
        draw_outline(record, face, draft, draft.plane)
        _start_over(face, draft)
    else:
        _read_and_keep(record, face, draft, draft.plane, units)


def _told(draft: Draft, placement: Placement, units: Units) -> None:
    """Take over where a print lies that is not placed yet; say so where it is placed elsewhere."""
    if draft.plane is None or dataclasses.replace(placement, name="") == dataclasses.replace(
        draft.placement, name=""
    ):
        # a name can still be given below to a place that has no millimetres
        if draft.plane is None or placement.is_told:
            draft.placement = placement
        return
    now, then = (
        placement_words(one, units) if one.is_told else "the whole face"
        for one in (placement, draft.placement)
    )
    st.warning(
        f"This print was placed as {then}, and is read and kept as that. To have it as {now}, "
        "press 'Place the face again' at the foot of the page."
    )


def _photographs(record: Record, face: FaceEntry, placement: Placement) -> Draft | None:
    how = st.segmented_control(
        "The face is on", (ONE, SEVERAL), default=ONE, required=True,
        key=field_key(face.face_id, "how many"),
    )  # fmt: skip
    return several_field(record, face, placement) if how == SEVERAL else photo_field(record, face)


def _read_and_keep(
    record: Record, face: FaceEntry, draft: Draft, plane: Plane, units: Units
) -> None:
    take_events(record, face, draft, plane)
    reading = None
    with st.container(), plainly():
        reading = _read(face, draft, plane)
    if reading is not None:
        _show_reading(record, face, draft, reading, units)
        keep_form(record, face, draft, reading, units)
    else:
        show_corrections(draft, units)
    _start_over(face, draft)


def _read(face: FaceEntry, draft: Draft, plane: Plane) -> Reading:
    """Read the print, with a bar the first time; corrections are read again too fast for one."""
    seen = f"{draft.key} seen"
    if seen in st.session_state:
        return reading_asked(draft.asked(face.plan, plane), draft.photo)
    bar = st.progress(0.2, "Reading the print ...")
    try:
        reading = reading_asked(draft.asked(face.plan, plane), draft.photo)
        bar.progress(0.8, "Drawing the picture ...")
    finally:
        bar.empty()
    st.session_state[seen] = True
    return reading


def _show_reading(
    record: Record, face: FaceEntry, draft: Draft, reading: Reading, units: Units
) -> None:
    key = draft.asked(face.plan, reading.plane).key
    with st.container():
        st.subheader("What was read", anchor=False)
        show_figures(reading, face.plan, units)
    show_picture(record, face, draft, reading, key, units)
    show_corrections(draft, units)
    show_checks(reading)
    if draft.joined is not None:
        show_joined(draft.joined, units)
    with st.expander("Download what was read"):
        _downloads(draft, reading, key, units)


def _downloads(draft: Draft, reading: Reading, key: str, units: Units) -> None:
    stem = draft.name.rpartition(".")[0] or draft.name
    # drawn only when asked for: it takes longer than the reading
    st.download_button(
        "Overlay as a picture", lambda: overlay_asked(key, units, reading, draft.photo),
        f"{stem}-overlay.jpg", "image/jpeg", on_click="ignore", width="stretch",
    )  # fmt: skip
    for label, table, name in (
        ("Points as CSV", reading.points, "points"), ("Squares as CSV", reading.cells, "cells"),
    ):  # fmt: skip
        st.download_button(
            label, table.to_csv(index=False), f"{stem}-{name}.csv", "text/csv",
            on_click="ignore", width="stretch",
        )  # fmt: skip


def _start_over(face: FaceEntry, draft: Draft) -> None:
    again, away = st.columns(2)
    if draft.plane is not None and again.button(
        "Place the face again", key=f"{draft.key} replace", width="stretch"
    ):
        draft.plane = None
        st.rerun()
    if away.button("Drop this photograph", key=f"{draft.key} drop", width="stretch"):
        drop(draft)
        clear_field(face.face_id)
        st.rerun()


def _correct_kept(record: Record, face: FaceEntry, print_id: int) -> None:
    units = face_units(record, face)
    with st.container():
        show_kept(face)
    draft, reading, of_pass = draft_of_kept(record, face, print_id)
    plane = reading.plane
    st.subheader(f"Correct the print of pass {of_pass.number}", anchor=False)
    take_events(record, face, draft, plane)
    with plainly():
        changed = is_changed(draft, reading)
        if changed:
            reading = reading_asked(draft.asked(face.plan, plane), draft.photo)
        _show_reading(record, face, draft, reading, units)
        if changed:
            save_form(record, face, draft, reading)
        else:
            st.caption("Correct something above and it can be saved as the current reading.")
    link_to("Face", face.face_id, "Back to the face")
