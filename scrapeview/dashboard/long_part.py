"""What all parts of the page Long face share: the pass, the list of stretches, how charts show."""

import html
from collections.abc import Callable, Sequence

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from scrapeview.charts import long_words as words
from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import file_stem, offer_figure
from scrapeview.dashboard.judge_look import unbroken
from scrapeview.record import FaceEntry


def chosen_pass(face: FaceEntry, numbers: Sequence[int]) -> int:
    """Let a pass be chosen, the latest until one is; all parts of the page show the same."""
    if len(numbers) < 2:
        return numbers[0]
    key, kept = f"long-{face.face_id}-pass-{numbers[-1]}", f"long-{face.face_id}-pass"
    wanted = st.session_state.get(kept, numbers[-1])
    # a part that was not shown last time has lost its own choice
    st.session_state[key] = wanted if wanted in numbers else numbers[-1]
    return int(st.select_slider("Pass", numbers, key=key, on_change=_keep, args=(key, kept)))


def _keep(key: str, kept: str) -> None:
    st.session_state[kept] = st.session_state[key]


def show_chart(
    face: FaceEntry, name: str, figure: go.Figure, table: pd.DataFrame, caption: str = ""
) -> None:
    """Show a chart of the face, what its signs mean, and its downloads.

    Parameters
    ----------
    face : FaceEntry
    name : str
        As in names of files.
    figure : Figure
    table : DataFrame
        The numbers behind it.
    caption : str
    """
    stem, key = file_stem(face, name), f"long-{face.face_id}-{name}"
    st.plotly_chart(
        figure, theme=None, config=chart_config(stem), key=key, width="stretch",
        height=figure.layout.height,
    )  # fmt: skip
    if caption:
        st.caption(caption)
    offer_figure(figure, table, stem, key)


def stretches_html(
    stretches: Sequence[Stretch], units: Units, extra: Callable[[Stretch], str] | None = None
) -> str:
    """Return a list of stretches with number, name, place and figures, as HTML.

    Parameters
    ----------
    stretches : sequence of Stretch
        In the order of their numbers in the strip.
    units : {"metric", "inch"}
    extra : callable, optional
        Gives one more line of a stretch, or "".
    """
    items = []
    for number, one in enumerate(stretches, start=1):
        more = extra(one) if extra else ""
        lines = [words.where_words(one, units), words.stretch_line(one, units), more]
        told = "<br>".join(unbroken(html.escape(line)) for line in lines if line)
        items.append(
            "<div class='sv-stretch'>"
            f"<span class='sv-stretch-number'>{number}</span>"
            f"<div><b>{html.escape(one.name)}</b><br>{told}</div></div>"
        )
    return f"{STYLE}<div class='sv-stretches'>{''.join(items)}</div>"


STYLE = """
<style>
.sv-stretches { display: flex; flex-wrap: wrap; gap: 0.4rem 1.6rem; margin: 0.2rem 0 0.4rem 0; }
.sv-stretch { display: flex; gap: 0.6rem; flex: 1 1 300px; line-height: 1.45;
  overflow-wrap: anywhere; }
.sv-stretch-number { flex: 0 0 1.7em; height: 1.7em; border: 2px solid #0072B2;
  border-radius: 0.3em; text-align: center; font-weight: 700; line-height: 1.55em; }
/* stepping from stretch to stretch is done with gloves on */
[class*="st-key-long_step_"] button { min-height: 60px; font-size: 1.05rem; }
</style>
"""
