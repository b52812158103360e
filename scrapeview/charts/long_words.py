"""What is said of a long face and its stretches: number first, reason second."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scrapeview.charts.long_stretches import Followed, Stretch
from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.judge.inline.joined import StretchFigures
from scrapeview.plane.joined.joined import Joined
from scrapeview.targets import Target
from scrapeview.units import MM_PER_INCH

SIDE_WORDS = {"": "whole width", "far": "far side", "near": "near side"}
PLACE_FORMS = {"metric": "{:.0f} mm", "inch": "{:.1f} in"}


def along(mm: float, units: Units) -> str:
    """Return a place or a length along a long face: 350 mm or 13.8 in."""
    value = mm / MM_PER_INCH if units == "inch" else mm
    # adding zero takes the sign off a rounded zero
    return PLACE_FORMS[units].format(round(value, 1) + 0.0)


def where_words(one: Stretch, units: Units) -> str:
    """Return where a stretch lies: 350 to 850 mm, far side."""
    if not one.placement.is_told:
        return "where it lay is not told"
    side = one.placement.side
    return span(one.start_mm, one.end_mm, units) + (f", {SIDE_WORDS[side]}" if side else "")


def span(from_mm: float, to_mm: float, units: Units) -> str:
    """Return from where to where along a face: 350 to 850 mm."""
    return f"{along(from_mm, units).split()[0]} to {along(to_mm, units)}"


def stretch_line(one: Stretch, units: Units) -> str:
    """Return the figures of a stretch in a line: 18.5 % contact (12.4 to 24.7), 8.4 points/in2."""
    if not one.is_print:
        return "no print was found"
    contact = f"{one.contact_percent:.1f} % contact ({_ends(one.contact_low, one.contact_high)})"
    if not one.count_reliable:
        return f"{contact}, count of points unreliable"
    value, low, high = (points_by(v, units) for v in (one.ppsi, one.ppsi_low, one.ppsi_high))
    return f"{contact}, {value:.1f} points/{points_unit(units)} ({_ends(low, high)})"


def _ends(low: float, high: float) -> str:
    if not (np.isfinite(low) and np.isfinite(high)):
        return "interval unknown"
    return f"{low:.1f} to {high:.1f}"


def covered_sentence(covered_percent: float, pass_number: int, placements: int) -> str:
    """Return how much of the face the prints of a pass show."""
    prints = "1 placement" if placements == 1 else f"{placements} placements"
    rest = (
        "Nothing is left out."
        if covered_percent >= 99.5
        else "What is hatched no print shows, and nothing is said of it."
    )
    return f"{covered_percent:.0f} % of the face is shown by {prints} of pass {pass_number}. {rest}"


def whole_sentence(
    whole: StretchFigures, placements: int, units: Units, *, reliable: bool = True
) -> str:
    """Return the figures of a face joined from its placements, with their intervals.

    Parameters
    ----------
    whole : StretchFigures
    placements : int
    units : {"metric", "inch"}
    reliable : bool, keyword-only
        Whether every count of points can be relied on.
    """
    found, counted = whole.contact_interval, whole.ppsi_interval
    contact = f"{whole.contact_percent:.1f} % contact ({_ends(found.low, found.high)})"
    value, low, high = (
        points_by(at, units) for at in (whole.points_per_square_inch, counted.low, counted.high)
    )
    points = f"{value:.1f} points/{points_unit(units)} ({_ends(low, high)})"
    if not reliable:
        points = "count of points unreliable"
    joined = "" if placements == 1 else f", joined from {placements} placements"
    return f"{contact}, {points}{joined}."


def joined_sentence(percent: float, window_mm: tuple[float, float], units: Units) -> str:
    """Return the contact of a stretch, joined from all prints that show it."""
    return (
        f"{percent:.1f} % contact from {span(*window_mm, units)}, joined from all prints of this "
        "pass."
    )


def joined_map_sentence(joined: Joined, units: Units) -> str:
    """Return how a map was joined: photographs, how far off they are, seams and gaps."""
    count, seams, gaps = len(joined.photos), len(joined.seams), len(joined.gaps)
    off = fine_length(joined.solved.residual_mm, units)
    apart = joined.seams["apart_mm"].to_numpy(dtype=float)
    worst = f", {fine_length(float(np.nanmax(apart)), units)} apart at most" if _any(apart) else ""
    gap_words = "no gap" if not gaps else f"{gaps} gap{'s' if gaps > 1 else ''}"
    return (
        f"{count} photograph{'s' if count > 1 else ''} joined to one map, {off} off on average; "
        f"{seams} seam{'' if seams == 1 else 's'}{worst}; {gap_words} in the face."
    )


def _any(values: NDArray[np.float64]) -> bool:
    return bool(np.isfinite(values).any())


def fine_length(mm: float, units: Units) -> str:
    """Return a small length; never as nothing, which no residual is: under 0.01 mm."""
    value, least, digits, unit = (
        (mm / MM_PER_INCH, 0.001, 3, "in") if units == "inch" else (mm, 0.01, 2, "mm")
    )
    return f"under {least} {unit}" if value < least else f"{value:.{digits}f} {unit}"


def behind_sentence(lines: Sequence[Followed], target: Target, units: Units) -> str:
    """Return which stretch is behind the others, number first; "" where there is only one.

    Parameters
    ----------
    lines : sequence of Followed
    target : Target
        Where it asks for points only or for contact only, that decides; else the figure that sets
        one stretch apart, points first where every count can be relied on.
    units : {"metric", "inch"}
    """
    number = max((line.last.pass_number for line in lines), default=0)
    here = [line.last for line in lines if line.last.pass_number == number and line.last.is_print]
    if len(here) < 2:
        return ""
    rated = [(by_points, *_least(here, by_points)) for by_points in _figures(here, target)]
    by_points, low, others = next((one for one in rated if _apart(*one)), rated[0])
    value = _value(low, by_points, units)
    mean = float(np.mean([_value(one, by_points, units) for one in others]))
    what = f"points/{points_unit(units)}" if by_points else "% contact"
    named = f"{value:.1f} {what} in {low.name} (pass {number})"
    others_words = "the other stretch" if len(others) == 1 else "the mean of the others"
    if _apart(by_points, low, others):
        return (
            f"{named}: {mean - value:.1f} behind {others_words}, {mean:.1f}, and beyond what "
            "chance leaves open. Scrape there first."
        )
    return (
        f"{named} is the least, {mean - value:.1f} behind {others_words}, {mean:.1f}; the "
        "intervals meet, so chance may explain it."
    )


def _figures(here: Sequence[Stretch], target: Target) -> list[bool]:
    """Whether to go by points, by contact, or by points and then by contact."""
    reliable = all(one.count_reliable for one in here)
    asks_contact_only = target.ppsi_least is None and target.contact_least_percent is not None
    asks_points_only = target.ppsi_least is not None and target.contact_least_percent is None
    if not reliable or asks_contact_only:
        return [False]
    return [True] if asks_points_only else [True, False]


def _least(here: Sequence[Stretch], by_points: bool) -> tuple[Stretch, list[Stretch]]:
    low = min(here, key=lambda one: one.ppsi if by_points else one.contact_percent)
    return low, [one for one in here if one is not low]


def _value(one: Stretch, by_points: bool, units: Units) -> float:
    return points_by(one.ppsi, units) if by_points else one.contact_percent


def _apart(by_points: bool, low: Stretch, others: Sequence[Stretch]) -> bool:
    """Whether its interval ends below where those of all others begin."""
    high = low.ppsi_high if by_points else low.contact_high
    begins = [one.ppsi_low if by_points else one.contact_low for one in others]
    return bool(np.isfinite(high) and np.isfinite(begins).all() and high < min(begins))


def gone_sentence(lines: Sequence[Followed], number: int) -> str:
    """Return which stretches of earlier passes the latest pass does not show; "" for none."""
    gone = [line.name for line in lines if line.last.pass_number != number]
    if not gone:
        return ""
    which = "1 stretch was" if len(gone) == 1 else f"{len(gone)} stretches were"
    return f"{which} not printed in pass {number}: {', '.join(gone)}."
