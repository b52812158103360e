"""Keeping a print as a pass of its face."""

import dataclasses
from dataclasses import dataclass

import streamlit as st

from scrapeview.charts.placement_words import placement_words
from scrapeview.charts.shown import Units
from scrapeview.dashboard.new_print_draft import Draft, drop
from scrapeview.dashboard.new_print_photo import KINDS, LARGEST_MB, checked_photo, clear_field
from scrapeview.dashboard.new_print_scrape import scrape_fields, waiting_pass
from scrapeview.dashboard.shell import link_to, plainly
from scrapeview.placements import Placement
from scrapeview.record import FaceEntry, Record, Scrape
from scrapeview.result import Reading


@dataclass(frozen=True)
class AsPass:
    """A pass the print can be kept as.

    Attributes
    ----------
    number : int
    label : str
        Words of the choice.
    scrape : Scrape
        What was told of the pass already.
    another : bool
        Whether it has prints already.
    """

    number: int
    label: str
    scrape: Scrape
    another: bool


def passes_offered(record: Record, face: FaceEntry) -> tuple[AsPass, ...]:
    """Return what a print of a face can be kept as, the likeliest first."""
    waiting = waiting_pass(record, face)
    printed = [entry for entry in record.passes(face.face_id) if entry.print_ids]
    if waiting is not None:
        label = f"Pass {waiting.number}, which waits for it"
        first = AsPass(waiting.number, label, waiting.scrape, another=False)
    else:
        number = record.next_pass_number(face.face_id)
        first = AsPass(number, f"Pass {number}", Scrape(), another=False)
    if not printed:
        return (first,)
    last = printed[-1]
    label = f"Another print of pass {last.number}"
    return first, AsPass(last.number, label, last.scrape, another=True)


def keep_form(
    record: Record, face: FaceEntry, draft: Draft, reading: Reading, units: Units
) -> None:
    """Show the form that keeps a print, and keep it when it is sent."""
    offered = passes_offered(record, face)
    st.subheader("Keep it", anchor=False)
    chosen = offered[0]
    if len(offered) > 1:
        numbers = range(len(offered))
        chosen = offered[
            st.radio(
                "Keep as", numbers, format_func=lambda at: offered[at].label,
                key=f"{draft.key} as", horizontal=True,
            )
        ]  # fmt: skip
    kept_here = _kept_here(record, face, draft.sha256)
    # fields of another pass are other fields: what stands in them is that pass's own
    key = f"{draft.key} keep {chosen.number} {chosen.another}"
    with st.form(key):
        scrape = scrape_fields(record, chosen.scrape, units, key)
        placement = _placement(draft, units, key)
        more = st.file_uploader(
            "More photographs of this print, kept with it", KINDS, accept_multiple_files=True,
            key=f"{key} more", max_upload_size=LARGEST_MB,
        )  # fmt: skip
        again = kept_here and st.checkbox(
            "Keep this photograph once more, although this face has it already", key=f"{key} again"
        )
        word = f"Keep as another print of pass {chosen.number}" if chosen.another else (
            f"Keep as pass {chosen.number}"
        )  # fmt: skip
        if st.form_submit_button(word, type="primary", width="stretch"):
            with plainly():
                photos = [(draft.name, draft.photo), *draft.photos]
                photos += [checked_photo(one) for one in more or ()]
                kept = record.keep_print(
                    face.face_id, photos, reading, scrape, placement=placement,
                    pass_number=chosen.number if chosen.another else None, again=bool(again),
                    joined=None if draft.joined is None else draft.joined.as_dict(),
                )  # fmt: skip
                _done(face, draft, f"Kept as pass {kept.pass_number}.")
    st.caption(
        "Until it is kept, a reload of the page loses the photograph and what was corrected. "
        "Nothing that is kept is ever lost."
    )


def _placement(draft: Draft, units: Units, key: str) -> Placement:
    """Return where the reference lay: told before the print was placed, or named now."""
    if draft.placement.is_told:
        st.caption(f"The reference lay: {placement_words(draft.placement, units)}.")
        return draft.placement
    name = st.text_input(
        "Where the reference lay", draft.placement.name, key=f"{key} placement", max_chars=200,
        placeholder="only for a reference shorter than the face: left end, middle ...",
    )  # fmt: skip
    return dataclasses.replace(draft.placement, name=name.strip())


def save_form(record: Record, face: FaceEntry, draft: Draft, reading: Reading) -> None:
    """Show the form that saves the corrected reading of a kept print, and save it when sent."""
    if draft.print_id is None:
        return
    key = f"{draft.key} save"
    with st.form(key):
        st.caption(
            "Read with the face's outline and settings of today. The reading there was is kept "
            "too: nothing is overwritten."
        )
        why = st.text_input("Why", f"{len(draft.corrections)} corrections by hand", max_chars=400)
        if st.form_submit_button("Save the corrected reading", type="primary", width="stretch"):
            with plainly():
                record.add_reading(draft.print_id, reading, why.strip() or "corrected by hand")
                _done(face, draft, "The corrected reading is saved and is now the current one.")


def show_kept(face: FaceEntry) -> None:
    """Say once that a print was kept, with the way to the face's page."""
    said = st.session_state.pop(_said(face.face_id), None)
    if said:
        st.success(f"{said} The page Face shows how {face.plan.name} has come along.")
        link_to("Face", face.face_id, "See the face")


def _done(face: FaceEntry, draft: Draft, said: str) -> None:
    drop(draft)
    clear_field(face.face_id)
    if "print" in st.query_params:
        del st.query_params["print"]
    st.session_state[_said(face.face_id)] = said
    st.rerun()


def _kept_here(record: Record, face: FaceEntry, sha256: str) -> bool:
    return any(sha256 in entry.photo_sha256s for entry in record.prints(face.face_id))


def _said(face_id: int) -> str:
    return f"new_print_said {face_id}"
