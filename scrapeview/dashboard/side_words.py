"""What comparing prints found, in sentences a person reads, each number with its unit."""

from collections.abc import Sequence

import pandas as pd

from scrapeview.charts import shown
from scrapeview.charts.shown import Units
from scrapeview.judge import Chance, Change, Comparison, OverPasses, Places, Shift
from scrapeview.result import Reading
from scrapeview.units import MM2_PER_SQUARE_INCH, MM_PER_INCH, SQUARES_25MM_PER_SQUARE_INCH

LEAST_AREA_MM2 = 5.0
LEAST_TOLD_MM = 0.15
"""A smaller shift is not worth a word: it lies within the pixels of a usual photograph."""


def fine(mm: float, units: Units) -> str:
    """Return a small length: 0.35 mm or 0.014 in."""
    return f"{mm / MM_PER_INCH:.3f} in" if units == "inch" else f"{mm:.2f} mm"


def small_area(mm2: float, units: Units) -> str:
    """Return the area of a place: 8.9 mm2 or 0.014 in2; larger ones in cm2."""
    if units == "inch":
        return f"{mm2 / MM2_PER_SQUARE_INCH:.3f} in2"
    return f"{mm2:.1f} mm2" if mm2 < 100 else f"{mm2 / 100:.1f} cm2"


def chance_area(chance: Chance, units: Units) -> str:
    """Return an area that chance would give, with its range in one unit."""
    if chance.high < LEAST_AREA_MM2:
        return "next to nothing"
    per, unit = (MM2_PER_SQUARE_INCH, "in2") if units == "inch" else (100.0, "cm2")
    middle, low, high = (
        f"{mm2 / per:.1f}" if per == 100 else f"{mm2 / per:.2f}"
        for mm2 in (chance.expected, chance.low, chance.high)
    )
    return f"about {middle} {unit} ({low} to {high})"


def shift_sentence(shift: Shift, titles: tuple[str, str], error_mm: float, units: Units) -> str:
    """Return how the later print lies on the earlier one, and what was done about it."""
    before, after = titles
    if not shift.clear:
        return (
            f"Whether {after} lies off {before} as a whole cannot be told from the marks, so "
            f"nothing was moved. Places agree as well as the corners were picked: to about "
            f"{fine(error_mm, units)}."
        )
    if shift.distance_mm < max(LEAST_TOLD_MM, 2 * shift.error_mm):
        return f"The marks show no shift of all of {after} against {before}."
    sides = [
        f"{fine(abs(value), units)} {words[value < 0]}"
        for value, words in (
            (shift.x_mm, ("to the right", "to the left")), (shift.y_mm, ("down", "up")),
        )
    ]  # fmt: skip
    return (
        f"All of {after} lies {fine(shift.distance_mm, units)} off {before}: {' and '.join(sides)} "
        "(corners picked a little differently, or the part lay differently). The shift is taken "
        "out here; no reading is changed by it."
    )


def round_sentence(readings: Sequence[Reading]) -> str:
    """Return what to mind with a round face; "" for others."""
    if all(reading.plane.kind != "circle" for reading in readings):
        return ""
    return (
        "A round face has no corner that tells how it lay: its prints compare only where it was "
        "photographed the same way round. Mark its top."
    )


def points_sentence(found: Comparison, titles: tuple[str, str]) -> str:
    """Return how many points stayed, went and came, and what chance would give."""
    before, after = titles
    compared = found.stayed + found.went
    if compared == 0:
        return f"There is no point in {before} that {after} could be compared with."
    share = 100 * found.stayed / compared
    told = (
        f"Of {compared} points in {before}, {found.stayed} stayed ({share:.0f} %) and {found.went} "
        f"went; {found.came} came in {after}. If the two prints had nothing to do with each other, "
        f"about {found.chance.expected:.0f} ({_ends(found.chance)}) would match by chance."
    )
    if found.stayed > found.chance.high:
        return told
    return f"{told} What matched is no more than that: do not read anything into single points."


def not_known_sentence(found: Comparison, titles: tuple[str, str]) -> str:
    """Return how many points lie where the other print shows nothing; "" where none do."""
    told = [
        f"{count} point{'' if count == 1 else 's'} in {title}"
        for count, title in zip(
            (found.not_known_before, found.not_known_after), titles, strict=True
        )
        if count
    ]
    if not told:
        return ""
    return (
        "Not compared, as the other print does not show their place (an opening, left out or "
        f"lost to glare): {' and '.join(told)}."
    )


def contact_sentence(found: Comparison, units: Units) -> str:
    """Return how much contact stayed, went and came, and what chance would give."""
    stayed, went, came = (
        shown.area(mm2, units) for mm2 in (found.stayed_mm2, found.went_mm2, found.came_mm2)
    )
    return (
        f"By area, {stayed} of contact stayed, {went} went and {came} came; "
        f"{chance_area(found.chance_mm2, units)} would coincide by chance."
    )


def change(found: Change, unit: str, digits: int = 1) -> str:
    """Return a change with its interval: +3.1 (+1.2 to +5.0) %."""
    low, high = found.interval.low, found.interval.high
    value = f"{found.value:+.{digits}f}{unit}"
    if not abs(high - low) < float("inf"):
        return f"{value} (interval unknown: too few squares)"
    return f"{value} ({low:+.{digits}f} to {high:+.{digits}f})"


def ppsi_change(found: Comparison, units: Units) -> Change:
    """Return the change of points per area in the units the face is shown in."""
    per = 1.0 if units == "inch" else SQUARES_25MM_PER_SQUARE_INCH
    told = found.ppsi_change
    ends = type(told.interval)(told.interval.low / per, told.interval.high / per)
    return Change(told.value / per, ends)


def places_sentence(places: Places, over: OverPasses, what: str, units: Units) -> str:
    """Return how many places of a kind there are, how large, and what chance would give."""
    count = len(places.table)
    by_chance = chance_area(places.chance_mm2, units)
    if count == 0:
        return f"No place is {what}. Unrelated prints of the same contact would give {by_chance}."
    share = 100 * places.area_mm2 / over.known_mm2 if over.known_mm2 else 0.0
    area = f"{small_area(places.area_mm2, units)} ({share:.1f} % of the face)"
    several = f"{count} places, together {area}, are" if count > 1 else f"1 place of {area} is"
    told = f"{several} {what}. Unrelated prints of the same contact would give {by_chance}."
    return told if places.beyond_chance else f"{told} That is no more than chance."


def known_sentence(over: OverPasses) -> str:
    """Return how much of the face all passes show; "" where it is nearly all."""
    if over.seen_once_mm2 <= 0 or over.known_mm2 > 0.995 * over.seen_once_mm2:
        return ""
    missing = 100 * (1 - over.known_mm2 / over.seen_once_mm2)
    return (
        f"{missing:.1f} % of the face is not shown by every one of these passes (left out, lost to "
        "glare or not in the picture). Nothing is said of it."
    )


def in_units(frame: pd.DataFrame, units: Units) -> pd.DataFrame:
    """Return a table with lengths and areas in inches where a face is shown in inches."""
    if units == "metric":
        return frame
    told = {}
    for name, column in frame.items():
        if str(name).endswith("_mm2"):
            told[f"{str(name).removesuffix('_mm2')}_in2"] = column / MM2_PER_SQUARE_INCH
        elif str(name).endswith("_mm"):
            told[f"{str(name).removesuffix('_mm')}_in"] = column / MM_PER_INCH
        else:
            told[str(name)] = column
    return pd.DataFrame(told)


def _ends(chance: Chance) -> str:
    return f"{chance.low:.0f} to {chance.high:.0f}"
