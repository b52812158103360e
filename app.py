"""Streamlit entry: a router and nothing else."""

from scrapeview.dashboard.pages import show_pages

show_pages()
