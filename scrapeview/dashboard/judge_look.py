"""How a verdict looks: a line that is read from across the bench, with a sign of its own."""

from scrapeview.charts.chart_style import GREEN, GREY, ORANGE, VERMILION
from scrapeview.judge.criteria import Outcome

LOOKS: dict[Outcome, tuple[str, str]] = {
    "done": ("✓", GREEN),
    "nearly": ("◇", ORANGE),
    "keep scraping": ("✗", VERMILION),
    "print again": ("↻", GREY),
}
"""Sign and colour of each outcome; the sign and the word tell it without the colour."""


def banner(outcome: Outcome, sentence: str) -> str:
    """Return the outcome, big, with the sentence below it, as HTML.

    Parameters
    ----------
    outcome : Outcome
    sentence : str
        HTML.
    """
    sign, colour = LOOKS[outcome]
    return (
        f"<div class='sv-verdict' style='border-left: 10px solid {colour}; padding: 0.35rem 0 "
        "0.45rem 0.9rem; overflow-wrap: anywhere'>"
        "<div style='font-size: 2.1rem; font-weight: 700; line-height: 1.2'>"
        f"{sign} {outcome.capitalize()}</div>"
        f"<div style='font-size: 1.15rem; line-height: 1.4'>{sentence}</div></div>"
    )


COUNTING_CSS = """
<style>
/* counts are typed with gloves on */
[class*="st-key-counting_"] .stNumberInput input { min-height: 60px; font-size: 1.6rem; }
[class*="st-key-counting_"] .stNumberInput button { min-width: 60px; min-height: 60px; }
</style>
"""
