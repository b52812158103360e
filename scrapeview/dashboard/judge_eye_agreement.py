"""How counting by eye and by the program agree on a face."""

import dataclasses
from collections.abc import Sequence

import pandas as pd
import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import file_stem, offer_table
from scrapeview.dashboard.standing import day
from scrapeview.record import FaceEntry
from scrapeview.record.entries import EyeCount


def show_agreement(face: FaceEntry, counts: Sequence[EyeCount], units: Units) -> None:
    """Show bias and limits of agreement, and every square beside what the program counted."""
    st.subheader("Eye beside program", anchor=False)
    with st.expander(f"All {len(counts)} squares"):
        st.dataframe(shown_counts(counts), hide_index=True, width="stretch")
        table = pd.DataFrame([dataclasses.asdict(count) for count in counts])
        offer_table(table, file_stem(face, "by-eye"), f"judge-{face.face_id}-eye", "Counts")


def shown_counts(counts: Sequence[EyeCount]) -> pd.DataFrame:
    """Return the squares as a person reads them, latest first."""
    return pd.DataFrame(
        [
            {
                "By eye": count.by_eye,
                "By program": count.by_tool,
                "Eye less program": count.by_eye - count.by_tool,
                "Who": count.who,
                "When": day(count.counted_at_utc),
            }
            for count in reversed(counts)
        ]
    )
