"""Amounts of the estimates of line and plane, in the units a person works in."""

import math

from scrapeview.charts.shown import Units
from scrapeview.judge.inline.estimates import Estimate

UM_PER_TENTH = 2.54
"""Micrometres in 0.0001 in."""
THOU_PER_FOOT = 0.012
"""Thousandths of an inch per foot in one micrometre per metre."""
METRES_PER_FOOT = 0.3048


def estimate_words(estimate: Estimate, units: Units) -> str:
    """Return an estimate with its interval: 0.8 µm (0.2 to 1.5), 0.42 film units (0.10 to 0.74).

    Parameters
    ----------
    estimate : Estimate
    units : {"metric", "inch"}
    """
    if not (math.isfinite(estimate.low) and math.isfinite(estimate.high)):
        return "cannot be told"
    film = film_amount(estimate, units)
    value, low, high = estimate.value_um, estimate.low_um, estimate.high_um
    if value is None or low is None or high is None:
        return film
    return f"{length_amount(value, low, high, estimate.kind == 'tilt', units)}, {film}"


def film_amount(estimate: Estimate, units: Units) -> str:
    """Return an estimate in film units, or film units per length."""
    tilt = estimate.kind == "tilt"
    scale = METRES_PER_FOOT if tilt and units == "inch" else 1.0
    unit = "film units"
    if tilt:
        unit += " per ft" if units == "inch" else " per m"
    value, low, high = (
        f"{scale * end + 0.0:+.2f}" for end in (estimate.value, estimate.low, estimate.high)
    )
    return f"{value} {unit} (95 %: {low} to {high})"


def length_amount(value: float, low: float, high: float, tilt: bool, units: Units) -> str:
    """Return a value and its interval in micrometres, or their inch kin."""
    ends = " to ".join(amount(end, tilt, units) for end in (low, high))
    return f"{amount(value, tilt, units)} {length_unit(tilt, units)} (95 %: {ends})"


def amount(um: float, tilt: bool, units: Units) -> str:
    """Return a signed height, or tilt, without its unit."""
    if units == "metric":
        return f"{um:+.1f}"
    return f"{um * THOU_PER_FOOT:+.3f}" if tilt else f"{um / UM_PER_TENTH:+.1f}"


def length_unit(tilt: bool, units: Units) -> str:
    """Return the unit of `amount`."""
    if units == "metric":
        return "µm per m" if tilt else "µm"
    return "thousandths of an inch per ft" if tilt else "x 0.0001 in"


def plain_length(um: float, units: Units) -> str:
    """Return a height with its unit, without a sign."""
    return f"{um / UM_PER_TENTH:.2f} x 0.0001 in" if units == "inch" else f"{um:.2f} µm"


def is_tilt(what: str) -> bool:
    """Return whether a quantity is a tilt."""
    return what in ("tilt along", "tilt across", "twist")
