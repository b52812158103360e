"""Streamlit entry: a router and nothing else."""
