"""Streamlit entry: a router and nothing else."""

import streamlit as st

from scrapeview.dashboard.pages import pages

st.set_page_config(page_title="Scrapeview", layout="wide")
st.navigation(list(pages().values()), position="top").run()
