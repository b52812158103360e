"""Streamlit entry: a router and nothing else."""

import streamlit as st

from scrapeview.dashboard.print_page import print_page

st.set_page_config(page_title="Scrapeview", layout="wide")
st.navigation([st.Page(print_page, title="Read a print")]).run()
