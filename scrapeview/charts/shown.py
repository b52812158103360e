"""Figures as a person reads them: in the units they work in, each with its unit."""

import math
from typing import Literal

from scrapeview.bearing import Interval
from scrapeview.result import Reading
from scrapeview.units import MM2_PER_SQUARE_INCH, MM_PER_INCH, SQUARES_25MM_PER_SQUARE_INCH

Units = Literal["metric", "inch"]
MM2_PER_CM2 = 100.0


def length(mm: float, units: Units) -> str:
    """Return a length: 16.0 mm or 0.63 in."""
    return f"{mm / MM_PER_INCH:.2f} in" if units == "inch" else f"{mm:.1f} mm"


def area(mm2: float, units: Units) -> str:
    """Return an area: 37.9 cm2 or 5.87 in2."""
    if units == "inch":
        return f"{mm2 / MM2_PER_SQUARE_INCH:.2f} in2"
    return f"{mm2 / MM2_PER_CM2:.1f} cm2"


def points_unit(units: Units) -> str:
    """Return what points are counted by: in2, or the 25 mm square of a metric shop."""
    return "in2" if units == "inch" else "25 mm square"


def points_by(ppsi: float, units: Units) -> float:
    """Return points per square inch as the shop counts them."""
    return ppsi if units == "inch" else ppsi / SQUARES_25MM_PER_SQUARE_INCH


def side(mm: float) -> str:
    """Return the side of a cell the way it was set: 1 in, 25 mm."""
    inches = mm / MM_PER_INCH
    if abs(inches * 4 - round(inches * 4)) < 1e-9:
        return f"{inches:g} in"
    return f"{mm:g} mm"


def place(x_mm: float, y_mm: float, units: Units) -> str:
    """Return a place on the face, from its top left corner."""
    if units == "inch":
        x, y = _near(x_mm / MM_PER_INCH, 1), _near(y_mm / MM_PER_INCH, 1)
        return f"{x} in from the left, {y} in from the top"
    return f"{_near(x_mm, 0)} mm from the left, {_near(y_mm, 0)} mm from the top"


def _near(value: float, digits: int) -> str:
    # adding zero takes the sign off a rounded zero
    return f"{round(value, digits) + 0.0:.{digits}f}"


def interval(found: Interval) -> str:
    """Return an interval: 15.0 to 17.3; in words where the face is too small to tell."""
    if not (math.isfinite(found.low) and math.isfinite(found.high)):
        return "unknown: too few squares"
    return f"{found.low:.1f} to {found.high:.1f}"


def merged_sentence(reading: Reading) -> str:
    """Return why a count cannot be relied on."""
    return f"{reading.merged_percent:.0f} % of the contact lies in merged patches"


def spacing(index: float) -> str:
    """Return in words how evenly points are spaced.

    The index is 1 for points strewn at random and 2 for a square lattice (Clark and Evans 1954);
    the words between are our own.
    """
    if index <= 0:
        return "too few points to tell"
    if index < 0.8:
        words = "bunched together"
    elif index < 1.2:
        words = "no more even than strewn at random"
    elif index < 1.5:
        words = "fairly even"
    else:
        words = "even"
    return f"{words} (index {index:.2f}: 1 is random, 2 a square lattice)"


def film(reading: Reading) -> str:
    """Return what the film was read as, and how heavy it lies."""
    on = f" on {reading.undercoat} undercoat" if reading.undercoat else ", no undercoat"
    heavy = reading.heaviness
    return f"{reading.marking}{on}; haze {heavy.haze_percent:.0f} %, smear {_smear(reading)}"


def _smear(reading: Reading) -> str:
    heavy = reading.heaviness
    if heavy.smear_percent < 1:
        return f"{heavy.smear_percent:.0f} %"
    ways = {0: "along x", 45: "falling to the right", 90: "along y", 135: "rising to the right"}
    way = ways.get(round(heavy.smear_direction_deg), f"at {heavy.smear_direction_deg:.0f} deg")
    return f"{heavy.smear_percent:.0f} % {way}"
