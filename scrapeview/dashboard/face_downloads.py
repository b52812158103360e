"""Files to take away from the page Face; each is made only when it is asked for."""

import re
from collections.abc import Callable
from functools import partial

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from scrapeview.charts.chart_style import figure_html
from scrapeview.record import FaceEntry
from scrapeview.tables import KINDS, MIME, table_bytes

KIND_NAMES = {"csv": "CSV", "parquet": "Parquet", "json": "JSON"}
ICON = ":material/download:"


def file_stem(face: FaceEntry, *parts: object) -> str:
    """Return a name for files about a face, without ending: letters, digits and dashes."""
    words = (face.machine.name, face.part.name, face.plan.name, *map(str, parts))
    return "-".join(filter(None, (re.sub(r"\W+", "-", word).strip("-") for word in words)))


def offer_table(frame: pd.DataFrame, stem: str, key: str, what: str) -> None:
    """Show the buttons for a table, one for each kind of file.

    Parameters
    ----------
    frame : DataFrame
    stem : str
        Name of the file, without ending.
    key : str
        Of the buttons, unique on the page.
    what : str
        What the buttons say is downloaded.
    """
    for kind in KINDS:
        offer_file(
            f"{what}, {KIND_NAMES[kind]}", partial(table_bytes, frame, kind),
            f"{stem}.{kind}", MIME[kind], f"{key}-{kind}",
        )  # fmt: skip


def offer_figure(figure: go.Figure, data: pd.DataFrame, stem: str, key: str) -> None:
    """Show, folded, the buttons for a chart: as a page of HTML, and the numbers behind it."""
    with st.popover("Download", icon=ICON, width="stretch"):
        st.caption("As a picture: the camera above the chart.")
        offer_file(
            "Chart, HTML", lambda: figure_html(figure, stem).encode(), f"{stem}.html",
            "text/html", f"{key}-html",
        )  # fmt: skip
        offer_table(data, stem, key, "Numbers")


def offer_file(label: str, made: Callable[[], bytes], file_name: str, mime: str, key: str) -> None:
    """Show the button for one file, which is made when it is pressed."""
    st.download_button(
        label, made, file_name, mime, key=key, on_click="ignore", icon=ICON, width="stretch"
    )
