"""The next pass: which points to take and what to leave, as a picture, in words and as a table."""

from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st

from scrapeview.charts import next_words as words
from scrapeview.charts.next_pass_picture import advice_layers
from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.cached_prints import layers_asked, square_on
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_file, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.judge_next_cached import next_for, next_key, next_picture
from scrapeview.dashboard.judge_part import latest_print, part, title_of
from scrapeview.dashboard.judge_sheets import offer_sheets
from scrapeview.dashboard.new_print_correct import LOOK
from scrapeview.dashboard.picture import show_layers
from scrapeview.judge.next.next_pass import NextPass
from scrapeview.judge.verdict.criteria import Outcome, Verdict
from scrapeview.record import FaceEntry, Record
from scrapeview.result import Reading
from scrapeview.units import MM_PER_INCH

LOOKS = ("To enlarge", "With numbers")
KEPT_LAYERS = ("face", "openings", "glare", "left_out")
MOST_SHOWN = 200
FIRST: dict[Outcome, str] = {
    "print again": "Print again before you scrape: this print cannot judge the face, so trust the "
    "points below as little.",
    "nearly": "The face is nearly done: do first what the part Verdict says, and take these points "
    "only if the next print still falls short.",
}
"""What comes before the next pass."""


def show_next(
    record: Record, face: FaceEntry, progress: pd.DataFrame, verdict: Verdict, units: Units
) -> None:
    """Show what to do on the next pass.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    progress : DataFrame
    verdict : Verdict
        Where it says done, nothing is to be taken.
    units : {"metric", "inch"}
    """
    row = latest_print(face, progress)
    reading = reading_of(record, int(row.reading_id))
    done = verdict.outcome == "done"
    advice = next_for(record, int(row.reading_id), face.plan.target, done=done)
    st.subheader(f"What to take after {title_of(row)}", anchor=False)
    if reading.is_print and verdict.outcome in FIRST:
        st.warning(FIRST[verdict.outcome])
    picture, told = st.columns([3, 2], gap="medium")
    with told, part():
        _show_words(words.next_sentences(reading, advice, units))
    if not reading.is_print:
        return
    with picture, part():
        _show_picture(record, face, row, reading, advice, units)
    if len(advice.to_take):
        with told, part():
            offer_sheets(record, face, row, reading, advice, units)
    with part():
        _show_table(face, row, advice, units)


def _show_words(sentences: Sequence[str]) -> None:
    st.markdown(f"**{as_written(sentences[0])}**")
    usual = [each for each in sentences[1:] if each in words.USUAL_CAUTIONS]
    for sentence in sentences[1:]:
        if sentence not in usual:
            st.markdown(as_written(sentence))
    if usual:
        st.caption(as_written(" ".join(usual)))


def _show_picture(
    record: Record, face: FaceEntry, row: Any, reading: Reading, advice: NextPass, units: Units
) -> None:
    reading_id = int(row.reading_id)
    key = f"judge-{face.face_id}-next"
    look = st.segmented_control(
        "Picture", LOOKS, default=LOOKS[0], required=True, key=f"{key}-look",
        label_visibility="collapsed",
    )  # fmt: skip
    target = face.plan.target
    done = advice.halt == "done"
    if look == LOOKS[1]:
        st.image(next_picture(record, reading_id, target, units, done=done), width="stretch")
    else:
        picture, view = square_on(reading, record.photo(reading.photo_sha256))
        layered = layers_asked(next_key(record, reading_id), units, reading, view)
        below = [layer for layer in layered["layers"] if layer["key"] in KEPT_LAYERS]
        layers = [*below, *map(vars, advice_layers(advice))]
        show_layers(f"{key}-{reading_id}", picture, layered | {"layers": layers}, (LOOK,))
    with st.popover("Download the picture", icon=ICON, width="stretch"):
        offer_file(
            "Picture with numbers, JPEG",
            lambda: next_picture(record, reading_id, target, units, done=done),
            f"{file_stem(face, title_of(row), 'next')}.jpg", "image/jpeg", f"{key}-jpg",
        )  # fmt: skip


def _show_table(face: FaceEntry, row: Any, advice: NextPass, units: Units) -> None:
    taken = advice.to_take
    named = f"the {len(taken)} points to take" if len(taken) else "all points"
    with st.expander(f"Table of {named}"):
        if len(taken):
            shown = shown_points(taken.head(MOST_SHOWN), units)
            st.dataframe(shown, hide_index=True, width="stretch", column_config=_columns(shown))
        if len(taken) > MOST_SHOWN:
            st.caption(f"The first {MOST_SHOWN} are shown; the files hold all.")
        stem = file_stem(face, title_of(row), "to-take")
        offer_table(advice.points, stem, f"judge-{face.face_id}-next-table", "All points")


def _columns(shown: pd.DataFrame) -> dict[str, Any]:
    """Lengths with all their digits, and room for what is to be minded."""
    digits = {"mm": "%.1f", "in": "%.2f"}
    lengths: dict[str, Any] = {
        name: st.column_config.NumberColumn(format=digits[name[-2:]])
        for name in shown.columns
        if name[-4:] in (", mm", ", in")
    }
    return {"Mind": st.column_config.TextColumn(width="medium"), **lengths}


def shown_points(taken: pd.DataFrame, units: Units) -> pd.DataFrame:
    """Return the points to take as a person reads them, in their order."""
    per, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    digits = 2 if units == "inch" else 1
    around = f"Points/{points_unit(units)} around"
    return pd.DataFrame(
        {
            "No.": taken["rank"],
            f"From the left, {unit}": (taken["x_mm"] / per).round(digits),
            f"From the top, {unit}": (taken["y_mm"] / per).round(digits),
            f"Across, {unit}": (taken["diameter_mm"] / per).round(digits),
            "Why": taken["why"].map(words.WHY),
            "Mind": taken["caution"].map(words.CAUTION),
            around: taken["around_ppsi"].map(lambda ppsi: round(points_by(ppsi, units), 1)),
        }
    )
