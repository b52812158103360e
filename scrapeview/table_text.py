"""A reading as the plain text that is printed: figures, places, regions and checks."""

import textwrap

from scrapeview.bearing import Interval, Square
from scrapeview.charts import shown
from scrapeview.charts.shown import Units
from scrapeview.photo import Check
from scrapeview.plane import Plane
from scrapeview.plane.cards import UNMEASURED_ERROR
from scrapeview.result import Reading
from scrapeview.units import MM2_PER_SQUARE_INCH, MM_PER_INCH

LABEL_WIDTH = 22
LINE_WIDTH = 100
SEVERITIES = {"bad": "BAD", "warn": "CARE"}
KNOWN_BY = {"card": "card", "tiles": "tiles", "map": "joined map"}
FINEST_MM = 0.01
"""Residuals are not told more finely."""
UNMEASURED = ", as the bar on its sheet was not measured (--bar)"
IN_ORDER = {
    "clipped_lights": "highlights",
    "clipped_darks": "shadows",
    "uneven_light": "even light",
    "no_print": "marking found",
    "heavy_film": "thin film",
    "merged": "points apart",
}
"""What a check with nothing to say is called where its code alone would mislead."""


def reading_text(reading: Reading, name: str, units: Units = "metric") -> str:
    """Return the printed table of one reading, ASCII, without a line break at its end.

    Parameters
    ----------
    reading : Reading
    name : str
        What the photograph is called.
    units : {"metric", "inch"}
        For lengths and areas; points are given both per square inch and per 25 mm square.
    """
    blocks = [
        [_headline(reading, name)],
        _figures(reading, units),
        _places(reading, units) if reading.is_print else [],
        _regions(reading, units) if len(reading.regions) > 1 else [],
        _checks(reading.checks),
        [_row("note", note) for note in reading.photo_notes],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _headline(reading: Reading, name: str) -> str:
    taken = f", taken {reading.taken_at.replace('T', ' ')}" if reading.taken_at else ""
    return f"{name}: read at {reading.px_per_mm:.1f} px/mm{taken}"


def _figures(reading: Reading, units: Units) -> list[str]:
    area_in2 = reading.area_mm2 / MM2_PER_SQUARE_INCH
    both = f"{area_in2:.2f} in2 = {shown.area(reading.area_mm2, 'metric')}"
    if units == "metric":
        both = f"{shown.area(reading.area_mm2, 'metric')} = {area_in2:.2f} in2"
    lost = f", {reading.washed_out_percent:.1f} % lost to glare left out"
    area = _row("area read", both + (lost if reading.washed_out_percent >= 0.05 else ""))
    if not reading.is_print:
        return [_row("NO PRINT", reading.reason), area]
    level = f"{100 * reading.settings.confidence:g} % interval"
    contact = _figure("contact", f"{reading.contact_percent:.1f} %", reading.contact_interval)
    head = f"  {'':{LABEL_WIDTH}}{'':12}{level}"
    return [head, contact, *_counts(reading), area, *_scale(reading.plane, units)]


def _scale(plane: Plane, units: Units) -> list[str]:
    """How well what the scale is known by fits, and how far lengths can be trusted."""
    if plane.kind not in KNOWN_BY:
        return []
    mm = max(plane.residual_mm, FINEST_MM)
    residual = f"{mm / MM_PER_INCH:.4f} in" if units == "inch" else f"{mm:.2f} mm"
    residual = f"under {residual}" if plane.residual_mm < FINEST_MM else residual
    told = f"from the {KNOWN_BY[plane.kind]}, residual {residual}"
    if plane.scale_error > 0:
        told += f"; lengths within {196 * plane.scale_error:.1f} %"
        told += UNMEASURED if plane.scale_error >= UNMEASURED_ERROR else ""
    return [_row("scale", told)]


def _counts(reading: Reading) -> list[str]:
    ppsi, per_25 = reading.points_per_square_inch, reading.points_per_25mm_square
    if reading.count_reliable:
        return [
            _figure("points/in2", f"{ppsi:.1f}", reading.ppsi_interval),
            _figure("points/25 mm square", f"{per_25:.1f}", reading.p25_interval),
            _row("points", f"{len(reading.points)}"),
        ]
    why = f"{shown.merged_sentence(reading)}, so go by contact"
    return [
        _row("points/in2", f"UNRELIABLE: {why}"),
        _row("points/25 mm square", "UNRELIABLE"),
        _row(
            "points",
            f"{len(reading.points)} pieces, which would be {ppsi:.1f}/in2, "
            f"{per_25:.1f}/25 mm square",
        ),
    ]


def _figure(label: str, value: str, interval: Interval) -> str:
    return f"  {label:{LABEL_WIDTH}}{value:12}{shown.interval(interval)}"


def _row(label: str, text: str) -> str:
    first = f"  {label:{LABEL_WIDTH}}"
    return textwrap.fill(text, LINE_WIDTH, initial_indent=first, subsequent_indent=" " * len(first))


def _places(reading: Reading, units: Units) -> list[str]:
    patch = reading.bare_patch
    rows = [
        _square_row("worst", reading.worst_square, reading, units),
        _square_row("best", reading.best_square, reading, units),
        _row(
            "largest bare patch",
            f"circle {shown.length(patch.circle_mm, units)} across, "
            f"{shown.place(patch.x_mm, patch.y_mm, units)}; "
            f"open area {shown.area(patch.area_mm2, units)}",
        ),
        _row("merged patches", f"{reading.merged_percent:.0f} % of the contact"),
    ]
    return [*rows, *_evenness(reading, units), _row("film", shown.film(reading))]


def _square_row(which: str, square: Square | None, reading: Reading, units: Units) -> str:
    label = f"{which} {shown.side(reading.settings.cell_mm)} square"
    if square is None:
        return _row(label, "none: nothing is left to read")
    count = f"{square.points} point{'' if square.points == 1 else 's'}"
    if abs(square.area_mm2 / square.side_mm**2 - 1) > 0.02:
        count += f" on {shown.area(square.area_mm2, units)}"
    middle = square.x_mm + square.side_mm / 2, square.y_mm + square.side_mm / 2
    doubt = "" if reading.count_reliable else " (count unreliable)"
    return _row(
        label,
        f"{count}{doubt}, {square.contact_percent:.0f} % contact, "
        f"middle {shown.place(*middle, units)}",
    )


def _evenness(reading: Reading, units: Units) -> list[str]:
    if reading.points.empty:
        return []
    even = reading.evenness
    small = shown.length(even.small_diameter_mm, units)
    large = shown.length(even.large_diameter_mm, units)
    median = shown.length(even.median_diameter_mm, units)
    return [
        _row("median point", f"{median} across; eight in ten {small} to {large}"),
        _row("spacing", shown.spacing(even.spacing_index)),
    ]


def _regions(reading: Reading, units: Units) -> list[str]:
    head = (
        f"  {'region':>6}{'area':>12}{'contact':>11}{'points':>9}{'per in2':>10}{'per 25 mm':>11}"
    )
    mark = "" if reading.count_reliable else "  count unreliable"
    rows = [
        f"  {row['region']:>6}{shown.area(row['area_mm2'], units):>12}"
        f"{row['contact_percent']:>9.1f} %{row['points']:>9}{row['points_per_square_inch']:>10.1f}"
        f"{row['points_per_25mm_square']:>11.1f}{mark}"
        for row in reading.regions.to_dict("records")
    ]
    return [head, *rows]


def _checks(checks: tuple[Check, ...]) -> list[str]:
    rows = [
        _row(SEVERITIES[check.severity], check.sentence)
        for severity in ("bad", "warn")
        for check in checks
        if check.severity == severity
    ]
    fine = [IN_ORDER.get(c.code, c.code.replace("_", " ")) for c in checks if c.severity == "ok"]
    return [*rows, _row("in order", ", ".join(fine))] if fine else rows
