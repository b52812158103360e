"""A verdict in words: one plain sentence each, its number first and the reason second."""

from scrapeview.charts.shown import Units, points_unit
from scrapeview.charts.verdict_advice import advice
from scrapeview.charts.verdict_amounts import (
    amount,
    bounds_words,
    figure_words,
    margin_words,
    target_words,
)
from scrapeview.charts.verdict_reasons import reason, subject
from scrapeview.judge.verdict.criteria import Balance, Criterion, Outcome, Verdict

__all__ = [
    "OUTCOME",
    "advice",
    "balance_sentence",
    "bounds_words",
    "criterion_sentence",
    "criterion_title",
    "figure_words",
    "margin_words",
    "target_words",
    "verdict_sentence",
    "waiting_sentence",
]

OUTCOME: dict[Outcome, tuple[str, str]] = {
    "done": ("✓", "Done"),
    "nearly": ("◇", "Nearly"),
    "keep scraping": ("✗", "Keep scraping"),
    "print again": ("↻", "Print again"),
}
"""Sign and word of each outcome; the signs differ in shape, not in colour only."""
TITLES = {
    "target": "Target",
    "print": "Print",
    "photograph": "Photograph",
    "haze_most_percent": "Film between the points",
    "count": "Merged patches",
    "square_ppsi_least": "Points in the worst square",
    "contact_least_percent": "Contact, least",
    "contact_most_percent": "Contact, most",
    "bare_circle_most_mm": "Largest bare circle",
    "spread_most_percent": "Spread between squares",
    "balance_most_percent": "Balance",
    "prints_apart_most_percent": "Two prints apart",
}
_SO = {
    "keep scraping": ", so keep scraping",
    "nearly": ", so it is nearly done",
    "print again": ", so print again",
}


def verdict_sentence(verdict: Verdict, units: Units) -> str:
    """Return the verdict in one sentence: what it rests on most, and what follows."""
    if verdict.outcome == "done":
        return _done(verdict, units)
    first = verdict.decided_by[0]
    if first.why == "no target":
        return f"{reason(first, units)}, so choose one."
    more = len(verdict.decided_by) - 1
    also = f"; {more} more {'figure falls' if more == 1 else 'figures fall'} short" if more else ""
    if first.stands != "falls short":
        also = ""
    return f"{reason(first, units)}{_SO[verdict.outcome]}{also}."


def waiting_sentence(pass_number: int) -> str:
    """Return that a face was scraped since the print that is judged."""
    return (
        f"Pass {pass_number} is scraped and waits for its print: what is said here is of the print "
        "before. Print it, and judge anew."
    )


def criterion_title(criterion: Criterion, units: Units) -> str:
    """Return what a criterion is about in a few words, with the zone it is of."""
    if criterion.name == "ppsi_least":
        title = f"Points per {points_unit(units)}"
    else:
        title = TITLES[criterion.name]
    return f"{title}, {criterion.zone}" if criterion.zone else title


def criterion_sentence(criterion: Criterion, units: Units) -> str:
    """Return how one criterion stands, in one sentence."""
    return f"{reason(criterion, units)}."


def balance_sentence(balance: Balance, units: Units) -> str:  # noqa: ARG001 called as the rest
    """Return how two zones stand to each other, in one sentence."""
    first, second = subject(balance.first), subject(balance.second)
    percent = balance.difference_percent
    if percent != percent:
        return f"0 {balance.figure} was found on {first} and {second}: they cannot be compared."
    more = "more" if percent >= 0 else "fewer" if balance.figure == "points" else "less"
    size = f"{abs(percent):.0f} % {more} {balance.figure} {first} has than {second}"
    if balance.allowed_percent is None:
        return f"{size}: the target does not ask for balance."
    allowed = f"{balance.allowed_percent:.0f} % is allowed"
    doubt = ", but chance may do that" if balance.stands == "open" else ""
    return f"{size}: {allowed}{doubt}."


def _done(verdict: Verdict, units: Units) -> str:
    least = [
        one
        for one in verdict.criteria
        if one.name in ("ppsi_least", "contact_least_percent") and one.interval is not None
    ]
    if not least:
        return "0 criteria are open: all that was asked is reached, so the face is done."
    worst = min(least, key=lambda one: (one.name != "ppsi_least", one.margin, one.zone))
    low = amount(worst.interval.low if worst.interval else 0.0, worst.unit, units)
    low += "" if worst.name == "ppsi_least" else " contact"
    asked = amount(worst.target or 0.0, worst.unit, units)
    who = subject(worst.zone)
    return (
        f"{low} is what {who} bears at least: the target is {asked}, all else is reached too and "
        "two prints agree, so it is done."
    )
