"""The figures of a whole print against what the target asks."""

import numpy as np
from scipy import stats

from scrapeview.bearing import Interval, Square, sliding_squares, sums_of
from scrapeview.bearing.bare import GRID_PX_PER_MM
from scrapeview.judge.verdict.bounds import UNKNOWN, at_risk, judged
from scrapeview.judge.verdict.criteria import Criterion
from scrapeview.judge.verdict.parts import Ground, count_doubt
from scrapeview.result import Reading
from scrapeview.targets import Target
from scrapeview.units import MM_PER_INCH, per_square_inch

NEARLY_AN_INCH_MM = 0.5
"""Cells of 25 mm count as square inches: points are told by their area."""


def asked_criteria(ground: Ground, target: Target, risk: float) -> tuple[Criterion, ...]:
    """Return one criterion for each figure of the whole print that the target asks for."""
    reading = ground.reading
    ppsi, contact = _ppsi_bounds(ground, risk), _contact_bounds(ground, risk)
    found = (
        _against(target, "ppsi_least", reading.points_per_square_inch, "1/in2", ppsi, True),
        _square(ground, target),
        _against(target, "contact_least_percent", reading.contact_percent, "%", contact, True),
        _against(target, "contact_most_percent", reading.contact_percent, "%", contact, False),
        _against(
            target, "bare_circle_most_mm", reading.bare_patch.circle_mm, "mm",
            _circle_bounds(ground), False,
        ),
        _against(
            target, "spread_most_percent", reading.evenness.cell_points_spread_percent, "%",
            _spread_bounds(reading, risk), False,
        ),
    )  # fmt: skip
    return tuple(one for one in found if one is not None)


def _against(
    target: Target, name: str, figure: float, unit: str, interval: Interval, at_least: bool
) -> Criterion | None:
    asked = getattr(target, name)
    if asked is None:
        return None
    return judged(name, figure, unit, interval, asked, at_least=at_least)


def _ppsi_bounds(ground: Ground, risk: float) -> Interval:
    reading = ground.reading
    doubt = count_doubt(reading.points, ground.scale_error)
    return at_risk(
        reading.points_per_square_inch,
        reading.ppsi_interval,
        confidence=reading.settings.confidence,
        risk=risk,
        own=per_square_inch(doubt, reading.area_mm2),
        clumped=ground.clumped.points,
        squares=len(reading.cells),
    )


def _contact_bounds(ground: Ground, risk: float) -> Interval:
    reading = ground.reading
    return at_risk(
        reading.contact_percent,
        reading.contact_interval,
        confidence=reading.settings.confidence,
        risk=risk,
        own=ground.edge_percent,
        clumped=ground.clumped.contact,
        squares=len(reading.cells),
    )


def _square(ground: Ground, target: Target) -> Criterion | None:
    """The worst square: all of its points are seen, so only what is doubtful of them is open."""
    square = _worst_square(ground)
    if square is None:
        return _against(target, "square_ppsi_least", float("nan"), "1/in2", UNKNOWN, True)
    return _against(
        target, "square_ppsi_least", square.points_per_square_inch, "1/in2",
        _square_bounds(ground, square), True,
    )  # fmt: skip


def _worst_square(ground: Ground) -> Square | None:
    """The reading's own where its cells are as large as a square inch, else looked for anew."""
    reading = ground.reading
    if abs(reading.settings.cell_mm - MM_PER_INCH) <= NEARLY_AN_INCH_MM:
        return reading.worst_square
    contact = reading.contact_mask & ground.known
    sums = sums_of(ground.known, contact, reading.px_per_mm, reading.origin_mm)
    squares = sliding_squares(sums, reading.points, ground.bounds_mm, MM_PER_INCH)
    return squares[0] if squares else None


def _square_bounds(ground: Ground, square: Square) -> Interval:
    points = ground.reading.points
    x, y = points["x_mm"], points["y_mm"]
    inside = points[
        (x >= square.x_mm) & (x < square.x_mm + square.side_mm)
        & (y >= square.y_mm) & (y < square.y_mm + square.side_mm)
    ]  # fmt: skip
    half = per_square_inch(count_doubt(inside, ground.scale_error), square.area_mm2)
    figure = square.points_per_square_inch
    return Interval(max(0.0, figure - half), figure + half)


def _circle_bounds(ground: Ground) -> Interval:
    """The largest bare circle, to one square of the grid it is looked for on."""
    figure = ground.reading.bare_patch.circle_mm
    scale = ground.reading.px_per_mm
    grid_px_per_mm = scale / max(1, int(scale / GRID_PX_PER_MM))
    half = float(np.hypot(1 / grid_px_per_mm, figure * ground.scale_error))
    return Interval(max(0.0, figure - half), figure + half)


def _spread_bounds(reading: Reading, risk: float) -> Interval:
    """Bounds of a standard deviation by chi-square; its mean counts as known."""
    cells = int(reading.cells["enough_area"].sum())
    figure = reading.evenness.cell_points_spread_percent
    if cells < 2 or not len(reading.points):
        return UNKNOWN
    freedom = cells - 1
    low, high = (
        figure * np.sqrt(freedom / stats.chi2.ppf(tail, freedom)) for tail in (1 - risk, risk)
    )
    return Interval(float(low), float(high))
