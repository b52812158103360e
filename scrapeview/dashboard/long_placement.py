"""Where the reference lay: told for prints that are kept already, and read there."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from scrapeview.charts import long_words as words
from scrapeview.charts.long_stretches import Stretch, prints_table
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.long_film import print_words
from scrapeview.dashboard.said_once import say_afresh, show_said
from scrapeview.dashboard.shell import link_to, plainly
from scrapeview.face_in_line import LongFace
from scrapeview.face_placement import tell_placement
from scrapeview.placements import SIDES, Placement, Side
from scrapeview.record import FaceEntry, Record
from scrapeview.units import MM_PER_INCH

SIDE_NAMES: dict[Side, str] = {
    "": "Over the whole width, or over both ways",
    "far": "Far side: top of the picture",
    "near": "Near side: foot of the picture",
}
HOW = (
    "Measure along the face from its left end, as it stands in the picture: where the reference "
    "began, and how much of the face it covered. The print is then read there."
)


def show_placements(record: Record, face: FaceEntry, found: LongFace, units: Units) -> None:
    """Show where the reference lay for every print, and let it be told."""
    show_said(f"long-{face.face_id}-placement")
    prints = sorted(
        (*found.placed, *found.unplaced), key=lambda one: (-one.pass_number, one.print_id)
    )
    st.subheader("Tell where the reference lay", anchor=False)
    if face.plan.shape != "rectangle":
        st.info(
            "This face is no rectangle, so a placement has no start and length on it. Draw long "
            "faces as rectangles on the page Shop."
        )
    else:
        st.caption(HOW)
        _show_form(record, face, prints, units)
    st.subheader("Where it lay", anchor=False)
    st.dataframe(
        shown_placements(prints, units), hide_index=True, width="stretch",
        key=f"long-{face.face_id}-placements-table",
    )  # fmt: skip
    with st.popover("Download the placements", icon=ICON, width="stretch"):
        key = f"long-{face.face_id}-placements"
        offer_table(prints_table(prints), file_stem(face, "placements"), key, "Placements")
    link_to("New print", face.face_id)


def shown_placements(prints: Sequence[Stretch], units: Units) -> pd.DataFrame:
    """Return where the reference lay for each print, as a table to look at."""
    return pd.DataFrame(
        [
            {
                "pass": one.pass_number,
                "placement": one.name,
                "along the face": words.where_words(one, units),
                "contact, %": round(one.contact_percent, 1),
            }
            for one in prints
        ]
    )


def _show_form(record: Record, face: FaceEntry, prints: Sequence[Stretch], units: Units) -> None:
    per_unit, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    key = f"long-{face.face_id}-placement"
    untold = [at for at, one in enumerate(prints) if not one.placement.is_told]
    at = st.selectbox(
        "Print", range(len(prints)), index=untold[0] if untold else 0, key=f"{key}-print",
        format_func=lambda at: print_words(prints[at], units),
    )  # fmt: skip
    one = prints[at or 0]
    alike = [
        other for other in prints
        if other is not one and one.placement.name and other.placement.name == one.placement.name
    ]  # fmt: skip
    # fields of another print are other fields
    key = f"{key}-{one.print_id}-{units}"
    with st.form(key, border=False):
        name = st.text_input("What it is called", one.placement.name, max_chars=200,
                             key=f"{key}-name", placeholder="left end")  # fmt: skip
        start_at, length_at = st.columns(2)
        start = start_at.number_input(
            f"Where it began, {unit} from the left end", format="%.1f", key=f"{key}-start",
            value=_in(one.placement.start_mm, per_unit), placeholder="0.0",
        )  # fmt: skip
        length = length_at.number_input(
            f"How much of the face it covered, {unit}", 0.0, format="%.1f", key=f"{key}-length",
            value=_in(one.placement.length_mm, per_unit), placeholder="0.0",
        )  # fmt: skip
        side = st.radio(
            "Which side", SIDES, index=SIDES.index(one.placement.side), key=f"{key}-side",
            format_func=SIDE_NAMES.__getitem__,
        )  # fmt: skip
        all_alike = bool(alike) and st.checkbox(
            f"The same for {len(alike)} other print{'s' if len(alike) > 1 else ''} called "
            f"{as_written(one.placement.name)}", value=True, key=f"{key}-alike",
        )  # fmt: skip
        sent = st.form_submit_button("Keep where it lay", type="primary", width="stretch")
    if not sent:
        return
    if start is None or length is None or length <= 0:
        st.warning("Nothing was kept: say where it began and how much of the face it covered.")
        return
    with plainly():
        placement = Placement(
            name=name.strip(), start_mm=start * per_unit, length_mm=length * per_unit, side=side
        )
        _tell(record, face, [one, *(alike if all_alike else ())], placement)


def _in(mm: float | None, per_unit: float) -> float | None:
    return None if mm is None else mm / per_unit


def _tell(record: Record, face: FaceEntry, prints: Sequence[Stretch], placement: Placement) -> None:
    shown = st.progress(0.0, "Reading it there ...")
    again = 0
    for done, one in enumerate(prints, start=1):
        again += tell_placement(record, face, one.print_id, placement)
        shown.progress(done / len(prints), f"{done} of {len(prints)} prints")
    kept = "1 print is" if len(prints) == 1 else f"{len(prints)} prints are"
    read = f"{again} read again there" if again else "none had to be read again"
    say_afresh(f"long-{face.face_id}-placement", f"{kept} told where the reference lay; {read}.")
