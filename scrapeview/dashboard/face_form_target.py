"""What a face is scraped to and printed against: its target, and how flat its reference is."""

from collections.abc import Callable

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.shop_wide import shop_targets
from scrapeview.dashboard.standing import target_words
from scrapeview.dashboard.target_values import (
    FOUR_DIGITS,
    hint_of,
    long_name,
    shown_value,
    step_of,
    stored_value,
    with_own_values,
)
from scrapeview.flatness import GRADES, ReferenceFlatness
from scrapeview.record import Record
from scrapeview.targets import ASKED, NO_TARGET, Asked, Target
from scrapeview.units import MM_PER_INCH

OWN_NAME = "this face's own"
UM_PER_MILLIONTH_INCH = MM_PER_INCH / 1000.0
MOST_ERROR_UM = 1000.0

LengthField = Callable[[str, float, Units, str], float]
"""Asks for a length by label, mm, units and key, and returns it in mm."""


def target_fields(record: Record, target: Target, units: Units, key: str) -> Callable[[], Target]:
    """Show the fields of a face's target; return what reads them.

    What is read raises SettingsError where a value cannot be, so read it below the last field.
    """
    shops = [NO_TARGET, *shop_targets(record)]
    offered = shops if target in shops else [*shops, target]
    chosen = st.selectbox(
        "Target", offered, index=offered.index(target), key=f"{key}_target",
        format_func=lambda each: _words(each, each in shops, units),
        help="Targets are set on the page Settings.",
    )  # fmt: skip
    with st.expander("Values of the target, for this face only"):
        st.caption(
            "What you change here is your own and holds for this face; the shop's table stays as "
            "it is. Leave a field empty where nothing is asked."
        )
        given = _value_fields(chosen, units, f"{key}_target_{offered.index(chosen)}_{units}")

    def told() -> Target:
        values = {
            asked.name: stored_value(asked, value, units, getattr(chosen, asked.name))
            for asked, value in zip(ASKED, given, strict=True)
        }
        return with_own_values(chosen, values, OWN_NAME)

    return told


def _words(target: Target, is_shops: bool, units: Units) -> str:
    words = target_words(target, units)
    return words if is_shops else f"{words} (as it stands with this face)"


def _value_fields(target: Target, units: Units, key: str) -> list[float | None]:
    """Show the fields two by two, so that on a phone they keep their order."""
    given = []
    for at in range(0, len(ASKED), 2):
        sides = st.columns(2, vertical_alignment="bottom")
        for side, asked in zip(sides, ASKED[at : at + 2], strict=False):
            with side:
                given.append(_value_field(asked, getattr(target, asked.name), units, key))
    return given


def _value_field(asked: Asked, value: float | None, units: Units, key: str) -> float | None:
    key = f"{key}_{asked.name}"
    fill_in(key, None if value is None else shown_value(asked, value, units))
    return st.number_input(
        long_name(asked, units), value=None, key=key, step=step_of(asked, units),
        format=FOUR_DIGITS, placeholder="not asked", help=hint_of(asked),
    )  # fmt: skip


def fill_in(key: str, value: float | None) -> None:
    """Let a number stand in a field at first; one given as its default could not be cleared."""
    st.session_state.setdefault(key, value)


def flatness_fields(
    flatness: ReferenceFlatness, units: Units, key: str, length_field: LengthField
) -> ReferenceFlatness:
    """Show what is known of the flatness of the reference, and return what is told now."""
    with st.expander("How flat the reference is"):
        st.caption(
            "A print only proves contact with this reference. Its own error is set beside the "
            "verdict; a measured one goes before the grade."
        )
        grade = st.selectbox(
            "Grade", GRADES, index=GRADES.index(flatness.grade), key=f"{key}_grade",
            format_func=lambda grade: grade or "not known",
        )  # fmt: skip
        left, right = st.columns(2)
        with left:
            length_mm = length_field(
                "Its length", flatness.length_mm, units, f"{key}_reference_length"
            )
        with right:
            width_mm = length_field("Its width", flatness.width_mm, units, f"{key}_reference_width")
        own_um = _error_field(flatness.own_um, units, f"{key}_reference_error")
    return ReferenceFlatness(grade=grade, length_mm=length_mm, width_mm=width_mm, own_um=own_um)


def _error_field(own_um: float | None, units: Units, key: str) -> float | None:
    """Ask for the measured error in the shop's unit; untouched, it stays exactly as it was."""
    um_by_one = UM_PER_MILLIONTH_INCH if units == "inch" else 1.0
    shown = None if own_um is None else round(own_um / um_by_one, 3)
    fill_in(key, shown)
    given = st.number_input(
        f"Its measured error, {'millionths of an inch' if units == 'inch' else 'µm'}",
        value=None, min_value=0.0, max_value=max(MOST_ERROR_UM / um_by_one, shown or 0.0), key=key,
        step=10.0 if units == "inch" else 0.5, format=FOUR_DIGITS, placeholder="not known",
        help="By its certificate or your own measurement: highest less lowest place.",
    )  # fmt: skip
    if given is None:
        return None
    return own_um if given == shown else given * um_by_one
