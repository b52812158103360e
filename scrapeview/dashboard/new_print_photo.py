"""The photograph of a new print: chosen or taken, checked before anything decodes it."""

import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFile

from scrapeview.dashboard.new_print_draft import Draft, draft_of, drop, open_draft, open_it
from scrapeview.errors import PhotoError
from scrapeview.photo.header import sniff_format
from scrapeview.record import FaceEntry, Record

KINDS = ("jpg", "jpeg", "png", "heic", "heif", "webp", "tif", "tiff")
LARGEST_MB = 64
"""A photograph of 50 megapixels has some 25 MB."""


def photo_field(record: Record, face: FaceEntry) -> Draft | None:
    """Let a photograph be chosen or taken and return its draft; None where there is none yet.

    Raises
    ------
    PhotoError
        Where the file is too large or no photograph.
    """
    before = open_draft(face.face_id)
    chosen = st.file_uploader(
        "Photograph of the print", KINDS, key=_field(face.face_id), max_upload_size=LARGEST_MB,
        on_change=_let_go, args=(face.face_id,),
    )  # fmt: skip
    if chosen is None:
        if before is None:
            st.caption(
                "On a phone this takes the photograph with the camera, at its full size. Whole "
                "face, square on, sharp, even light, before anything touches the print."
            )
        else:
            st.info(f"'{before.name}' is still open here and not kept yet.")
        return before
    draft = draft_of(face.face_id, *checked_photo(chosen))
    if before is not None and before.key != draft.key:
        drop(before)
    open_it(draft)
    _tell_where_kept(record, draft)
    return draft


def checked_photo(chosen: UploadedFile) -> tuple[str, bytes]:
    """Return name and bytes of a file that may be decoded.

    Raises
    ------
    PhotoError
        Where it is empty, too large or of a kind that is not read.
    """
    if chosen.size > LARGEST_MB * 1_000_000:
        raise PhotoError(
            f"'{chosen.name}' has {chosen.size / 1e6:.0f} MB; at most {LARGEST_MB} are taken: "
            "save it as JPEG."
        )
    photo = chosen.getvalue()
    if not photo:
        raise PhotoError(f"'{chosen.name}' is empty: copy it from the camera again.")
    if sniff_format(photo[:32]) is None:
        raise PhotoError(
            f"'{chosen.name}' is not a photograph that can be read, whatever its name says: give "
            "a JPEG, PNG, TIFF, WebP or HEIC."
        )
    return chosen.name, photo


def clear_field(face_id: int) -> None:
    """Let the next run show an empty field."""
    st.session_state[_round(face_id)] = int(st.session_state.get(_round(face_id), 0)) + 1


def _tell_where_kept(record: Record, draft: Draft) -> None:
    places = record.where_kept(draft.sha256)
    if places:
        st.warning(
            f"This photograph is kept already: {'; '.join(places)}. Choose another one, unless you "
            "want to keep it again."
        )


def _let_go(face_id: int) -> None:
    """The field was emptied or holds another file: what it held before is not worked on."""
    before = open_draft(face_id)
    if before is not None and st.session_state.get(_field(face_id)) is None:
        drop(before)


def field_key(face_id: int, which: str) -> str:
    """Return the key of one of the fields for photographs: another one once a print is kept."""
    return f"new_print_photo {which} {face_id} {st.session_state.get(_round(face_id), 0)}"


def _field(face_id: int) -> str:
    return field_key(face_id, "one")


def _round(face_id: int) -> str:
    return f"new_print_round {face_id}"
