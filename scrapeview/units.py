"""Exact unit conversions; inside the package lengths are mm and areas mm2."""

from typing import overload

import numpy as np
from numpy.typing import NDArray

MM_PER_INCH = 25.4
MM2_PER_SQUARE_INCH = MM_PER_INCH**2
MM2_PER_25MM_SQUARE = 25.0**2
SQUARES_25MM_PER_SQUARE_INCH = MM2_PER_SQUARE_INCH / MM2_PER_25MM_SQUARE
"""1 in2 = 1.032256 squares of 25 mm (exact, from 1 in = 25.4 mm)."""

Numbers = NDArray[np.float64] | NDArray[np.int64]


@overload
def per_square_inch(count: float, area_mm2: float) -> float: ...
@overload
def per_square_inch(count: Numbers, area_mm2: Numbers) -> NDArray[np.float64]: ...
def per_square_inch(
    count: float | Numbers, area_mm2: float | Numbers
) -> float | NDArray[np.float64]:
    """Return `count` per square inch of `area_mm2`; 0 where there is no area."""
    return _per(count, area_mm2, MM2_PER_SQUARE_INCH)


@overload
def per_25mm_square(count: float, area_mm2: float) -> float: ...
@overload
def per_25mm_square(count: Numbers, area_mm2: Numbers) -> NDArray[np.float64]: ...
def per_25mm_square(
    count: float | Numbers, area_mm2: float | Numbers
) -> float | NDArray[np.float64]:
    """Return `count` per 25 mm x 25 mm square of `area_mm2`; 0 where there is no area."""
    return _per(count, area_mm2, MM2_PER_25MM_SQUARE)


def _per(
    count: float | Numbers, area_mm2: float | Numbers, unit_mm2: float
) -> float | NDArray[np.float64]:
    if isinstance(area_mm2, np.ndarray):
        areas = np.asarray(area_mm2, dtype=np.float64)
        counts = np.asarray(count, dtype=np.float64)
        return np.divide(counts * unit_mm2, areas, out=np.zeros_like(areas), where=areas > 0)
    return float(count * unit_mm2 / area_mm2) if area_mm2 > 0 else 0.0
