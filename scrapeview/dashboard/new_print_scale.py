"""The scale a photograph brings along: of a card or tiles in it, or of the map it was joined to."""

import streamlit as st

from scrapeview.charts.long_words import fine_length, joined_map_sentence
from scrapeview.dashboard.cached_prints import MOST_KEPT
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.new_print_draft import Draft
from scrapeview.errors import PlaneError
from scrapeview.photo import load_photo
from scrapeview.plane import Plane
from scrapeview.plane.cards import CARDS, TILES, PaperScale
from scrapeview.plane.markers import find_markers
from scrapeview.record import FaceEntry, Record
from scrapeview.shop_paper import bar_mm, paper_scale
from scrapeview.shown_units import face_units

_CARD, _TILES = "card", "tiles"


def known_scale(record: Record, face: FaceEntry, draft: Draft) -> Plane | None:
    """Return the plane of what lies in the photograph, and say what was found; None without.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    draft : Draft
    """
    units = face_units(record, face)
    if draft.joined is not None:
        for note in draft.joined.notes:
            st.warning(as_written(note))
        st.caption(as_written(joined_map_sentence(draft.joined, units)))
        return draft.joined.plane
    if face.plan.shape == "round":
        # its rim and diameter fix it better than a card beside it
        return None
    what = markers_in(draft.sha256, draft.photo)
    if not what:
        return None
    paper = paper_scale(record)
    try:
        plane = plane_of(what, paper, draft.sha256, draft.photo)
    except PlaneError as error:
        st.warning(f"{error} Without it the face is placed by its own size.")
        return None
    named = "A scale card lies" if what == _CARD else "Scale tiles lie"
    use = st.toggle(f"{named} in the photograph: take the scale from it", True,
                    key=f"{draft.key} scale {what}")  # fmt: skip
    if not use:
        return None
    measured = "" if bar_mm(record) is not None else (
        " Lengths are sure to 2 % only until the bar on its sheet is measured: page Settings."
    )  # fmt: skip
    off = fine_length(plane.residual_mm, units)
    st.caption(f"Its markers fit their drawing within {off}.{measured}")
    return plane


@st.cache_data(max_entries=MOST_KEPT, show_spinner=False)
def markers_in(sha256: str, _photo: bytes) -> str:  # noqa: ARG001 the cache keys on it
    """Return what lies in a photograph: "card", "tiles" or "" for neither."""
    ids = {marker.id for marker in find_markers(load_photo(_photo))}
    if any(ids & set(card.markers_mm) for card in CARDS.values()):
        return _CARD
    return _TILES if any(ids & set(tiles.ids) for tiles in TILES.values()) else ""


@st.cache_data(max_entries=MOST_KEPT, show_spinner=False)
def plane_of(what: str, paper: PaperScale, sha256: str, _photo: bytes) -> Plane:  # noqa: ARG001
    """Return the plane of the card or the tiles in a photograph.

    Raises
    ------
    PlaneError
        Where they do not fit.
    """
    if what == _CARD:
        return Plane.from_card(_photo, paper=paper)
    return Plane.from_tiles(_photo, paper=paper)
