"""Exact unit conversions; inside the package lengths are millimetres and areas square millimetres."""

MM_PER_INCH = 25.4
MM2_PER_SQUARE_INCH = MM_PER_INCH**2
MM2_PER_25MM_SQUARE = 25.0**2
SQUARES_25MM_PER_SQUARE_INCH = MM2_PER_SQUARE_INCH / MM2_PER_25MM_SQUARE
"""1 in2 = 1.032256 squares of 25 mm (exact, from 1 in = 25.4 mm)."""


def per_square_inch(count: float, area_mm2: float) -> float:
    """Return `count` per square inch of `area_mm2`; 0 where there is no area."""
    return count / area_mm2 * MM2_PER_SQUARE_INCH if area_mm2 > 0 else 0.0


def per_25mm_square(count: float, area_mm2: float) -> float:
    """Return `count` per 25 mm x 25 mm square of `area_mm2`; 0 where there is no area."""
    return count / area_mm2 * MM2_PER_25MM_SQUARE if area_mm2 > 0 else 0.0
