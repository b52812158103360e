"""From criteria to one of four outcomes, and which criteria it rests on."""

from collections.abc import Sequence

from scrapeview.judge.verdict.criteria import Criterion, Outcome, Stands

WEIGHT = (
    "target",
    "photograph",
    "haze_most_percent",
    "print",
    "count",
    "ppsi_least",
    "contact_least_percent",
    "contact_most_percent",
    "square_ppsi_least",
    "bare_circle_most_mm",
    "balance_most_percent",
    "spread_most_percent",
    "prints_apart_most_percent",
)
"""Names of criteria, the weightiest first."""
OF_THE_PRINT = ("print", "photograph", "haze_most_percent", "count", "prints_apart_most_percent")
"""Criteria that say whether a print can judge; what cannot be told follows from them."""


def outcome_of(criteria: Sequence[Criterion]) -> tuple[Outcome, tuple[Criterion, ...]]:
    """Return the outcome and the criteria it rests on, the weightiest first.

    What plainly falls short goes before what cannot be told: whoever still has to scrape prints
    again anyway. Two prints that differ are no reason to scrape, but one to print again.
    """
    untold = [one for one in criteria if one.name == "target"]
    if untold:
        return "keep scraping", tuple(untold)
    apart = [one for one in criteria if one.name == "prints_apart_most_percent"]
    others = [one for one in criteria if one.name != "prints_apart_most_percent"]
    short = _that(others, "falls short")
    if short:
        return "keep scraping", _by_weight(short)
    untellable = _that(criteria, "cannot tell")
    roots = [one for one in untellable if one.name in OF_THE_PRINT]
    again = (roots or untellable) + _that(apart, "falls short")
    if again:
        return "print again", _by_weight(again)
    still_open = _that(criteria, "open")
    return ("nearly", _by_weight(still_open)) if still_open else ("done", ())


def _that(criteria: Sequence[Criterion], stands: Stands) -> list[Criterion]:
    return [one for one in criteria if one.stands == stands]


def _by_weight(criteria: Sequence[Criterion]) -> tuple[Criterion, ...]:
    return tuple(sorted(criteria, key=_weight))


def _weight(one: Criterion) -> tuple[bool, int, float, str]:
    """The whole face before its zones, then by name, then by how far it is off."""
    off = one.margin / one.target if one.target else one.margin
    return bool(one.zone), WEIGHT.index(one.name), off if off == off else 0.0, one.zone
