"""Where the face lies in the photograph: picked, offered from the last print, or taken over."""

import dataclasses

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.cached_prints import Preview, followed, preview_of
from scrapeview.dashboard.face_form import length_field
from scrapeview.dashboard.new_print_draft import Draft
from scrapeview.dashboard.new_print_planes import MARKS, Earlier, earlier_picks, plane_from
from scrapeview.dashboard.new_print_scale import known_scale
from scrapeview.dashboard.picture import Places, events_of, pick_places
from scrapeview.errors import ScrapeviewError
from scrapeview.plane import Plane
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import Shape
from scrapeview.settings import Picks

_BUSY = "Reading the print ..."
PLACES: dict[Shape, Places] = {
    "rectangle": Places(
        names=("top left corner", "top right corner", "bottom right corner", "bottom left corner"),
        least=4, most=4, line="closed", busy=_BUSY, done="Read with these corners",
        prompt="tap the face's {name}, as you hold the photograph.",
        ready="All four corners are placed. Drag or nudge one that is not right.",
    ),
    "round": Places(
        names=("place on the rim",),
        least=5, most=60, line="ring", busy=_BUSY, done="Read with this rim",
        prompt="tap the rim of the face, at five places or more all round it.",
        ready="Enough, if they lie all round the rim. More make it surer.",
    ),
    "free": Places(
        names=("first end", "second end"),
        least=2, most=2, line="open", busy=_BUSY, done="Go on with this length",
        prompt="tap the {name} of the known length, the same two marks on every print.",
        ready="Both ends are placed. Drag or nudge one that is not right.",
    ),
}  # fmt: skip
SAME_SHAPE = 0.1
"""How far the ratio of a photograph's sides may be from that of an earlier one."""
_PICKS = {"rectangle": "corners", "round": "rim", "free": "two marks"}


def place_face(record: Record, face: FaceEntry, draft: Draft, units: Units) -> None:
    """Let the face be placed; once it is, the draft holds its plane and the page runs again.

    Raises
    ------
    PhotoError
        Where the photograph cannot be decoded.
    """
    key = f"{draft.key} picks"
    known = known_scale(record, face, draft)
    sent = [event.places for event in events_of(key) if event.kind == "picks"]
    if sent and _placed(record, face, draft, sent[-1], known):
        st.rerun()
    preview = preview_of(draft.sha256, draft.photo)
    for note in preview.notes:
        st.caption(note)
    _say_size(face, draft, units, known)
    earlier = earlier_picks(record, face, draft.sha256, draft.placement)
    picks, version = _offered(record, face, draft, preview, earlier)
    pick_places(key, preview.picture, preview.scale, _places(face, draft), picks, version)


def _places(face: FaceEntry, draft: Draft) -> Places:
    places = PLACES[face.plan.shape]
    if not draft.placement.is_told:
        return places
    prompt = "tap the {name} of the stretch that was printed, over the whole width of the face."
    return dataclasses.replace(places, prompt=prompt)


def _placed(
    record: Record, face: FaceEntry, draft: Draft, picks: Picks, known: Plane | None
) -> bool:
    try:
        plane = plane_from(face.plan, picks, draft.length_mm, draft.placement, known)
        _require_in_photo(plane, draft)
    except ScrapeviewError as error:
        st.error(str(error))
        return False
    draft.plane, draft.picks_px = plane, picks
    if face.plan.shape == "free":
        marks = dict(record.setting(MARKS, {}))
        x, y = plane.to_mm([picks[1]])[0]
        record.set_setting(MARKS, marks | {str(face.face_id): [float(x), float(y)]})
    return True


def _require_in_photo(plane: Plane, draft: Draft) -> None:
    plane.require_inside(preview_of(draft.sha256, draft.photo).full_size_px)


def _say_size(face: FaceEntry, draft: Draft, units: Units, known: Plane | None) -> None:
    if face.plan.shape == "free" and known is None:
        draft.length_mm = length_field(
            "Known length between the two marks", draft.length_mm, units, f"{draft.key} length"
        )


def _offered(
    record: Record, face: FaceEntry, draft: Draft, preview: Preview, earlier: Earlier | None
) -> tuple[Picks, str]:
    """Picks to begin with, and what tells them from others that were offered before."""
    what = _PICKS[face.plan.shape]
    if draft.picks_px:
        return draft.picks_px, "again"
    if earlier is None:
        return (), ""
    if draft.length_mm == 0:
        draft.length_mm = earlier.length_mm
    found = _taken_over(record, draft, earlier)
    if found is not None:
        st.success(
            f"The picture hardly moved since {earlier.where}: its {what} are taken over. Look at "
            "each through the loupe, then read."
        )
        return found, "taken over"
    picks = _fitted(record, earlier, preview)
    chosen = f"{draft.key} from last"
    if picks and st.button(f"Begin with the {what} of {earlier.where}", key=f"{chosen} button"):
        st.session_state[chosen] = True
    return (picks, "last") if st.session_state.get(chosen) else ((), "")


def _taken_over(record: Record, draft: Draft, earlier: Earlier) -> Picks | None:
    try:
        before = earlier.sha256, record.photo(earlier.sha256)
        found = followed(before, (draft.sha256, draft.photo), earlier.picks_px)
    except ScrapeviewError:
        # without the earlier photograph the picks are simply made by hand
        return None
    if found is None:
        return None
    return tuple((float(x), float(y)) for x, y in found.corners_px)


def _fitted(record: Record, earlier: Earlier, preview: Preview) -> Picks:
    """The earlier picks on a photograph of the same shape; none where the shapes differ."""
    try:
        before = preview_of(earlier.sha256, record.photo(earlier.sha256)).full_size_px
    except ScrapeviewError:
        return ()
    (width, height), (old_width, old_height) = preview.full_size_px, before
    if abs(width * old_height / (height * old_width) - 1) > SAME_SHAPE:
        return ()
    across, down = width / old_width, height / old_height
    return tuple(((x + 0.5) * across - 0.5, (y + 0.5) * down - 0.5) for x, y in earlier.picks_px)
