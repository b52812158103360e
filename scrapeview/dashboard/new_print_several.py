"""Several photographs of one long face: chosen, put in order and joined to one picture."""

import hashlib
import re
from collections.abc import Sequence

import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFile

from scrapeview.charts.long_joined import photos_shown
from scrapeview.charts.long_words import joined_map_sentence
from scrapeview.charts.shown import Units
from scrapeview.dashboard.cached_prints import preview_of
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.joined_cached import Corner, Photos, joined_asked
from scrapeview.dashboard.new_print_draft import Draft, draft_of, drop, open_draft, open_it
from scrapeview.dashboard.new_print_photo import KINDS, LARGEST_MB, checked_photo, field_key
from scrapeview.dashboard.picture import Places, events_of, pick_places
from scrapeview.errors import PhotoError
from scrapeview.joining import Joined
from scrapeview.placed_plane import plane_on_face, stretch_size_mm
from scrapeview.placements import Placement
from scrapeview.record import FaceEntry, Record
from scrapeview.shop_paper import paper_scale

BY_TILES, BY_PRINT = "Tiles lie along the face", "No tiles: the print itself"
ENDS = (
    ("first", ("top left corner", "bottom left corner")),
    ("last", ("top right corner", "bottom right corner")),
)
"""Which photograph shows which corners of the face."""
THUMB_PX = 150


def several_field(record: Record, face: FaceEntry, placement: Placement) -> Draft | None:
    """Let photographs be chosen and joined; return the draft of the joined picture, None before.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    placement : Placement
        What of the face they show.

    Raises
    ------
    PhotoError, PlaneError
        Where a file is no photograph, or they cannot be joined.
    """
    before = open_draft(face.face_id)
    key = field_key(face.face_id, "several")
    chosen = st.file_uploader(
        "Photographs of the face, each overlapping the next by a third", KINDS,
        accept_multiple_files=True, key=key, max_upload_size=LARGEST_MB,
    )  # fmt: skip
    if len(chosen) < 2:
        _say_how(before)
        return before
    joined_already = before is not None and bool(before.photos)
    with st.expander(f"{len(chosen)} photographs", expanded=not joined_already):
        photos = _ordered(chosen, key)
    ways = (BY_TILES, BY_PRINT) if face.plan.shape == "rectangle" else (BY_TILES,)
    how = st.radio("What holds them together", ways, key=f"{key} how")
    corners: tuple[Corner, ...] = ()
    if how == BY_PRINT:
        corners = _end_corners(photos, key)
        if len(corners) < 4:
            return None
    size_mm = stretch_size_mm(face.plan, placement) if corners else None
    asked = corners, size_mm, paper_scale(record)
    if before is not None and before.photos == photos:
        if st.session_state.get(_joined_as(before)) == asked:
            return before
        st.caption("The corners, the stretch or the scale changed since: join them again.")
    if st.button("Join the photographs", key=f"{key} join", type="primary", width="stretch"):
        joined = _joined(record, photos, corners, size_mm)
        draft = _drafted(face, photos, joined, placement)
        if before is not None and before.key != draft.key:
            drop(before)
        open_it(draft)
        st.session_state[_joined_as(draft)] = asked
        # drawn again, the list of photographs folds up and the button is gone
        st.rerun()
    return None


def _say_how(before: Draft | None) -> None:
    if before is not None:
        st.info(f"'{before.name}' is still open here and not kept yet.")
        return
    st.caption(
        "Walk along the face from its left end to its right. Every photograph shows the whole "
        "width, and a third of what the one before it shows. Printed tiles laid along the face "
        "make it surest: the page Settings has them to print."
    )


def _ordered(chosen: Sequence[UploadedFile], key: str) -> Photos:
    """Return the photographs left to right, as they were taken or as a person says."""
    photos = in_order_taken([checked_photo(one) for one in chosen])
    if st.toggle("They were taken from right to left", key=f"{key} turned"):
        photos = photos[::-1]
    with st.container(horizontal=True, gap="small"):
        for number, (name, photo) in enumerate(photos, start=1):
            picture = preview_of(_sha256(photo), photo).picture
            st.image(picture.jpeg, f"{number}: {name}", width=THUMB_PX)
    return photos


def in_order_taken(photos: Sequence[tuple[str, bytes]]) -> Photos:
    """Return photographs by the time they were taken, or by name where one does not tell it."""
    taken = [preview_of(_sha256(photo), photo).taken_at for _, photo in photos]
    if all(taken) and len(set(taken)) == len(taken):
        order = sorted(range(len(photos)), key=lambda at: str(taken[at]))
    else:
        order = sorted(range(len(photos)), key=lambda at: _counted(photos[at][0]))
    return tuple(photos[at] for at in order)


def _counted(name: str) -> list[tuple[int, str]]:
    """Return what a name is sorted by: face 9 comes before face 10."""
    return [(int(p), "") if p.isdecimal() else (-1, p) for p in re.split(r"(\d+)", name)]


def _end_corners(photos: Photos, key: str) -> tuple[Corner, ...]:
    """Return the face's corners, clockwise from its top left; fewer than four until picked."""
    st.caption("Without tiles the face's own corners tell how long a millimetre is.")
    found: list[tuple[Corner, Corner]] = []
    for (which, names), at in zip(ENDS, (0, len(photos) - 1), strict=True):
        picked = _picked(f"{key} {which} corners", which, names, photos[at][1])
        if picked is None:
            return ()
        found.append(((at, *picked[0]), (at, *picked[1])))
    (top_left, bottom_left), (top_right, bottom_right) = found
    return top_left, top_right, bottom_right, bottom_left


def _picked(
    key: str, which: str, names: tuple[str, str], photo: bytes
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    held = f"{key} picked {_sha256(photo)}"
    for event in events_of(key):
        if event.kind == "picks" and len(event.places) == 2:
            st.session_state[held] = event.places
    picks = st.session_state.get(held)
    if picks is not None:
        left, right = st.columns([3, 1])
        left.markdown(f"The {names[0]} and the {names[1]} are placed.")
        if not right.button("Place again", key=f"{key} again", width="stretch"):
            return picks[0], picks[1]
        del st.session_state[held]
    places = Places(
        names=names, least=2, most=2, line="open", busy="One moment ...", done="Go on",
        prompt=f"on the {which} photograph, tap the face's {{name}}.",
        ready="Both corners are placed. Drag or nudge one that is not right.",
    )  # fmt: skip
    preview = preview_of(_sha256(photo), photo)
    pick_places(key, preview.picture, preview.scale, places)
    return None


def _joined(
    record: Record,
    photos: Photos,
    corners: tuple[Corner, ...],
    size_mm: tuple[float, float] | None,
) -> Joined:
    bar = st.progress(0.0, "Opening the photographs ...")

    def advance(share: float, what: str) -> None:
        bar.progress(min(1.0, share), what)

    sha256s = tuple(_sha256(photo) for _, photo in photos)
    if len(set(sha256s)) < len(sha256s):
        raise PhotoError("The same photograph was chosen twice: choose each one once.")
    try:
        return joined_asked(photos, sha256s, paper_scale(record), corners, size_mm, advance)
    finally:
        bar.empty()


def _drafted(face: FaceEntry, photos: Photos, joined: Joined, placement: Placement) -> Draft:
    draft = draft_of(face.face_id, f"joined from {len(photos)} photographs.png", joined.picture)
    draft.photos, draft.joined, draft.placement = photos, joined, placement
    # without tiles the corners were picked before
    picked = bool(joined.plane.face_mm)
    draft.plane = plane_on_face(face.plan, placement, joined.plane) if picked else None
    return draft


def _joined_as(draft: Draft) -> str:
    """Under what it is held by which corners, size and paper a draft was joined."""
    return f"{draft.key} joined as"


def show_joined(joined: Joined, units: Units) -> None:
    """Show how well the photographs fit together, and what they leave open."""
    for note in joined.notes:
        st.warning(as_written(note))
    with st.expander(f"Joined from {len(joined.photos)} photographs"):
        st.markdown(as_written(joined_map_sentence(joined, units)))
        st.dataframe(photos_shown(joined, units), hide_index=True, width="stretch")
        for name in ("photographs", "seams", "gaps"):
            table = joined.photos if name == "photographs" else getattr(joined, name)
            if len(table):
                st.download_button(
                    f"{name.capitalize()} as CSV", table.to_csv(index=False), f"joined-{name}.csv",
                    "text/csv", on_click="ignore", width="stretch",
                )  # fmt: skip
        st.download_button(
            "Joined picture as PNG", joined.picture, "joined.png", "image/png",
            on_click="ignore", width="stretch",
        )  # fmt: skip


def _sha256(photo: bytes) -> str:
    return hashlib.sha256(photo).hexdigest()
