"""Figures, bounds, targets and margins of criteria as a person reads them."""

import math

from scrapeview.charts.shown import Units, length, points_by, points_unit
from scrapeview.judge.verdict.criteria import Criterion

NOTHING = "–"
PER_SQUARE_INCH, MILLIMETRES = "1/in2", "mm"


def amount(value: float, unit: str, units: Units) -> str:
    """Return a value of a criterion with its unit: 18.2 points per in2, 23.1 %, 10.0 mm."""
    if not math.isfinite(value):
        return "unknown"
    if unit == PER_SQUARE_INCH:
        return f"{points_by(value, units):.1f} points per {points_unit(units)}"
    if unit == MILLIMETRES:
        return length(value, units)
    return f"{value:.1f} {unit}".strip()


def number(value: float, unit: str, units: Units) -> str:
    """Return a value without its unit, to stand beside one that has it."""
    if not math.isfinite(value):
        return "unknown"
    if unit == PER_SQUARE_INCH:
        return f"{points_by(value, units):.1f}"
    if unit == MILLIMETRES:
        return length(value, units)
    return f"{value:.1f}"


def figure_words(criterion: Criterion, units: Units) -> str:
    """Return the figure with its unit; a dash where there is none."""
    if not math.isfinite(criterion.figure):
        return NOTHING
    return amount(criterion.figure, criterion.unit, units)


def bounds_words(criterion: Criterion, units: Units) -> str:
    """Return both bounds: 28.1 to 30.8; a dash where the figure has none."""
    found = criterion.interval
    if found is None:
        return NOTHING
    if not (math.isfinite(found.low) and math.isfinite(found.high)):
        return "unknown: too few squares"
    low, high = (number(end, criterion.unit, units) for end in (found.low, found.high))
    return f"{low} to {high}"


def target_words(criterion: Criterion, units: Units) -> str:
    """Return what is asked: at least 20.0 points per in2; a dash where nothing is."""
    if criterion.target is None:
        return NOTHING
    sense = "at least" if criterion.at_least else "at most"
    return f"{sense} {amount(criterion.target, criterion.unit, units)}"


def margin_words(criterion: Criterion, units: Units) -> str:
    """Return the margin with its sign; a dash where nothing is compared."""
    if not math.isfinite(criterion.margin):
        return NOTHING
    size = amount(abs(criterion.margin), criterion.unit, units)
    return f"{'-' if criterion.margin < 0 else '+'}{size}"
