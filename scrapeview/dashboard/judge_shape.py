"""What the latest print says about the shape of a face: relief, pivot, and what it cannot say."""

from typing import Any

import numpy as np
import pandas as pd
import streamlit as st

from scrapeview.charts import shape_words as words
from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.shape_charts import pivot_picture, relief_map
from scrapeview.charts.shown import Units
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.face_downloads import file_stem, offer_figure
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.judge_cached import shape_for
from scrapeview.dashboard.judge_part import NO_PRINT, latest_print, part, title_of
from scrapeview.dashboard.judge_swing import show_swing
from scrapeview.dashboard.shell import link_to
from scrapeview.face_in_line import is_long
from scrapeview.flatness import NOT_KNOWN
from scrapeview.judge.shape import Shape
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import SwingTest


def show_shape(record: Record, face: FaceEntry, progress: pd.DataFrame, units: Units) -> None:
    """Show relief, pivot, swing tests and what the reference lets one claim."""
    row = latest_print(face, progress)
    with part():
        _show_print(record, face, row, units)
    with part():
        show_swing(record, face, [int(number) for number in progress["number"].unique()])
    with part():
        _show_reference(face, units)


def _show_print(record: Record, face: FaceEntry, row: Any, units: Units) -> None:
    if not reading_of(record, int(row.reading_id)).is_print:
        st.info(NO_PRINT)
        return
    shape = shape_for(record, int(row.reading_id))
    relief, pivot = st.columns(2, gap="medium")
    with relief, part():
        _show_relief(face, row, shape, units)
    with pivot, part():
        _show_pivot(face, row, shape, record.swing_tests(face.face_id), units)


def _show_relief(face: FaceEntry, row: Any, shape: Shape, units: Units) -> None:
    st.subheader(f"Relief of {title_of(row)}: an estimate", anchor=False)
    st.markdown(as_written(words.relief_sentence(shape, units)))
    figure = relief_map(shape, units)
    stem, key = file_stem(face, title_of(row), "relief"), f"judge-{face.face_id}-relief"
    st.plotly_chart(figure, theme=None, config=chart_config(stem), key=key, width="stretch")
    st.caption(as_written(words.relief_note(shape, units)))
    offer_figure(figure, relief_table(shape), stem, key)


def _show_pivot(
    face: FaceEntry, row: Any, shape: Shape, tests: tuple[SwingTest, ...], units: Units
) -> None:
    st.subheader("Where it would turn", anchor=False)
    st.markdown(as_written(words.shape_sentence(shape)))
    if not shape.pivots:
        return
    swing = next((test for test in reversed(tests) if test.pass_number == row.number), None)
    figure = pivot_picture(shape, units, swing)
    stem, key = file_stem(face, title_of(row), "pivot"), f"judge-{face.face_id}-pivot"
    st.plotly_chart(figure, theme=None, config=chart_config(stem), key=key, width="stretch")
    if swing is not None:
        st.markdown(as_written(words.swing_sentence(shape, swing)))
    with st.expander("End by end, and what this is not"):
        for found in shape.pivots:
            st.markdown(as_written(words.pivot_sentence(found, shape, units)))
        st.caption(as_written(words.pivot_note()))
    offer_figure(figure, pivot_table(shape), stem, key)


def _show_reference(face: FaceEntry, units: Units) -> None:
    plan = face.plan
    st.subheader("What this print cannot say", anchor=False)
    sentences = words.reference_sentences(plan.flatness, plan.reference, units)
    st.warning("  \n".join(as_written(sentence) for sentence in sentences))
    if is_long(plan):
        link_to("Long face", face.face_id, "Whether its stretches lie in one line: Long face")
    if plan.flatness == NOT_KNOWN:
        link_to("Shop", label="Say on the page Shop how flat the reference is")


def relief_table(shape: Shape) -> pd.DataFrame:
    """Return the relief as numbers, one place a row; places without a height are left out."""
    rows, columns = np.nonzero(shape.relief.told)
    at = shape.relief_grid.to_mm(np.column_stack((columns, rows)).astype(float))
    return pd.DataFrame(
        {
            "x_mm": at[:, 0].round(2),
            "y_mm": at[:, 1].round(2),
            "height_texture_heights": shape.relief.height[rows, columns].round(3),
            "error_texture_heights": shape.relief.error[rows, columns].round(3),
        }
    )


def pivot_table(shape: Shape) -> pd.DataFrame:
    """Return where the face would turn, one row for each end that is pushed."""
    return pd.DataFrame(
        [
            {
                "pushed": pivot.pushed,
                "from_far_end_percent": 100 * pivot.share,
                "low_percent": 100 * pivot.interval.low,
                "high_percent": 100 * pivot.interval.high,
                "even_percent": 100 * pivot.even_share,
                "shape": pivot.shape,
            }
            for pivot in shape.pivots
        ]
    )
