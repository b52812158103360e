"""Where a reference shorter than the face lay, told before the face is placed."""

import streamlit as st

from scrapeview.charts.placement_words import named, placement_words
from scrapeview.charts.shown import Units, length
from scrapeview.dashboard.face_form import length_field
from scrapeview.dashboard.new_print_photo import field_key
from scrapeview.placements import SIDES, Placement, Side
from scrapeview.record import FaceEntry, Record

WHOLE, NEW = "the whole face", "another place"
SIDE_WORDS: dict[Side, str] = {
    "": "over the whole width, or over both ways",
    "far": "on the far side: the top of the picture",
    "near": "on the near side: the foot of the picture",
}


def ask_placement(record: Record, face: FaceEntry, units: Units) -> Placement:
    """Let it be told what of the face the print shows, and return it."""
    if face.plan.shape != "rectangle":
        return Placement()
    before = placements_of(record, face)
    choices = [WHOLE, *(placement_words(place, units) for place in before), NEW]
    key = field_key(face.face_id, "where")
    chosen = st.selectbox(
        "The print shows", choices, key=key,
        help="A reference shorter than the face is laid in several places; each place is a print.",
    )  # fmt: skip
    if chosen == NEW:
        return named(_new_placement(face, units, key), units)
    return Placement() if chosen == WHOLE else before[choices.index(chosen) - 1]


def placements_of(record: Record, face: FaceEntry) -> tuple[Placement, ...]:
    """Return where the reference lay on this face so far, left to right, each place once."""
    known = {entry.where for entry in record.prints(face.face_id) if entry.where.is_told}
    return tuple(sorted(known, key=lambda place: (place.start_mm, place.side, place.name)))


def _new_placement(face: FaceEntry, units: Units, key: str) -> Placement:
    name = st.text_input(
        "Name of the place", key=f"{key} name", max_chars=80,
        placeholder="left end, middle, right end",
    )  # fmt: skip
    left, right = st.columns(2)
    with left:
        start_mm = length_field("Begins, from the face's left end", 0.0, units, f"{key} start")
    with right:
        length_mm = length_field("Length printed", 0.0, units, f"{key} length")
    side = st.radio("Side", SIDES, key=f"{key} side", format_func=SIDE_WORDS.__getitem__)
    if not length_mm:
        st.caption(f"The face is {length(face.plan.width_mm, units)} long.")
        return Placement(name=name.strip(), side=side)
    return Placement(name=name.strip(), start_mm=start_mm, length_mm=length_mm, side=side)
