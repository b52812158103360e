"""What a face is judged by: each criterion as a picture, in a sentence and in a table."""

import math

import pandas as pd
import streamlit as st

from scrapeview.charts import verdict_words as words
from scrapeview.charts.judge_charts import SIGNS, criteria_chart, worst_first
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import file_stem, offer_table
from scrapeview.dashboard.judge_look import show_told
from scrapeview.dashboard.judge_part import show_still
from scrapeview.dashboard.shell import link_to
from scrapeview.judge.verdict.criteria import Stands, Verdict
from scrapeview.judge.verdict.verdict_table import criteria_table
from scrapeview.record import FaceEntry
from scrapeview.targets import Target

NO_TARGET = (
    "No target is set for this face, so the program can show its figures but cannot say when it is "
    "done. Choose a target on the page Shop: open the face there and press Change."
)
KEY = (
    "Mark: the figure. Bar: how sure it is; its left end, not the mark, has to reach the target. "
    "Where less is better the scale runs the other way, so that right is always good."
)


CHECKS = ("target", "print", "photograph", "haze_most_percent", "count")
"""Criteria of the print and its photograph, on which the figures of the others hang."""


def show_criteria(face: FaceEntry, verdict: Verdict, units: Units) -> None:
    """Show what the verdict rests on."""
    st.subheader("What it is judged by", anchor=False)
    target = face.plan.target
    if not target.asks:
        st.info(NO_TARGET)
        link_to("Shop")
    if not verdict.criteria:
        return
    drawn, told = st.columns(2, gap="medium")
    with drawn:
        _show_chart(face, verdict, units)
    with told:
        _show_sentences(verdict, units)
        _show_table(face, verdict, target, units)


def _show_sentences(verdict: Verdict, units: Units) -> None:
    open_: list[tuple[str, str]] = []
    rest: list[tuple[str, str]] = []
    untold: tuple[Stands, ...] = ("cannot tell", "open")
    failed = any(each.name in CHECKS and each.stands == "cannot tell" for each in verdict.criteria)
    for each in worst_first(verdict.criteria):
        # what a failed check leaves untold is said once, by the check
        follows = failed and each.stands in untold and each.name not in CHECKS
        told = rest if each.stands == "clears" or follows else open_
        told.append((SIGNS[each.stands][0], words.criterion_sentence(each, units)))
    count = len(verdict.criteria)
    fold = "The rest in words" if open_ else "In words"
    show_told(open_, rest, f"{count} of {count} criteria are reached.", fold)


def _show_chart(face: FaceEntry, verdict: Verdict, units: Units) -> None:
    figure = criteria_chart(verdict, units)
    show_still(face, verdict.pass_number, "criteria", figure, KEY, criteria_table(verdict))


def _show_table(face: FaceEntry, verdict: Verdict, target: Target, units: Units) -> None:
    with st.expander("As a table, with where each target comes from"):
        st.dataframe(shown_table(verdict, target, units), hide_index=True, width="stretch")
        stem = file_stem(face, "pass", verdict.pass_number, "criteria-table")
        offer_table(
            with_sources(criteria_table(verdict), target), stem,
            f"judge-{face.face_id}-criteria-table", "Criteria",
        )  # fmt: skip


def shown_table(verdict: Verdict, target: Target, units: Units) -> pd.DataFrame:
    """Return the criteria as a person reads them, one a row."""
    return pd.DataFrame(
        [
            {
                "": SIGNS[each.stands][0],
                "Criterion": words.criterion_title(each, units),
                "Figure": words.figure_words(each, units),
                "Bounds": words.bounds_words(each, units),
                "Target": words.target_words(each, units),
                "Margin": words.margin_words(each, units),
                "Stands": each.stands,
                "Where the target comes from": source_of(target, each.name, each.target),
            }
            for each in verdict.criteria
        ]
    )


def with_sources(table: pd.DataFrame, target: Target) -> pd.DataFrame:
    """Return the table of criteria with where each target comes from."""
    sources = [
        source_of(target, name, None if math.isnan(asked) else asked)
        for name, asked in zip(table["criterion"], table["target"], strict=True)
    ]
    return table.assign(target_from=sources)


def source_of(target: Target, name: str, asked: float | None) -> str:
    """Return where a value of a target comes from and how sure that is; "" where none is asked."""
    if asked is None or getattr(target, name, None) is None:
        return ""
    return target.origin(name).words
