"""How counting by eye and by the program agree on a face."""

import dataclasses
from collections.abc import Sequence

import pandas as pd
import streamlit as st

from scrapeview.charts import forecast_words as words
from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.forecast_charts import agreement_chart
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import file_stem, offer_figure, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.standing import day
from scrapeview.judge.eye import agreement_of
from scrapeview.record import FaceEntry
from scrapeview.record.entries import EyeCount

KEY = (
    "One dot a square. Above zero the eye counts more than the program, below it less. Limits of "
    "agreement after Bland and Altman (1986)."
)


def show_agreement(face: FaceEntry, counts: Sequence[EyeCount], units: Units) -> None:
    """Show bias and limits of agreement, and every square beside what the program counted."""
    st.subheader("Eye beside program", anchor=False)
    found = agreement_of(counts)
    drawn, told = st.columns([3, 2], gap="medium")
    with told:
        for sentence in words.agreement_sentences(found, units):
            st.markdown(as_written(sentence))
        st.dataframe(shown_counts(counts), hide_index=True, width="stretch")
        with st.popover(f"Download these {len(counts)} squares", width="stretch"):
            table = pd.DataFrame([dataclasses.asdict(count) for count in counts])
            offer_table(table, file_stem(face, "by-eye"), f"judge-{face.face_id}-eye", "Counts")
    with drawn:
        figure = agreement_chart(found, units)
        stem, key = file_stem(face, "by-eye-agreement"), f"judge-{face.face_id}-agreement"
        st.plotly_chart(figure, theme=None, config=chart_config(stem), key=key, width="stretch")
        st.caption(KEY)
        offer_figure(figure, found.table, stem, key)


def eye_line(counts: Sequence[EyeCount], units: Units) -> str:
    """Return how eye and program agree in one line; "" where nothing was counted by eye."""
    if not counts:
        return ""
    return f"By eye: {words.agreement_sentences(agreement_of(counts), units)[0]}"


def shown_counts(counts: Sequence[EyeCount]) -> pd.DataFrame:
    """Return the squares as a person reads them, latest first."""
    return pd.DataFrame(
        [
            {
                "Eye": count.by_eye,
                "Program": count.by_tool,
                "Apart": count.by_eye - count.by_tool,
                "Who": count.who,
                "When": day(count.counted_at_utc),
            }
            for count in reversed(counts)
        ]
    )
