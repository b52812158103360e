"""What was done to the face before a print: the fields, and a pass whose print comes later."""

from typing import get_args

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.shop_wide import scrapers
from scrapeview.record import FaceEntry, PassEntry, Record, Scrape
from scrapeview.record.entries import Scraping

UM_PER_THOUSANDTH_INCH = 25.4
LONGEST_NOTE = 4000


def scrape_fields(record: Record, told: Scrape, units: Units, key: str) -> Scrape:
    """Show the fields of a pass and return what they hold.

    Parameters
    ----------
    record : Record
    told : Scrape
        What stands in the fields at first.
    units : {"metric", "inch"}
    key : str
        Tells the fields of several forms apart.
    """
    names = list(scrapers(record))
    if told.who and told.who not in names:
        names.append(told.who)
    left, right = st.columns(2)
    who = left.selectbox(
        "Scraped by", names, index=names.index(told.who) if told.who else None, key=f"{key} who",
        placeholder="Choose or type a name", accept_new_options=True,
    )  # fmt: skip
    kinds: list[Scraping] = list(get_args(Scraping))
    scraping = right.selectbox(
        "Kind of scraping", kinds, index=kinds.index(told.scraping), key=f"{key} kind",
        format_func=lambda kind: kind or "not told",
    )  # fmt: skip
    left, right = st.columns(2)
    with left:
        metal_um = _metal_field(told.metal_um, units, key)
    hours = right.number_input(
        "Hours", 0.0, 1000.0, told.hours, step=0.25, key=f"{key} hours", placeholder="not told"
    )
    notes = st.text_area("Notes", told.notes, key=f"{key} notes", max_chars=LONGEST_NOTE)
    return Scrape(
        who=(who or "").strip(), scraping=scraping, metal_um=metal_um, hours=hours,
        notes=notes.strip(),
    )  # fmt: skip


def _metal_field(metal_um: float | None, units: Units, key: str) -> float | None:
    inch = units == "inch"
    per_unit = UM_PER_THOUSANDTH_INCH if inch else 1.0
    given = st.number_input(
        f"Stroke depth or metal taken, {'0.001 in' if inch else 'µm'}", 0.0, 1000.0 / per_unit,
        None if metal_um is None else metal_um / per_unit, step=0.1 if inch else 1.0,
        format="%.2f" if inch else "%.1f", key=f"{key} metal", placeholder="not told",
    )  # fmt: skip
    return None if given is None else given * per_unit


def waiting_pass(record: Record, face: FaceEntry) -> PassEntry | None:
    """Return the pass of a face that was scraped and waits for its print."""
    return next((p for p in record.passes(face.face_id) if not p.print_ids), None)


def later_form(record: Record, face: FaceEntry, units: Units) -> None:
    """Offer to note a pass that is scraped now and printed later."""
    waiting = waiting_pass(record, face)
    if waiting is not None:
        st.info(f"Pass {waiting.number} is scraped and waits for its print.")
        return
    key = f"later {face.face_id}"
    with st.expander("Scraped, print comes later"), st.form(key, border=False):
        st.caption("Notes the pass now; the next print you keep becomes its print.")
        scrape = scrape_fields(record, Scrape(), units, key)
        number = record.next_pass_number(face.face_id)
        if st.form_submit_button(f"Begin pass {number}", width="stretch"):
            with plainly():
                record.begin_pass(face.face_id, scrape)
                st.rerun()
