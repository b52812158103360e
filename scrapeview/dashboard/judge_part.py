"""What all parts of the page Judge share: each stands alone, and each is about one print."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from scrapeview.charts.chart_style import chart_config
from scrapeview.dashboard import shell
from scrapeview.dashboard.face_downloads import file_stem, offer_figure
from scrapeview.record import FaceEntry

NO_PRINT = (
    "No print was found in the photograph of this pass, so there is nothing to judge by here. "
    "Print again, or correct the print on the page New print."
)


@contextmanager
def part() -> Iterator[None]:
    """Show what one part of the page does; where it fails it says so and the rest stands."""
    try:
        with shell.plainly():
            yield
    except Exception as error:
        shell.say_unforeseen(error)


def latest_print(face: FaceEntry, progress: pd.DataFrame) -> Any:
    """Return the row of the latest print; where its pass has several, one is chosen."""
    number = int(progress["number"].max())
    rows: list[Any] = list(progress[progress["number"] == number].itertuples(index=False))
    if len(rows) == 1:
        return rows[0]
    at = st.selectbox(
        f"Placement of pass {number}", range(len(rows)), index=len(rows) - 1,
        key=f"judge-{face.face_id}-print-{number}",
        format_func=lambda at: rows[at].placement or f"print {rows[at].print_id}",
    )  # fmt: skip
    return rows[at]


def title_of(row: Any) -> str:
    """Return which print a row is about: pass 7, or pass 7 at the left end."""
    return f"pass {row.number}" + (f", {row.placement}" if row.placement else "")


def show_still(
    face: FaceEntry, number: int, what: str, figure: go.Figure, caption: str, frame: pd.DataFrame
) -> None:
    """Show a chart of a pass that is only looked at, what its signs mean, and its downloads."""
    stem, key = file_stem(face, "pass", number, what), f"judge-{face.face_id}-{what}"
    config = chart_config(stem) | {"modeBarButtons": [["toImage"]]}
    st.plotly_chart(
        figure, theme=None, config=config, key=key, width="stretch", height=figure.layout.height
    )
    st.caption(caption)
    offer_figure(figure, frame, stem, key)
