"""The page Settings: what holds for the whole shop."""

import streamlit as st

from scrapeview.dashboard.shell import page, the_record


def settings_page() -> None:
    """Show the page."""
    with page("Settings"):
        st.write(f"The record lives in {the_record().place}.")
