"""Outline and openings of a face: drawn once on the square-on picture and kept in its plan."""

import dataclasses
import math
from collections.abc import Sequence

import numpy as np
import streamlit as st

from scrapeview.charts.shown import Units, area, place
from scrapeview.dashboard.cached_prints import preview_of, reading_asked
from scrapeview.dashboard.new_print_draft import Draft
from scrapeview.dashboard.picture import Event, Places, Tool, events_of, pick_places
from scrapeview.errors import ScrapeviewError
from scrapeview.plane import Plane, circle_polygon
from scrapeview.plane.polygons import polygon_area
from scrapeview.record import FaceEntry, FacePlan, Record
from scrapeview.record.entries import Polygon

HOLE_CORNERS = 48
_FINISH = "Tap the first one again or press Finish."
TOOLS = (
    Tool("opening", "Opening", "Tap round a slot, hole or groove that is not face.", 3, _FINISH),
    Tool("hole", "Round hole", "Tap the middle of a round hole.", 2, "Tap its rim."),
    Tool("region", "Outline", "Tap round the face, or round one rail of several.", 3, _FINISH),
)
OUTLINE = Places(
    names=("corner",), least=3, most=60, line="closed", busy="Reading the print ...",
    prompt="tap the corners of the face, one after the other round it.",
    ready="Tap more corners, or go on when the outline is whole.", done="This is the face",
)  # fmt: skip


def draw_outline(record: Record, face: FaceEntry, draft: Draft, plane: Plane) -> None:
    """Let the outline of a free face be drawn on the photograph; then the page runs again."""
    key = f"{draft.key} outline"
    sent = [event.places for event in events_of(key) if event.kind == "picks"]
    if sent:
        drawn = tuple((float(x), float(y)) for x, y in plane.to_mm(np.array(sent[-1])))
        if _kept(record, face, draft, plane, _with(face.plan, "region", drawn)):
            st.rerun()
    _show_refused(draft)
    st.info("Draw the outline of the face once; it is kept for all its prints.")
    preview = preview_of(draft.sha256, draft.photo)
    pick_places(key, preview.picture, preview.scale, OUTLINE)


def apply_outlines(
    record: Record, face: FaceEntry, draft: Draft, plane: Plane, events: Sequence[Event]
) -> bool:
    """Keep outlines and openings that were drawn in the face's plan; tell whether it changed.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    draft : Draft
        What is refused is kept there in words.
    plane : Plane
        Of the draft.
    events : sequence of Event
    """
    plan = face.plan
    for event in events:
        drawn = _drawn(event)
        if drawn:
            changed = _with(plan, event.kind, drawn)
            if _kept(record, face, draft, plane, changed):
                plan = changed
    return plan is not face.plan


def _drawn(event: Event) -> Polygon:
    """The polygon an event draws; none where it draws nothing."""
    if event.kind == "hole" and len(event.places) == 2:
        radius_mm = math.dist(*event.places)
        circle = circle_polygon(event.places[0], radius_mm, vertices=HOLE_CORNERS)
        return tuple((float(x), float(y)) for x, y in circle)
    return event.places if event.kind in ("opening", "region") else ()


def _with(plan: FacePlan, kind: str, drawn: Polygon) -> FacePlan:
    if kind == "region":
        return dataclasses.replace(plan, regions_mm=(*plan.regions_mm, drawn))
    return dataclasses.replace(plan, openings_mm=(*plan.openings_mm, drawn))


def _kept(record: Record, face: FaceEntry, draft: Draft, plane: Plane, changed: FacePlan) -> bool:
    try:
        # what cannot be read is not kept: it would spoil every print after this one
        reading_asked(draft.asked(changed, plane), draft.photo)
        record.change_face(face.face_id, changed)
    except ScrapeviewError as error:
        draft.refused.append(str(error))
        return False
    return True


def _show_refused(draft: Draft) -> None:
    while draft.refused:
        st.error(draft.refused.pop(0))


def show_outlines(
    record: Record, face: FaceEntry, draft: Draft, plane: Plane, units: Units
) -> None:
    """Show what the plan holds of outlines and openings, each with a button to take it away."""
    plan = face.plan
    st.caption(
        "Outline and openings belong to the face: they hold for this print and for all later ones. "
        "Prints kept before stay as they were read, until you read them again on the page Settings."
    )
    named = (
        ("outline", "regions_mm", plan.regions_mm),
        ("opening", "openings_mm", plan.openings_mm),
    )
    if not plan.regions_mm:
        st.markdown("No outline is drawn: all of the shape is the face.")
    for word, name, polygons in named:
        for number, polygon in enumerate(polygons, start=1):
            label = f"Take away {word} {number}: {_size_words(polygon, units)}"
            if st.button(label, key=f"{draft.key} {word} {number}", width="stretch"):
                left = (*polygons[: number - 1], *polygons[number:])
                _kept(record, face, draft, plane, dataclasses.replace(plan, **{name: left}))  # type: ignore[arg-type]
                st.rerun()


def _size_words(polygon: Polygon, units: Units) -> str:
    corners = np.array(polygon)
    x, y = corners.min(axis=0)
    return f"{area(polygon_area(corners), units)}, begins {place(float(x), float(y), units)}"
