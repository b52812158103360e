"""Figures of each region of a face, such as the two rails of one slide."""

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing.components import Mask
from scrapeview.columns import table
from scrapeview.units import per_25mm_square, per_square_inch


def measure_regions(
    regions: NDArray[np.int16],
    washed_out: Mask,
    contact: Mask,
    points: pd.DataFrame,
    region_areas_mm2: tuple[float, ...],
) -> pd.DataFrame:
    """Return the table of regions, one row each, in the order of the outlines.

    Parameters
    ----------
    regions : (h, w) int16
        Region number of each pixel, from 1; 0 outside.
    washed_out, contact : (h, w) bool
    points : DataFrame
        With the column region.
    region_areas_mm2 : tuple of float
        Area of each region by its polygon, openings left out; washed-out places are taken off.
    """
    n = len(region_areas_mm2)
    members = [regions == number for number in range(1, n + 1)]
    whole_px = np.array([np.count_nonzero(member) for member in members])
    read_px = whole_px - [np.count_nonzero(member & washed_out) for member in members]
    contact_px = np.array([np.count_nonzero(member & contact) for member in members])
    area_mm2 = np.array(region_areas_mm2) * read_px / np.maximum(whole_px, 1)
    counts = np.bincount(points["region"].to_numpy(), minlength=n + 1)[1 : n + 1]
    return table(
        "regions",
        {
            "region": np.arange(1, n + 1),
            "area_mm2": area_mm2,
            "contact_percent": 100 * contact_px / np.maximum(read_px, 1),
            "points": counts,
            "points_per_square_inch": per_square_inch(counts, area_mm2),
            "points_per_25mm_square": per_25mm_square(counts, area_mm2),
        },
    )
