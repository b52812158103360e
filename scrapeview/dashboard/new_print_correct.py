"""Correcting a reading by hand: from taps on the picture to a reading made again."""

from collections.abc import Sequence

import streamlit as st

from scrapeview.charts.shown import Units, length, place
from scrapeview.corrections import Correction
from scrapeview.dashboard.cached_prints import reading_asked
from scrapeview.dashboard.new_print_draft import Draft
from scrapeview.dashboard.picture import Event, Tool
from scrapeview.errors import ScrapeviewError
from scrapeview.plane import Plane
from scrapeview.record import FacePlan

LOOK = Tool("look", "Look", "Tap a point or a square for its numbers.", 0)
TOOLS = (
    LOOK,
    Tool("remove", "Remove", "Tap a point that is none.", 1),
    Tool("add", "Add", "Tap where a point was missed; its size is set below the picture.", 1),
    Tool("merge", "Merge", "Tap one of two marks that are one point.", 2, "Tap the other one."),
    Tool(
        "split", "Split", "Tap beside a mark that is two points, where its neck is.", 2,
        "Tap on the other side of the neck: the line splits the mark.",
    ),
    Tool(
        "leave_out", "Leave out", "Tap the corners of an area to leave out.", 3,
        "Tap the first one again or press Finish.",
    ),
    Tool("sample_marking", "Marking", "Tap a place that is surely marking.", 1),
    Tool("sample_metal", "Metal", "Tap a place that is surely bare metal.", 1),
)  # fmt: skip
_CORRECTIONS = ("remove", "add", "merge", "split", "leave_out")
_SAMPLES = ("sample_marking", "sample_metal")


def apply_events(plan: FacePlan, draft: Draft, plane: Plane, events: Sequence[Event]) -> None:
    """Take what was tapped into a draft; what cannot be applied is dropped and its reason kept.

    Parameters
    ----------
    plan : FacePlan
    draft : Draft
        Changed in place.
    plane : Plane
        Of the draft.
    events : sequence of Event
    """
    for event in events:
        if event.kind in _CORRECTIONS:
            _correct(plan, draft, plane, event)
        elif event.kind in _SAMPLES and event.places:
            _sample(plan, draft, plane, event)


def _correct(plan: FacePlan, draft: Draft, plane: Plane, event: Event) -> None:
    try:
        kind = next(kind for kind in _CORRECTIONS if kind == event.kind)
        made = Correction(kind, event.places, event.diameter_mm if kind == "add" else 0.0)  # type: ignore[arg-type]
        reading_asked(draft.asked(plan, plane, (made,)), draft.photo)
    except ScrapeviewError as error:
        draft.refused.append(str(error))
        return
    draft.corrections.append(made)


def _sample(plan: FacePlan, draft: Draft, plane: Plane, event: Event) -> None:
    before = draft.marking_px, draft.metal_px
    x, y = plane.to_px([event.places[0]])[0]
    if event.kind == "sample_marking":
        draft.marking_px = (*draft.marking_px, (float(x), float(y)))
    else:
        draft.metal_px = (*draft.metal_px, (float(x), float(y)))
    try:
        reading_asked(draft.asked(plan, plane), draft.photo)
    except ScrapeviewError as error:
        draft.marking_px, draft.metal_px = before
        draft.refused.append(str(error))


def show_corrections(draft: Draft, units: Units) -> None:
    """Show what was corrected by hand, with the way back."""
    if draft.corrections:
        st.markdown(f"**Corrected by hand ({len(draft.corrections)})**")
        words = [correction_words(made, units) for made in draft.corrections]
        st.markdown("\n".join(f"{number}. {said}" for number, said in enumerate(words, start=1)))
        if st.button("Undo the last correction", key=f"{draft.key} undo", width="stretch"):
            draft.corrections.pop()
            st.rerun()
    if draft.marking_px or draft.metal_px:
        _show_samples(draft)


def _show_samples(draft: Draft) -> None:
    marking, metal = len(draft.marking_px), len(draft.metal_px)
    st.markdown(f"**Samples by hand**: {marking} of marking, {metal} of metal.")
    if not (marking and metal):
        missing = "bare metal with the tool Metal" if marking else "marking with the tool Marking"
        st.info(f"Samples count once there are both: tap a place of {missing} too.")
    if st.button("Forget the samples", key=f"{draft.key} forget samples", width="stretch"):
        draft.marking_px = draft.metal_px = ()
        st.rerun()


def correction_words(made: Correction, units: Units) -> str:
    """Return a correction in one line."""
    at = place(*made.places_mm[0], units)
    if made.kind == "remove":
        return f"removed the point {at}"
    if made.kind == "add":
        return f"added a point of {length(made.diameter_mm, units)} {at}"
    if made.kind == "merge":
        return f"merged the marks {at} and {place(*made.places_mm[1], units)}"
    if made.kind == "split":
        return f"split a mark {at}"
    return f"left out an area of {len(made.places_mm)} corners round {at}"
