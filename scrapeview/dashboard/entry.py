"""Streamlit entry where the package is installed without its checkout: a router as app.py is."""

from scrapeview.dashboard.pages import show_pages

show_pages()
