"""The picture of a reading with its layers and tools, and what is done with taps on it."""

from typing import Any

import streamlit as st

from scrapeview.charts.canvas import Colour
from scrapeview.charts.plain_layer import places_layer
from scrapeview.charts.shown import Units
from scrapeview.dashboard.cached_prints import layers_asked, square_on
from scrapeview.dashboard.new_print_correct import LOOK, TOOLS, apply_events
from scrapeview.dashboard.new_print_draft import Draft
from scrapeview.dashboard.new_print_figures import summary_words
from scrapeview.dashboard.new_print_outline import TOOLS as OUTLINE_TOOLS
from scrapeview.dashboard.new_print_outline import apply_outlines, show_outlines
from scrapeview.dashboard.picture import events_of, show_layers
from scrapeview.plane import Plane
from scrapeview.record import FaceEntry, Record
from scrapeview.result import Reading
from scrapeview.settings import Picks

CORRECT, OUTLINE = "Correct by hand", "Outline and openings"
MARKING_COLOUR: Colour = (0, 158, 115)
METAL_COLOUR: Colour = (230, 159, 0)


def take_events(record: Record, face: FaceEntry, draft: Draft, plane: Plane) -> None:
    """Act on what was tapped on the picture since the last run; the page runs again if need be."""
    events = events_of(_key(draft))
    apply_events(face.plan, draft, plane, events)
    if apply_outlines(record, face, draft, plane, events):
        st.rerun()


def show_picture(
    record: Record, face: FaceEntry, draft: Draft, reading: Reading, key: str, units: Units
) -> None:
    """Show the face square-on with the layers of its reading and the tools chosen.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    draft : Draft
    reading : Reading
    key : str
        What stands for the reading, 64 letters.
    units : {"metric", "inch"}
    """
    chosen = CORRECT
    # the face's plan is for its next prints: a kept print is read as it was
    if draft.print_id is None:
        chosen = st.segmented_control(
            "What to do on the picture", (CORRECT, OUTLINE), default=CORRECT, required=True,
            key=f"{draft.key} doing", label_visibility="collapsed",
        )  # fmt: skip
    with st.container():
        while draft.refused:
            st.error(f"{draft.refused.pop(0)} Nothing was changed.")
    picture, view = square_on(reading, draft.photo)
    layered = layers_asked(key, units, reading, view)
    layered = {**layered, "layers": [*layered["layers"], *_samples(draft, reading.plane)]}
    tools = (LOOK, *OUTLINE_TOOLS) if chosen == OUTLINE else TOOLS
    show_layers(
        _key(draft), picture, layered, tools,
        summary=summary_words(reading, units), busy="Reading again ...",
    )  # fmt: skip
    if chosen == OUTLINE:
        show_outlines(record, face, draft, reading.plane, units)


def _samples(draft: Draft, plane: Plane) -> list[dict[str, Any]]:
    named = (
        ("sample_marking", "sample of marking", draft.marking_px, MARKING_COLOUR, "square"),
        ("sample_metal", "sample of metal", draft.metal_px, METAL_COLOUR, "cross"),
    )
    return [
        vars(places_layer(key, f"{label} ({len(picks)})", _on_face(picks, plane), colour, shape))
        for key, label, picks, colour, shape in named
        if picks
    ]


def _on_face(picks: Picks, plane: Plane) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in plane.to_mm(picks)]


def _key(draft: Draft) -> str:
    return f"{draft.key} layers"
