"""How sure the headline figures are: the spread between cells and the reading's own error."""

from collections.abc import Callable

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing.cells import Sums, measure_cells
from scrapeview.bearing.intervals import (
    Interval,
    counting_half_width,
    ratio_half_width,
    widened,
)
from scrapeview.units import MM2_PER_SQUARE_INCH

FEWEST_FIELDS = 12
SMALLEST_FIELD_MM = 6.0
FILM_SHARE_DOUBT = 0.15
"""Where exactly film begins is uncertain by this share of its full thickness."""
COUNT_ERROR = 0.01
"""Error of the count on plain prints, see the benchmark."""
DOUBT = {"split": 0.05, "faint": 0.25, "merged": 0.5}
"""Share of such points that may be one too many or hide another; see the benchmark."""


def contact_interval(
    contact_percent: float, fields: pd.DataFrame, edge_percent: float, confidence: float
) -> Interval:
    """Return the interval of the contact percentage, in percent.

    Parameters
    ----------
    contact_percent : float
    fields : DataFrame
        Cells, as from `fields_for`.
    edge_percent : float
        See `edge_percent`.
    confidence : float
    """
    areas = fields["area_mm2"].to_numpy()
    amounts = fields["contact_percent"].to_numpy() * areas
    spread = ratio_half_width(amounts, areas, confidence)
    return widened(contact_percent, spread, edge_percent, high=100.0)


def points_interval(
    points_per_square_inch: float,
    points: pd.DataFrame,
    fields: pd.DataFrame,
    area_mm2: float,
    scale_error: float,
    confidence: float,
) -> Interval:
    """Return the interval of the points per square inch.

    Parameters
    ----------
    points_per_square_inch : float
    points, fields : DataFrame
    area_mm2 : float
    scale_error : float
        Relative error of an area from the picks.
    confidence : float
    """
    areas = fields["area_mm2"].to_numpy()
    counts = fields["points"].to_numpy(dtype=np.float64)
    spread = ratio_half_width(counts, areas, confidence) * MM2_PER_SQUARE_INCH
    if not np.isfinite(spread) and area_mm2 > 0:
        # one field has no spread to go by: as if the points were strewn at random
        chance = counting_half_width(len(points), confidence)
        spread = chance / area_mm2 * MM2_PER_SQUARE_INCH
    doubtful = sum(share * float(points[flag].sum()) for flag, share in DOUBT.items())
    own = doubtful / area_mm2 * MM2_PER_SQUARE_INCH if area_mm2 > 0 else 0.0
    relative = points_per_square_inch * np.hypot(COUNT_ERROR, scale_error)
    return widened(points_per_square_inch, spread, own, float(relative))


def fields_for(
    sums: Sums,
    points: pd.DataFrame,
    bounds_mm: tuple[float, float, float, float],
    cell_mm: float,
) -> pd.DataFrame:
    """Return cells to compare: of the set side, or smaller until there are enough of them."""
    return enough_fields(lambda side_mm: measure_cells(sums, points, bounds_mm, side_mm), cell_mm)


def enough_fields(measured: Callable[[float], pd.DataFrame], cell_mm: float) -> pd.DataFrame:
    """Return fields of the set side, or of a half, a quarter ... until there are enough of them.

    Parameters
    ----------
    measured : callable
        Gives the fields of a side, mm.
    cell_mm : float
    """
    side_mm = cell_mm
    fields = measured(side_mm)
    while len(fields) < FEWEST_FIELDS and side_mm / 2 >= SMALLEST_FIELD_MM:
        side_mm /= 2
        fields = measured(side_mm)
    return fields


def edge_percent(
    film_share: NDArray[np.float32], inside: NDArray[np.bool_], threshold: float
) -> float:
    """Return half of what contact would change, were film to begin a little thinner or thicker.

    In percent of the area inside.
    """
    if not inside.any():
        return 0.0
    held = film_share[inside]
    doubtful = (held > threshold - FILM_SHARE_DOUBT) & (held < threshold + FILM_SHARE_DOUBT)
    return float(100 * doubtful.mean() / 2)
