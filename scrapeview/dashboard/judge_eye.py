"""Counting by eye: squares the program chose, shown clean, and what was counted in them."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from scrapeview.bearing import Square
from scrapeview.charts.forecast_words import squares_sentence
from scrapeview.charts.shown import Units, length, place
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.judge_eye_agreement import show_agreement
from scrapeview.dashboard.judge_eye_crops import crops_of
from scrapeview.dashboard.judge_look import COUNTING_CSS
from scrapeview.dashboard.judge_part import NO_PRINT, latest_print, part, title_of
from scrapeview.dashboard.said_once import say_afresh, show_said
from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.shop_wide import scrapers
from scrapeview.dashboard.side_cached import washed_out_for
from scrapeview.judge.eye import SquaresToCount, squares_to_count
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import EyeCount

HOW_MANY = 4
MOST_POINTS = 999
NAMES = "ABCDEFGHIJ"
HOW = (
    "Count the points whose middle lies inside the frame; what is darkened lies outside it. "
    "The program chose the squares by chance and shows neither its marks nor its numbers until "
    "yours are kept."
)
NONE_COUNTED = "Nothing was kept: count at least one square first."


def show_eye(record: Record, face: FaceEntry, progress: Any, units: Units) -> None:
    """Let squares of the latest print be counted, then show how eye and program agree."""
    row = latest_print(face, progress)
    counts = record.eye_counts(face.face_id)
    more = f"judge-{face.face_id}-count-more-{row.print_id}"
    already = [count for count in counts if count.print_id == row.print_id]
    show_said(f"judge-{face.face_id}-counted")
    if already and not st.session_state.get(more):
        with part():
            show_agreement(face, counts, units)
        if st.button("Count more squares of this print", key=f"{more}-begin", width="stretch"):
            st.session_state[more] = True
            st.rerun()
        return
    with part():
        _show_squares(record, face, row, already, units, more)


def _show_squares(
    record: Record, face: FaceEntry, row: Any, already: Sequence[EyeCount], units: Units, more: str
) -> None:
    reading_id = int(row.reading_id)
    reading = reading_of(record, reading_id)
    squares = squares_to_count(
        reading, HOW_MANY, seed=int(row.print_id), already=already,
        washed_out=washed_out_for(record, reading_id),
    )  # fmt: skip
    st.subheader(f"Count {title_of(row)} by eye", anchor=False)
    if not squares.squares:
        st.info(_why_none(squares, already))
        if already and st.button("Show how eye and program agree", width="stretch"):
            del st.session_state[more]
            st.rerun()
        return
    st.html(COUNTING_CSS)
    st.caption(" ".join(filter(None, (HOW, squares_sentence(squares, HOW_MANY)))))
    crops = crops_of(record, reading_id, squares.squares)
    key = f"judge-{face.face_id}-count-{reading_id}-{len(already)}"
    with st.container(key=f"counting_{reading_id}"), st.form(key):
        told = _count_fields(squares.squares, crops, units, key)
        who = _who_field(record, key)
        kept = st.form_submit_button("Keep my counts", type="primary", width="stretch")
    if kept:
        with plainly():
            _keep(record, face, row, squares.squares, told, who, more)


def _count_fields(
    squares: Sequence[Square], crops: Sequence[bytes], units: Units, key: str
) -> list[int | None]:
    told: list[int | None] = []
    for at in range(0, len(squares), 2):
        for column, number in zip(
            st.columns(2), range(at, min(at + 2, len(squares))), strict=False
        ):
            square, name = squares[number], NAMES[number]
            with column:
                st.markdown(f"**Square {name}**, {length(square.side_mm, units)} wide")
                st.image(crops[number], width="stretch")
                st.caption(f"Begins {place(square.x_mm, square.y_mm, units)}")
                told.append(
                    st.number_input(
                        f"Points in square {name}", 0, MOST_POINTS, None, step=1,
                        key=f"{key}-{name}", placeholder="count",
                    )
                )  # fmt: skip
    return told


def _who_field(record: Record, key: str) -> str:
    who = st.selectbox(
        "Counted by", list(scrapers(record)), index=None, key=f"{key}-who",
        placeholder="Choose or type a name", accept_new_options=True,
    )  # fmt: skip
    return (who or "").strip()


def _keep(
    record: Record,
    face: FaceEntry,
    row: Any,
    squares: Sequence[Square],
    told: Sequence[int | None],
    who: str,
    more: str,
) -> None:
    counts = [
        EyeCount(
            print_id=int(row.print_id), reading_id=int(row.reading_id), x_mm=square.x_mm,
            y_mm=square.y_mm, side_mm=square.side_mm, by_eye=int(counted), by_tool=square.points,
            who=who,
        )
        for square, counted in zip(squares, told, strict=True)
        if counted is not None
    ]  # fmt: skip
    if not counts:
        st.warning(NONE_COUNTED)
        return
    record.add_eye_counts(face.face_id, counts)
    st.session_state.pop(more, None)
    counted = "1 square is" if len(counts) == 1 else f"{len(counts)} squares are"
    say_afresh(f"judge-{face.face_id}-counted", f"{counted} kept.")


def _why_none(squares: SquaresToCount, already: Sequence[EyeCount]) -> str:
    if squares.room == "no print":
        return NO_PRINT
    if already:
        return (
            f"{len(already)} squares of this print are counted, and no whole one is left beside "
            "them. Count the next print."
        )
    return (
        "No whole square fits on this face between its edges and openings, so there is nothing to "
        "count by eye here: count the whole face at the bench."
    )
