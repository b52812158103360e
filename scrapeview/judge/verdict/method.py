"""Which way of judging a verdict was made by."""

METHOD = 1
"""Raised whenever the same readings could get another verdict."""
