"""Taking something kept by mistake out again: which one, and a button."""

from collections.abc import Callable, Sequence

import streamlit as st

from scrapeview.dashboard.said_once import say_afresh
from scrapeview.dashboard.shell import plainly


def offer_removal(
    key: str, thing: str, lines: Sequence[str], remove: Callable[[int], None], said_key: str
) -> None:
    """Let one of several things be taken out, and say so in the next run.

    Parameters
    ----------
    key : str
        Of the field.
    thing : str
        What it is called, such as "check".
    lines : sequence of str
        Each in one line of Markdown.
    remove : callable
        Takes out the one at a place in `lines`.
    said_key : str
        Where it is said; see `said_once`.
    """
    with st.expander(f"Take a {thing} out"):
        at = st.selectbox(
            "Which one", range(len(lines)), key=key, index=None, placeholder=f"Choose a {thing}",
            format_func=lambda at: lines[at].replace("*", "").replace("\\", ""),
        )  # fmt: skip
        pressed = st.button(f"Take this {thing} out", key=f"{key}-go", disabled=at is None)
        if pressed and at is not None:
            with plainly():
                remove(at)
                st.session_state.pop(key, None)
                say_afresh(said_key, f"The {thing} is taken out.")
