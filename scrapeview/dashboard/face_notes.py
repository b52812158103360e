"""What was done before each print and what was noted, to read and to change."""

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.new_print_scrape import scrape_fields
from scrapeview.dashboard.shell import plainly
from scrapeview.record import FaceEntry, PassEntry, Record, Scrape
from scrapeview.units import MM_PER_INCH

MOST_LISTED = 12
UM_PER_THOUSANDTH_INCH = MM_PER_INCH


@st.fragment
def show_notes(record: Record, face: FaceEntry, units: Units) -> None:
    """List what was noted of every pass, latest first, and let it be changed."""
    st.subheader("Notes", anchor=False)
    with plainly():
        passes = record.passes(face.face_id)
        lines = [note_line(entry, units) for entry in reversed(passes)]
        st.markdown("\n".join(lines[:MOST_LISTED]))
        if len(lines) > MOST_LISTED:
            with st.expander(f"{len(lines) - MOST_LISTED} earlier passes"):
                st.markdown("\n".join(lines[MOST_LISTED:]))
        with st.expander("Change what was noted of a pass"):
            _show_form(record, face, {entry.number: entry for entry in passes}, units)


def note_line(entry: PassEntry, units: Units) -> str:
    """Return what was told of a pass as an item of a list."""
    told = scrape_words(entry.scrape, units)
    waits = "" if entry.print_ids else " (waits for its print)"
    notes = as_written(" ".join(entry.scrape.notes.split()))
    said = ": ".join(part for part in (as_written(told), notes) if part)
    return f"- **Pass {entry.number}**{waits} {said or 'nothing noted'}"


def scrape_words(scrape: Scrape, units: Units) -> str:
    """Return what was done before a print: finish, A, 4.0 µm, 0.75 h."""
    metal = hours = ""
    if scrape.metal_um is not None:
        inch = units == "inch"
        metal = (
            f"{scrape.metal_um / UM_PER_THOUSANDTH_INCH:.2f} thousandths of an inch"
            if inch
            else f"{scrape.metal_um:.1f} µm"
        )
    if scrape.hours is not None:
        hours = f"{scrape.hours:g} h"
    return ", ".join(part for part in (scrape.scraping, scrape.who, metal, hours) if part)


def _show_form(record: Record, face: FaceEntry, passes: dict[int, PassEntry], units: Units) -> None:
    number = st.selectbox(
        "Pass", list(reversed(passes)), key=f"face-{face.face_id}-noted",
        format_func=lambda number: f"Pass {number}",
    )  # fmt: skip
    entry = passes[number]
    key = f"face-{face.face_id}-notes-{entry.pass_id}"
    with st.form(key, border=False):
        scrape = scrape_fields(record, entry.scrape, units, key)
        kept = st.form_submit_button("Keep the notes", width="stretch")
    if kept:
        record.change_pass(entry.pass_id, scrape)
        # the charts show hours and metal too
        st.rerun()
