"""What stayed over the last passes, scraped over or missed, and what never marked."""

import pandas as pd
import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard import side_cached, side_words
from scrapeview.dashboard.judge_part import part
from scrapeview.dashboard.shell import link_to
from scrapeview.dashboard.side_passes import show_passes
from scrapeview.record import FaceEntry, Record

ONE_PRINT = (
    "This face has one print so far. What stays and what never marks shows from the second print "
    "on: scrape, print again and keep it on the page New print."
)
MEANING = (
    "A place marked in every pass was missed by the scraper or scraped over too lightly: take it "
    "first. A place never marked is low: leave it until the rest has come down to it."
)


def show_over(record: Record, face: FaceEntry, progress: pd.DataFrame, units: Units) -> None:
    """Show what the last passes of a face have in common."""
    if len(progress) < 2:
        st.info(ONE_PRINT)
        link_to("New print", face.face_id)
        return
    st.caption(MEANING)
    with part():
        _show_stayed(record, progress)
    show_passes(record, face, progress, units)
    link_to("Side by side", face.face_id, "Lay two prints beside each other")


def _show_stayed(record: Record, progress: pd.DataFrame) -> None:
    """Say how many points the last pass left standing, where both passes have one print."""
    numbers = progress["number"].drop_duplicates().sort_values().tolist()[-2:]
    prints = [progress[progress["number"] == number] for number in numbers]
    if len(prints) < 2 or any(len(rows) > 1 for rows in prints):
        return
    before, after = (int(rows["reading_id"].iloc[0]) for rows in prints)
    found = side_cached.comparison_of(record, before, after)
    titles = f"pass {numbers[0]}", f"pass {numbers[1]}"
    st.markdown(side_words.points_sentence(found, titles))
