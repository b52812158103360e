"""What the last passes of a face have in common: places always marked, places never marked."""

from typing import Any

import pandas as pd
import streamlit as st

from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.compare_charts import frequency_map
from scrapeview.charts.shown import Units
from scrapeview.dashboard import side_cached as cached
from scrapeview.dashboard import side_words as words
from scrapeview.dashboard.face_downloads import file_stem, offer_figure, offer_table
from scrapeview.dashboard.shell import plainly
from scrapeview.judge import OverPasses, Places
from scrapeview.judge.compare.over_passes import LEAST_BARE_MM, LEAST_MARKED_MM
from scrapeview.record import FaceEntry, Record
from scrapeview.units import MM_PER_INCH

USUAL = 4
MOST_SHOWN = 200
"""Places in a table on the page; the file holds all."""
MAP_KEY = (
    "Round numbers: largest places marked in every pass. Dashed, with square numbers: largest "
    "places never marked."
)
COLUMN_NAMES = {
    "x": "from the left", "y": "from the top", "area": "area", "across": "circle that fits",
    "long": "long",
}  # fmt: skip


@st.fragment
def show_passes(record: Record, face: FaceEntry, progress: pd.DataFrame, units: Units) -> None:
    """Let a number of passes be chosen and show what they have in common."""
    with plainly():
        _show_passes(record, face, progress, units)


def _show_passes(record: Record, face: FaceEntry, progress: pd.DataFrame, units: Units) -> None:
    st.subheader("The last passes over each other", anchor=False)
    numbers = list(dict.fromkeys(int(number) for number in progress["number"]))
    if len(numbers) < 2:
        st.info("All prints of this face belong to one pass. Keep the next pass to compare them.")
        return
    count = _how_many(face, len(numbers))
    chosen = numbers[-count:]
    passes: cached.Passes = tuple(
        tuple(int(i) for i in progress.loc[progress["number"] == number, "reading_id"])
        for number in chosen
    )
    least = _smallest(face, units)
    over = cached.over_of(record, passes, *least)
    drawn, listed = st.columns(2, gap="medium")
    with drawn:
        _show_map(face, over, chosen, units)
    with listed:
        _show_places(
            face, over, over.always, "Marked in every pass",
            "marked in every one of these passes: the scraper never took them down", units,
        )  # fmt: skip
        _show_places(
            face, over, over.never, "Never marked",
            "never marked in these passes: they have not borne yet", units,
        )  # fmt: skip


def _how_many(face: FaceEntry, total: int) -> int:
    if total == 2:
        return 2
    return int(
        st.slider(
            "How many of the last passes", 2, total, min(USUAL, total),
            key=f"side-{face.face_id}-of-{total}",
        )
    )  # fmt: skip


def _smallest(face: FaceEntry, units: Units) -> tuple[float, float]:
    """Smallest places that are listed, mm."""
    per_unit, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    with st.popover("Smallest places listed"):
        asked = [
            st.number_input(
                f"{label}, {unit}", 0.2 / per_unit, 100.0 / per_unit, usual / per_unit,
                step=0.5 / per_unit, format="%.3f" if units == "inch" else "%.1f",
                key=f"side-{face.face_id}-least-{at}-{units}",
            )
            for at, (label, usual) in enumerate((
                ("Marked in every pass: as large as a disc of this diameter", LEAST_MARKED_MM),
                ("Never marked: a circle of this diameter finds room", LEAST_BARE_MM),
            ))
        ]  # fmt: skip
    return asked[0] * per_unit, asked[1] * per_unit


def _show_map(face: FaceEntry, over: OverPasses, chosen: list[int], units: Units) -> None:
    drawn = frequency_map(over, units)
    stem = file_stem(face, "passes", chosen[0], "to", chosen[-1], "marked")
    key = f"side-{face.face_id}-map"
    st.plotly_chart(drawn, theme=None, config=chart_config(stem), key=key, width="stretch")
    st.caption(f"{MAP_KEY} {words.known_sentence(over)}")
    places = pd.concat(
        [p.table.assign(kind=kind) for p, kind in ((over.always, "always"), (over.never, "never"))],
        ignore_index=True,
    )  # fmt: skip
    offer_figure(drawn, words.in_units(places, units), stem, key)


def _show_places(
    face: FaceEntry, over: OverPasses, places: Places, title: str, what: str, units: Units
) -> None:
    st.markdown(f"**{title}**")
    st.markdown(words.places_sentence(places, over, what, units))
    table = words.in_units(places.table, units)
    if table.empty:
        return
    height = min(290, 38 * len(table) + 40)
    st.dataframe(
        table.head(MOST_SHOWN), hide_index=True, width="stretch", height=height,
        column_config=_columns(units),
    )  # fmt: skip
    stem = file_stem(face, title, "last", over.passes)
    with st.popover(f"Download these {len(table)} places", width="stretch"):
        offer_table(table, stem, f"side-{face.face_id}-{title}", "Places")


def _columns(units: Units) -> dict[str, Any]:
    suffix, digits = ("in", 2) if units == "inch" else ("mm", 1)
    area_digits = 3 if units == "inch" else 1
    told: dict[str, Any] = {"number": st.column_config.NumberColumn("no.", width=50)}
    for name, words_ in COLUMN_NAMES.items():
        unit = f"{suffix}2" if name == "area" else suffix
        form = f"%.{area_digits if name == 'area' else digits}f"
        told[f"{name}_{unit}"] = st.column_config.NumberColumn(f"{words_}, {unit}", format=form)
    return told
