"""Checks with a level or an indicator: kept, shown beside what was estimated, and taken out."""

import dataclasses
from collections.abc import Sequence

import pandas as pd
import streamlit as st

from scrapeview.charts.inline_amounts import amount, is_tilt, length_unit
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.said_once import say_afresh, show_said
from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.shop_wide import scrapers
from scrapeview.dashboard.standing import day
from scrapeview.dashboard.take_out import offer_removal
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import Checked, Instrument, LineCheck

LONGEST_NOTE = 400
WHAT: dict[Checked, str] = {
    "step": "Step: the second higher than the first",
    "tilt along": "Tilt along: the second rising to the right (a hollow)",
    "tilt across": "Tilt across: the second rising to the near side",
    "twist": "Twist of two ways: the second rising along its length",
    "offset": "Height of the second way above the first",
}
"""What can be checked, in the words of the estimates; minus for the other way."""
INSTRUMENTS: tuple[Instrument, ...] = ("level", "indicator", "straightedge and feeler", "other")
HEIGHT_UNITS = {"µm": 1.0, "0.0001 in": 2.54}
TILT_UNITS = {"µm per m": 1.0, "0.001 in per ft": 25.4 / 0.3048}
"""Micrometres, or micrometres per metre, in one of each."""


def show_checks(
    record: Record, face: FaceEntry, number: int, names: Sequence[str], units: Units
) -> None:
    """Show what was checked on a face, and let a check be kept or taken out.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    number : int
        The pass that is looked at.
    names : sequence of str
        Of the joints and pairs of ways there are.
    units : {"metric", "inch"}
    """
    st.subheader("Checked with an instrument", anchor=False)
    show_said(f"long-{face.face_id}-check")
    checks = record.line_checks(face.face_id)
    if checks:
        st.markdown("\n".join(f"- {line_of(check, units)}" for check in reversed(checks)))
        _offer(face, checks)
        _show_removal(record, face, checks, units)
    else:
        st.caption(
            "None is kept yet. Lay a level or run an indicator over a joint: what it shows goes "
            "before any estimate."
        )
    with st.expander("Keep a check", expanded=not checks):
        _show_form(record, face, number, names, units)


def line_of(check: LineCheck, units: Units) -> str:
    """Return a check in one line, number first."""
    tilt = is_tilt(check.what)
    unit = length_unit(tilt, units)
    error = "" if check.error_um is None else f" ± {amount(check.error_um, tilt, units)[1:]}"
    value = f"{amount(check.value_um, tilt, units)}{error} {unit}"
    by = ", ".join(part for part in (check.instrument, check.who, day(check.made_at_utc)) if part)
    notes = f": {' '.join(check.notes.split())}" if check.notes else ""
    told = f"{check.what} between {check.between}, pass {check.pass_number} ({by}){notes}"
    return f"**{as_written(value)}** {as_written(told)}"


def _offer(face: FaceEntry, checks: Sequence[LineCheck]) -> None:
    with st.popover("Download the checks", icon=ICON, width="stretch"):
        table = pd.DataFrame([dataclasses.asdict(check) for check in checks])
        offer_table(table, file_stem(face, "checks"), f"long-{face.face_id}-checks", "Checks")


def _show_removal(
    record: Record, face: FaceEntry, checks: Sequence[LineCheck], units: Units
) -> None:
    key = f"long-{face.face_id}-check"
    offer_removal(
        f"{key}-out", "check", [line_of(check, units) for check in checks],
        lambda at: record.remove_line_check(face.face_id, checks[at].check_id), key,
    )  # fmt: skip


def _show_form(
    record: Record, face: FaceEntry, number: int, names: Sequence[str], units: Units
) -> None:
    key = f"long-{face.face_id}-check"
    # outside the form, as the units to choose from follow it
    what = st.selectbox("What was checked", list(WHAT), key=f"{key}-what",
                        format_func=WHAT.__getitem__)  # fmt: skip
    offered = TILT_UNITS if is_tilt(what) else HEIGHT_UNITS
    with st.form(f"{key}-form", border=False):
        named = st.selectbox(
            "Between", list(names), index=0 if names else None, key=f"{key}-between",
            placeholder="left end and middle", accept_new_options=True,
        )  # fmt: skip
        value_at, error_at, unit_at = st.columns(3)
        value = value_at.number_input(
            "What it showed, minus for the other way", value=None, format="%.2f",
            key=f"{key}-value", placeholder="0.00",
        )  # fmt: skip
        error = error_at.number_input(
            "Sure to, give or take", 0.0, value=None, format="%.2f", key=f"{key}-error",
            placeholder="not known",
        )  # fmt: skip
        unit = unit_at.selectbox(
            "Unit", list(offered), index=int(units == "inch"), key=f"{key}-unit-{is_tilt(what)}"
        )
        instrument = st.selectbox("With", INSTRUMENTS, key=f"{key}-instrument")
        who = st.selectbox(
            "Checked by", list(scrapers(record)), index=None, key=f"{key}-who",
            placeholder="Choose or type a name", accept_new_options=True,
        )  # fmt: skip
        notes = st.text_input("Notes", key=f"{key}-notes", max_chars=LONGEST_NOTE)
        kept = st.form_submit_button(f"Keep the check of pass {number}", width="stretch")
    if kept and value is None:
        st.warning("Nothing was kept: say what the instrument showed.")
    elif kept and not (named or "").strip():
        st.warning("Nothing was kept: say between which stretches or ways it was checked.")
    elif kept and value is not None and named:
        scale = offered[unit]
        with plainly():
            record.add_line_check(face.face_id, LineCheck(
                pass_number=number, what=what, between=named.strip(), value_um=value * scale,
                error_um=None if error is None else error * scale, instrument=instrument,
                who=(who or "").strip(), notes=notes.strip(),
            ))  # fmt: skip
            for field in ("value", "error", "notes"):
                st.session_state.pop(f"{key}-{field}", None)
            say_afresh(
                f"long-{face.face_id}-check", "The check is kept and stands beside its estimate."
            )
