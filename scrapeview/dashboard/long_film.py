"""What one film unit is worth on a face: one's own figure, or two prints, level and shimmed."""

import dataclasses
from collections.abc import Sequence

import pandas as pd
import streamlit as st

from scrapeview.charts import long_words as words
from scrapeview.charts.inline_amounts import plain_length
from scrapeview.charts.inline_words import SHIM_PROCEDURE
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.shown import Units
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.said_once import say_afresh, show_said
from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.standing import day
from scrapeview.dashboard.take_out import offer_removal
from scrapeview.face_in_line import LongFace
from scrapeview.judge.inline.film_unit import film_unit_from_shim
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import FilmCalibration
from scrapeview.units import MM_PER_INCH

UM_PER_UNIT = {"µm": 1.0, "0.0001 in": 2.54}
SHIM_UNITS = {"µm": 1.0, "0.001 in": 25.4}
WHY = (
    "Contact tells heights in film units. Tell once what one is worth with the film as you lay it, "
    "and estimates are shown in micrometres and ten-thousandths of an inch too."
)


def show_film(record: Record, face: FaceEntry, found: LongFace, units: Units) -> None:
    """Show what a film unit is worth on a face, and let it be told or measured."""
    st.subheader("How thick the film lies", anchor=False)
    show_said(f"long-{face.face_id}-film")
    kept = record.film_calibrations(face.face_id)
    if kept:
        st.markdown("\n".join(f"- {line_of(one, units)}" for one in reversed(kept)))
        st.caption("The latest one holds.")
        _offer(face, kept)
        _show_removal(record, face, kept, units)
    else:
        st.caption(WHY)
    with st.expander("Measure it with a shim"):
        _show_shim_form(record, face, found, units)
    with st.expander("Tell your own figure"):
        _show_own_form(record, face, units)


def line_of(one: FilmCalibration, units: Units) -> str:
    """Return a calibration in one line, number first."""
    value = plain_length(one.um, units)
    ends = ""
    if one.low_um != one.high_um:
        ends = f" ({plain_length(one.low_um, units)} to {plain_length(one.high_um, units)})"
    how = "measured with a shim" if one.how == "shim" else "own figure"
    of_pass = "" if one.pass_number is None else f", pass {one.pass_number}"
    notes = f": {' '.join(one.notes.split())}" if one.notes else ""
    told = f"{ends} is one film unit: {how}{of_pass}, {day(one.made_at_utc)}{notes}"
    return f"**{as_written(value)}**{as_written(told)}"


def _offer(face: FaceEntry, kept: Sequence[FilmCalibration]) -> None:
    with st.popover("Download the calibrations", icon=ICON, width="stretch"):
        table = pd.DataFrame([dataclasses.asdict(one) for one in kept])
        stem, key = file_stem(face, "film"), f"long-{face.face_id}-film"
        offer_table(table, stem, key, "Calibrations")


def _show_removal(
    record: Record, face: FaceEntry, kept: Sequence[FilmCalibration], units: Units
) -> None:
    key = f"long-{face.face_id}-film"
    offer_removal(
        f"{key}-out", "calibration", [line_of(one, units) for one in kept],
        lambda at: record.remove_film_calibration(face.face_id, kept[at].calibration_id), key,
    )  # fmt: skip


def _show_own_form(record: Record, face: FaceEntry, units: Units) -> None:
    key = f"long-{face.face_id}-film-own"
    with st.form(key, border=False):
        value_at, error_at, unit_at = st.columns(3)
        value = value_at.number_input(
            "One film unit is", 0.0, value=None, format="%.2f", key=f"{key}-value",
            placeholder="0.00",
        )  # fmt: skip
        error = error_at.number_input(
            "Sure to, give or take", 0.0, value=None, format="%.2f", key=f"{key}-error",
            placeholder="taken as exact",
        )  # fmt: skip
        unit = unit_at.selectbox(
            "Unit", list(UM_PER_UNIT), index=int(units == "inch"), key=f"{key}-unit"
        )
        notes = st.text_input("Where it comes from", key=f"{key}-notes", max_chars=400)
        sent = st.form_submit_button("Keep this figure", width="stretch")
    if sent and value is None:
        st.warning("Nothing was kept: say what one film unit is.")
    elif sent and value is not None:
        um, reach = value * UM_PER_UNIT[unit], (error or 0.0) * UM_PER_UNIT[unit]
        with plainly():
            record.add_film_calibration(face.face_id, FilmCalibration(
                um=um, low_um=max(0.0, um - reach), high_um=um + reach, how="own figure",
                notes=notes.strip(),
            ))  # fmt: skip
            say_afresh(f"long-{face.face_id}-film", "The figure is kept.")


def _show_shim_form(record: Record, face: FaceEntry, found: LongFace, units: Units) -> None:
    st.markdown("\n".join(f"{at}. {as_written(step)}"
                          for at, step in enumerate(SHIM_PROCEDURE, start=1)))  # fmt: skip
    prints = {one.print_id: one for one in (*found.placed, *found.unplaced) if one.is_print}
    if len(prints) < 2:
        st.info("It takes two kept prints: one level, one with the shim. Keep both first.")
        return
    per_unit, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    key = f"long-{face.face_id}-film-shim"
    ids = sorted(prints, reverse=True)
    with st.form(key, border=False):
        level_at, shimmed_at = st.columns(2)
        level_id, shimmed_id = (
            place.selectbox(
                label, ids, index=None, key=f"{key}-{label}", placeholder="Choose a print",
                format_func=lambda print_id: print_words(prints[print_id], units),
            )
            for place, label in ((level_at, "Level print"), (shimmed_at, "Print with the shim"))
        )  # fmt: skip
        thick_at, shim_unit_at = st.columns(2)
        thick = thick_at.number_input(
            "Thickness of the shim", 0.0, value=None, format="%.1f", key=f"{key}-thick",
            placeholder="0.0",
        )  # fmt: skip
        shim_unit = shim_unit_at.selectbox(
            "In", list(SHIM_UNITS), index=int(units == "inch"), key=f"{key}-unit"
        )
        lay_at, rests_at = st.columns(2)
        lay, rests = (
            place.number_input(
                f"{label}, {unit} from the left end of the face", value=None, format="%.1f",
                key=f"{key}-{label}", placeholder="0.0",
            )
            for place, label in ((lay_at, "Where the shim lay"), (rests_at, "Where it rested"))
        )  # fmt: skip
        sent = st.form_submit_button("Work out the film unit", width="stretch")
    asked = (level_id, shimmed_id, thick, lay, rests)
    if sent and any(value is None for value in asked):
        st.warning("Nothing was kept: fill in all fields.")
    elif sent and level_id is not None and shimmed_id is not None:
        places = float(lay or 0.0) * per_unit, float(rests or 0.0) * per_unit
        with plainly():
            _measure(record, face, (prints[level_id], prints[shimmed_id]),
                     float(thick or 0.0) * SHIM_UNITS[shim_unit], places)  # fmt: skip


def print_words(one: Stretch, units: Units) -> str:
    """Return what a print is called in a list: pass 3, left end (0 to 500 mm)."""
    where = f" ({words.where_words(one, units)})" if one.placement.is_told else ""
    return f"pass {one.pass_number}, {one.name}{where}"


def _measure(
    record: Record,
    face: FaceEntry,
    prints: tuple[Stretch, Stretch],
    shim_um: float,
    places_mm: tuple[float, float],
) -> None:
    level, shimmed = (reading_of(record, one.reading_id) for one in prints)
    unit = film_unit_from_shim(
        level, shimmed, shim_um=shim_um, shim_at_mm=places_mm[0], rests_at_mm=places_mm[1]
    )
    record.add_film_calibration(face.face_id, FilmCalibration(
        um=unit.um, low_um=unit.low_um, high_um=unit.high_um, how="shim",
        pass_number=prints[1].pass_number, notes=f"Shim of {shim_um:.1f} µm.",
    ))  # fmt: skip
    say_afresh(f"long-{face.face_id}-film", "The film unit is worked out and kept.")
