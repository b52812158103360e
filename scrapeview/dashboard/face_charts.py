"""The charts of the page Face, pass by pass, each with its downloads."""

import pandas as pd
import streamlit as st

from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.progress_charts import PROGRESS_CHARTS
from scrapeview.charts.progress_frame import progress_frame
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import file_stem, offer_figure
from scrapeview.record import FaceEntry


def show_charts(face: FaceEntry, progress: pd.DataFrame, units: Units) -> None:
    """Show all charts, two beside each other where there is room."""
    st.subheader("Pass by pass", anchor=False)
    st.caption(
        "Bars through the dots are intervals; through the points' diameters they reach from the "
        "size one point in ten stays under to the size one in ten exceeds."
    )
    frame = progress_frame(progress, units)
    for at in range(0, len(PROGRESS_CHARTS), 2):
        pair = PROGRESS_CHARTS[at : at + 2]
        figures = [chart.draws(frame, face.plan.target, units) for chart in pair]
        height = max(int(figure.layout.height) for figure in figures)
        for place, chart, figure in zip(st.columns(2), pair, figures, strict=False):
            stem, key = file_stem(face, chart.name), f"face-{face.face_id}-{chart.name}"
            with place:
                config = chart_config(stem) | {"displayModeBar": bool(figure.data)}
                st.plotly_chart(
                    figure, theme=None, config=config, key=key, width="stretch",
                    height=height,
                )  # fmt: skip
                if figure.data:
                    offer_figure(figure, chart.data(frame, units), stem, key)
