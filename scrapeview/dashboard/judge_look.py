"""How a verdict looks: a line that is read from across the bench, with a sign of its own."""

import html
import re
from collections.abc import Sequence

import streamlit as st

from scrapeview.charts.chart_style import GREEN, GREY, ORANGE, VERMILION
from scrapeview.judge.verdict.criteria import Outcome

COLOURS: dict[Outcome, str] = {
    "done": GREEN,
    "nearly": ORANGE,
    "keep scraping": VERMILION,
    "print again": GREY,
}
"""Of each outcome; its sign and its word tell it without the colour."""


def unbroken(text: str) -> str:
    """Return a text whose numbers are not parted from their units where a line breaks."""
    return re.sub(r"(?<=\d) (?=(%|mm|cm2|µm|px|in2?|h)(?!\w))", "\N{NO-BREAK SPACE}", text)


def banner(stands: str, colour: str, sentence: str) -> str:
    """Return how a face stands, big, with the sentence below it, as HTML.

    Parameters
    ----------
    stands : str
        Sign and word.
    colour : str
    sentence : str
        HTML.
    """
    return (
        f"<div class='sv-verdict' style='border-left: 10px solid {colour}; padding: 0.35rem 0 "
        "0.45rem 0.9rem; overflow-wrap: anywhere'>"
        "<div style='font-size: 2.1rem; font-weight: 700; line-height: 1.2'>"
        f"{stands}</div>"
        f"<div style='font-size: 1.15rem; line-height: 1.4'>{unbroken(sentence)}</div></div>"
    )


def signed_list(items: Sequence[tuple[str, str]]) -> str:
    """Return sentences one below the other, each after its sign, as HTML.

    Parameters
    ----------
    items : sequence of (sign, sentence)
    """
    lines = (
        "<div style='display: flex; gap: 0.6rem; margin: 0 0 0.5rem 0; line-height: 1.45'>"
        f"<span style='flex: 0 0 1.1em; font-weight: 700'>{html.escape(sign)}</span>"
        f"<span style='overflow-wrap: anywhere'>{html.escape(unbroken(sentence))}</span></div>"
        for sign, sentence in items
    )
    return f"<div class='sv-signed'>{''.join(lines)}</div>"


def show_told(
    open_: Sequence[tuple[str, str]], rest: Sequence[tuple[str, str]], none_open: str, fold: str
) -> None:
    """Show the sentences that ask for something, and the rest folded, as the chart has them too.

    Parameters
    ----------
    open_, rest : sequence of (sign, sentence)
    none_open : str
        Said where nothing asks for anything; "" for nothing.
    fold : str
        On what is folded.
    """
    if open_:
        st.html(signed_list(open_))
    elif none_open:
        st.html(signed_list([("✓", none_open)]))
    if rest:
        with st.expander(fold):
            st.html(signed_list(rest))


COUNTING_CSS = """
<style>
/* counts are typed with gloves on */
[class*="st-key-counting_"] [data-testid="stNumberInputContainer"] { height: 60px; }
[class*="st-key-counting_"] .stNumberInput input { min-height: 60px; font-size: 1.6rem; }
[class*="st-key-counting_"] .stNumberInput button { min-width: 60px; min-height: 60px; }
</style>
"""
