"""A print that is being worked on in one tab: its photograph, how it lies, what was corrected.

It is kept in the tab's own state under the face's number and the photograph's SHA-256, so that two
tabs and a phone never mix prints.
"""

import hashlib
from dataclasses import dataclass, field

import streamlit as st

from scrapeview.corrections import Correction
from scrapeview.dashboard.cached_prints import Asked
from scrapeview.dashboard.joined_cached import Photos
from scrapeview.joining import Joined
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.record import FacePlan
from scrapeview.settings import Picks


@dataclass
class Draft:
    """A print that is not kept yet, or a kept one that is being corrected.

    Attributes
    ----------
    face_id : int
    name : str
        Of the photograph's file.
    photo : bytes
    sha256 : str
    plane : Plane or None
        None until the face is placed.
    corrections : list of Correction
        In the order they were made.
    marking_px, metal_px : tuple of (x, y)
        Sample picks on the photograph.
    print_id : int or None
        Of a kept print.
    reading_id : int or None
        Its current reading.
    refused : list of str
        What was refused since the page was last shown, in sentences.
    picks_px : tuple of (x, y)
        What the face was placed by.
    length_mm : float
        Known length between the two marks of a free face.
    placement : Placement
        Where a shorter reference lay.
    photos : tuple of (str, bytes)
        Name and file of each photograph that `photo` was joined from; none where it is one.
    joined : Joined or None
        How they were joined.
    """

    face_id: int
    name: str
    photo: bytes
    sha256: str
    plane: Plane | None = None
    corrections: list[Correction] = field(default_factory=list)
    marking_px: Picks = ()
    metal_px: Picks = ()
    print_id: int | None = None
    reading_id: int | None = None
    refused: list[str] = field(default_factory=list)
    picks_px: Picks = ()
    length_mm: float = 0.0
    placement: Placement = field(default_factory=Placement)
    photos: Photos = ()
    joined: Joined | None = None

    @property
    def key(self) -> str:
        """What tells this draft's widgets from all others."""
        kept = "" if self.print_id is None else f" kept {self.print_id}"
        return f"new_print {self.face_id} {self.sha256}{kept}"

    def asked(self, plan: FacePlan, plane: Plane, more: tuple[Correction, ...] = ()) -> Asked:
        """Return what is asked of its reading, with more corrections if some are given."""
        return Asked(
            self.sha256, plan, plane, (*self.corrections, *more), self.marking_px, self.metal_px
        )


def draft_of(face_id: int, name: str, photo: bytes) -> Draft:
    """Return the draft of a photograph on a face, begun with the first call."""
    return _held(Draft(face_id, name, photo, hashlib.sha256(photo).hexdigest()))


def kept_draft(begun: Draft) -> Draft:
    """Return the draft of a kept print that is being corrected: as it was left, else as begun."""
    held: Draft = st.session_state.get(begun.key, begun)
    if held.reading_id != begun.reading_id:
        # another tab has corrected the print since
        drop(held)
        held = begun
    return _held(held)


def open_draft(face_id: int) -> Draft | None:
    """Return the draft this tab works on for a face, if there is one."""
    key = st.session_state.get(_now(face_id))
    found = st.session_state.get(key) if key else None
    return found if isinstance(found, Draft) else None


def open_it(draft: Draft) -> None:
    """Let a draft be the one this tab works on for its face."""
    st.session_state[_now(draft.face_id)] = draft.key


def drop(draft: Draft) -> None:
    """Forget a draft and all that its widgets held."""
    if st.session_state.get(_now(draft.face_id)) == draft.key:
        del st.session_state[_now(draft.face_id)]
    for key in [k for k in st.session_state if str(k).startswith(draft.key)]:
        del st.session_state[key]


def _held(draft: Draft) -> Draft:
    held: Draft = st.session_state.setdefault(draft.key, draft)
    return held


def _now(face_id: int) -> str:
    return f"new_print_now {face_id}"
