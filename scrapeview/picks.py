"""What a person types: picks, lengths, sizes, polygons and circles, read into numbers."""

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import SettingsError
from scrapeview.plane import circle_polygon
from scrapeview.units import MM_PER_INCH

MM_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
}
"""Units of length that may be typed."""
PIXELS = ("", "px")
LARGEST = 1e6
"""No photo, and no face in mm, reaches this far."""

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)"
_UNIT = r"(?:mm|cm|inches|inch|in|px|\")?"
_LENGTH = re.compile(rf"({_NUMBER})\s*({_UNIT})", re.IGNORECASE | re.ASCII)
_SIZE = re.compile(
    rf"({_NUMBER})\s*({_UNIT})\s*[x×*]\s*({_NUMBER})\s*({_UNIT})", re.IGNORECASE | re.ASCII
)
_PICK = re.compile(rf"({_NUMBER})({_UNIT}),({_NUMBER})({_UNIT})", re.IGNORECASE | re.ASCII)
_CIRCLE = re.compile(
    rf"circle\s+(\S+)\s+([rd])\s*({_NUMBER})\s*({_UNIT})", re.IGNORECASE | re.ASCII
)

Pick = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Shape:
    """A polygon that was typed.

    Attributes
    ----------
    polygon : (N, 2) float array
        Its corners, in photo pixels or, where `in_mm`, in mm on the face.
    in_mm : bool
    """

    polygon: NDArray[np.float64]
    in_mm: bool


def parse_picks(text: str, what: str) -> tuple[Pick, ...]:
    """Read picks in photo pixels: "x,y x,y ...".

    Parameters
    ----------
    text : str
        Pairs with a comma in each, blanks or semicolons between them.
    what : str
        What the picks are, to begin a sentence with.

    Raises
    ------
    SettingsError
        Where a pair is not two numbers, has a unit of length or lies absurdly far off.
    """
    points, unit = _points(text, what)
    if unit not in PIXELS:
        raise SettingsError(f"{what} are picked in photo pixels: leave the unit {unit} out.")
    return points


def parse_pick(text: str, what: str) -> Pick:
    """Read one pick in photo pixels: "x,y"."""
    points = parse_picks(text, what)
    if len(points) != 1:
        raise SettingsError(f"{what} takes one pick x,y, not {len(points)}.")
    return points[0]


def parse_length_mm(text: str, what: str) -> float:
    """Read a length with its unit, such as 100mm or 4in, in mm.

    Raises
    ------
    SettingsError
        Where it is not a length above zero, or has no unit.
    """
    found = _LENGTH.fullmatch(text.strip())
    if not found:
        raise SettingsError(
            f"{what}: '{_short(text)}' is not a length; give it with its unit, "
            "such as 100mm or 4in."
        )
    length = _number(found[1], what) * _mm_per(found[2], what, f"{found[1]}mm or {found[1]}in")
    return _above_zero(length, what, text)


def parse_size_mm(text: str, what: str) -> tuple[float, float]:
    """Read width and height, such as 254x178mm or 10 x 7 in, in mm.

    One unit behind the second number holds for both.

    Raises
    ------
    SettingsError
        Where it is not two lengths above zero, or has no unit.
    """
    found = _SIZE.fullmatch(text.strip())
    if not found:
        raise SettingsError(
            f"{what}: '{_short(text)}' is not a size; give width x height with the unit, such as "
            "254x178mm or 10x7in."
        )
    width, own_unit, height, unit = found.groups()
    example = f"{width}x{height}mm or {width}x{height}in"
    sides = (
        _number(width, what) * _mm_per(own_unit or unit, what, example),
        _number(height, what) * _mm_per(unit, what, example),
    )
    return _above_zero(sides[0], what, text), _above_zero(sides[1], what, text)


def parse_shape(text: str, what: str) -> Shape:
    """Read a polygon "x,y x,y x,y ..." or a circle "circle x,y r48".

    Numbers are photo pixels; with a unit of length behind them, such as 10mm,5mm, they are lengths
    on the face. A circle takes a radius, r5mm, or a diameter, d10mm.

    Raises
    ------
    SettingsError
        Where it is neither, or pixels and lengths are mixed.
    """
    if text.strip().lower().startswith("circle"):
        return _circle(text.strip(), what)
    points, unit = _points(text, what)
    if len(points) < 3:
        raise SettingsError(f"{what}: a polygon needs three or more corners, not {len(points)}.")
    in_mm = unit not in PIXELS
    return Shape(np.array(points) * (MM_PER_UNIT[unit] if in_mm else 1.0), in_mm)


def _circle(text: str, what: str) -> Shape:
    found = _CIRCLE.fullmatch(_tight(text))
    if not found:
        raise SettingsError(
            f"{what}: '{_short(text)}' is not a circle; write it like \"circle 476,295 r48\" in "
            'photo pixels or "circle 40mm,30mm r5mm" on the face.'
        )
    points, unit = _points(found[1], what)
    radius = _number(found[3], what) / (2 if found[2].lower() == "d" else 1)
    radius_unit = found[4].lower()
    if radius <= 0:
        raise SettingsError(f"{what}: the circle's size must be above zero, not {found[3]}.")
    in_mm = unit not in PIXELS
    if in_mm != (radius_unit not in PIXELS):
        raise SettingsError(f"{what}: {_MIXED}")
    centre = np.array(points[0]) * (MM_PER_UNIT[unit] if in_mm else 1.0)
    return Shape(circle_polygon(centre, radius * MM_PER_UNIT.get(radius_unit, 1.0)), in_mm)


_MIXED = "give all of it in photo pixels or all of it with a unit of length."


def _points(text: str, what: str) -> tuple[tuple[Pick, ...], str]:
    """Pairs and the one unit they all share, "" for pixels."""
    words = _tight(text).replace(";", " ").split()
    if not words:
        raise SettingsError(f'{what}: nothing is given; write pairs like "412,380 3610,402".')
    found = [_pair(word, what) for word in words]
    units = {unit for _, pair_units in found for unit in pair_units}
    if len(units) > 1:
        raise SettingsError(f"{what}: {_MIXED}")
    return tuple(pair for pair, _ in found), units.pop()


def _pair(word: str, what: str) -> tuple[Pick, tuple[str, str]]:
    match = _PICK.fullmatch(word)
    if not match:
        raise SettingsError(
            f"{what}: '{_short(word)}' is not a pair x,y; write pairs like \"412,380 3610,402\"."
        )
    x, x_unit, y, y_unit = match.groups()
    return (_number(x, what), _number(y, what)), (_plain(x_unit), _plain(y_unit))


def _tight(text: str) -> str:
    """Draw pairs and units together, so that blanks part one pair from the next."""
    text = re.sub(r"\s*,\s*", ",", text.strip())
    return re.sub(r"(?<=\d)\s+(?=(?:mm|cm|inches|inch|in|px|\")(?:[\s,;]|$))", "", text)


def _plain(unit: str) -> str:
    return "" if unit.lower() == "px" else unit.lower()


def _number(text: str, what: str) -> float:
    value = float(text)
    if abs(value) > LARGEST:
        raise SettingsError(f"{what}: {_short(text)} is further off than anything can be.")
    return value


def _mm_per(unit: str, what: str, example: str) -> float:
    if unit.lower() in PIXELS:
        raise SettingsError(f"{what}: give the unit of length, such as {_short(example, 40)}.")
    return MM_PER_UNIT[unit.lower()]


def _above_zero(length_mm: float, what: str, text: str) -> float:
    if length_mm <= 0:
        raise SettingsError(f"{what}: it must be above zero, not '{_short(text)}'.")
    return length_mm


def _short(text: str, most: int = 24) -> str:
    shown = text.strip().encode("unicode_escape").decode("ascii")
    return shown if len(shown) <= most else shown[: most - 3] + "..."
