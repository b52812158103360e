"""A sentence that outlives the run of the page in which it became true, and is shown once."""

import streamlit as st


def say_afresh(key: str, said: str) -> None:
    """Run the page again, so that its fields are as new, and let it say a sentence then.

    Parameters
    ----------
    key : str
        Tells the places of a page that say something apart.
    said : str
    """
    st.session_state[_of(key)] = said
    st.rerun()


def show_said(key: str) -> None:
    """Show what the run before had to say here, if it had."""
    said = st.session_state.pop(_of(key), "")
    if said:
        st.success(said)


def _of(key: str) -> str:
    return f"{key} said"
