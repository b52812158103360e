"""The form of a face: what a person says of it, before its first print or later."""

import dataclasses
from typing import Literal

import streamlit as st

from scrapeview.charts.shown import Units, side
from scrapeview.dashboard.face_form_target import flatness_fields, target_fields
from scrapeview.record import FacePlan, Record
from scrapeview.record.entries import Shape
from scrapeview.settings import Settings
from scrapeview.shown_units import shop_units
from scrapeview.units import MM_PER_INCH

SHAPES: dict[Shape, str] = {
    "rectangle": "rectangle: placed by its four corners",
    "round": "round: placed by its rim",
    "free": "free: placed by a known length, drawn by hand",
}
MARKINGS = {
    "auto": "find out by itself",
    "blue": "blue",
    "red": "red",
    "black": "black",
    "rubbed": "rubbed bright in a coat",
}
UNITS: dict[Literal["", "metric", "inch"], str] = {
    "": "as the shop",
    "metric": "metric",
    "inch": "inch",
}
CELLS_MM = (MM_PER_INCH, 25.0)
REREAD_PLACE = "Settings, Read prints again"


def plan_fields(record: Record, plan: FacePlan, key: str, passes: int = 0) -> FacePlan:
    """Show the fields of a face and return the plan they hold now.

    Parameters
    ----------
    record : Record
    plan : FacePlan
        What stands in the fields at first.
    key : str
        Tells the fields of several forms apart.
    passes : int
        Passes the face has already.

    Raises
    ------
    SettingsError
        Where what stands in the fields cannot be; all fields are shown by then.
    """
    units = shop_units(record)
    name = st.text_input("Name of the face", plan.name, key=f"{key}_name", max_chars=80)
    role = st.text_input(
        "What it does", plan.role, key=f"{key}_role", placeholder="way, gib, table", max_chars=80
    )
    shape = st.selectbox(
        "Shape", list(SHAPES), index=list(SHAPES).index(plan.shape), key=f"{key}_shape",
        format_func=SHAPES.__getitem__,
    )  # fmt: skip
    width_mm, height_mm = _size_fields(plan, shape, units, key)
    target = target_fields(record, plan.target, units, key)
    reference = st.text_input(
        "Printed against", plan.reference, key=f"{key}_reference", max_chars=120,
        placeholder="surface plate, straightedge, the mating part",
    )  # fmt: skip
    flatness = flatness_fields(plan.flatness, units, key, length_field)
    marking = st.selectbox(
        "Marking", list(MARKINGS), index=list(MARKINGS).index(plan.marking), key=f"{key}_marking",
        format_func=MARKINGS.__getitem__,
    )  # fmt: skip
    own_units = st.selectbox(
        "Units of this face", list(UNITS), index=list(UNITS).index(plan.units),
        key=f"{key}_units", format_func=UNITS.__getitem__,
    )  # fmt: skip
    notes = st.text_area("Notes", plan.notes, key=f"{key}_notes", max_chars=4000)
    with st.expander("How its prints are read"):
        settings = _settings_fields(plan.settings, units, key)
    changed = dataclasses.replace(
        plan, name=name.strip(), role=role.strip(), shape=shape, width_mm=width_mm,
        height_mm=height_mm, target=target(), reference=reference.strip(), flatness=flatness,
        marking=marking, units=own_units, notes=notes, settings=settings,
    )  # fmt: skip
    if passes and reads_otherwise(plan, changed):
        st.warning(
            f"The {passes} passes there are were read the old way, so the next ones would not "
            f"compare with them. After saving read the face again: {REREAD_PLACE}, or "
            "`scrapeview reread`."
        )
    return changed


def reads_otherwise(before: FacePlan, after: FacePlan) -> bool:
    """Whether the same photograph may give other figures after the change."""
    names = ("shape", "width_mm", "height_mm", "marking", "settings", "regions_mm", "openings_mm")
    return any(getattr(before, name) != getattr(after, name) for name in names)


def _size_fields(plan: FacePlan, shape: Shape, units: Units, key: str) -> tuple[float, float]:
    if shape == "free":
        st.caption("Its size comes from the length you give with each photograph.")
        return 0.0, 0.0
    if shape == "round":
        return length_field("Diameter", plan.width_mm, units, f"{key}_diameter"), 0.0
    left, right = st.columns(2)
    with left:
        width_mm = length_field("Width", plan.width_mm, units, f"{key}_width")
    with right:
        height_mm = length_field("Height", plan.height_mm, units, f"{key}_height")
    st.caption("Width runs from left to right as you hold the photograph.")
    return width_mm, height_mm


def length_field(
    label: str, mm: float, units: Units, key: str, least_mm: float = 0.0, most_mm: float = 20_000.0
) -> float:
    """Ask for a length in the shop's unit and return it in mm; untouched, exactly as it was."""
    per_unit = MM_PER_INCH if units == "inch" else 1.0
    shown = round(mm / per_unit, 4 if units == "inch" else 3)
    least = min(least_mm / per_unit, shown)
    given = st.number_input(
        f"{label}, {'in' if units == 'inch' else 'mm'}", min_value=least,
        max_value=max(most_mm / per_unit, shown), value=shown or None, key=key,
        step=_step(most_mm, units), format="%.3f" if units == "inch" else "%.1f",
    )  # fmt: skip
    return mm if (given or 0.0) == shown else (given or 0.0) * per_unit


def _step(most_mm: float, units: Units) -> float:
    if most_mm > 1000:
        return 0.125 if units == "inch" else 1.0
    return 0.005 if units == "inch" else 0.1


def _settings_fields(settings: Settings, units: Units, key: str) -> Settings:
    st.caption("Frozen for the face, so that its passes compare. The values set here suit most.")
    smallest_mm = length_field(
        "Smallest point", settings.smallest_point_mm, units, f"{key}_smallest", 0.2, 10.0
    )
    largest_mm = length_field(
        "Largest point", settings.largest_point_mm, units, f"{key}_largest", 1.0, 100.0
    )
    cells = list(dict.fromkeys((*CELLS_MM, settings.cell_mm)))
    cell_mm = st.radio(
        "Squares of the map", cells, index=cells.index(settings.cell_mm), key=f"{key}_cell",
        format_func=side, horizontal=True,
    )  # fmt: skip
    return dataclasses.replace(
        settings, smallest_point_mm=smallest_mm, largest_point_mm=largest_mm, cell_mm=cell_mm
    )


def new_plan(units: Units) -> FacePlan:
    """Return the plan a new face starts from."""
    cell_mm = MM_PER_INCH if units == "inch" else 25.0
    return FacePlan(name="", settings=Settings(cell_mm=cell_mm))
