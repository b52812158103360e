"""How even the bearing is: sizes of points, their spacing, and the spread between cells."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.spatial import cKDTree

from scrapeview.columns import table

SIZE_CLASSES_MM = (0.0, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, np.inf)


@dataclass(frozen=True)
class Evenness:
    """How even the bearing is.

    Parameters
    ----------
    cell_points_spread_percent, cell_contact_spread_percent : float
        Standard deviation between cells with enough area, of their mean.
    spacing_index : float
        Mean distance to the nearest other point, of that of points strewn at random: 1 random,
        2 a square lattice, 2.149 a hexagonal one; 0 with fewer than two points.
    median_diameter_mm, small_diameter_mm, large_diameter_mm : float
        Median, 10 % and 90 % quantile of the points' diameters; 0 without points.
    """

    cell_points_spread_percent: float
    cell_contact_spread_percent: float
    spacing_index: float
    median_diameter_mm: float
    small_diameter_mm: float
    large_diameter_mm: float


def measure_evenness(points: pd.DataFrame, cells: pd.DataFrame, area_mm2: float) -> Evenness:
    """Measure evenness from the points, the cells and the face's area."""
    enough = cells[cells["enough_area"]]
    diameters = points["diameter_mm"].to_numpy()
    small, median, large = (
        np.percentile(diameters, [10, 50, 90]) if diameters.size else (0.0, 0.0, 0.0)
    )
    return Evenness(
        _spread_percent(enough["points_per_square_inch"].to_numpy()),
        _spread_percent(enough["contact_percent"].to_numpy()),
        spacing_index(points[["x_mm", "y_mm"]].to_numpy(), area_mm2),
        float(median),
        float(small),
        float(large),
    )


def spacing_index(xy_mm: np.ndarray, area_mm2: float) -> float:
    """Return the ratio of observed to random mean nearest-neighbour distance.

    P. J. Clark and F. C. Evans, Ecology 35 (1954): a random scatter of density d has a mean
    distance of 0.5 / sqrt(d). Without correction for edges.
    """
    if len(xy_mm) < 2 or area_mm2 <= 0:
        return 0.0
    nearest = cKDTree(xy_mm).query(xy_mm, k=2)[0][:, 1]
    return float(2 * nearest.mean() * np.sqrt(len(xy_mm) / area_mm2))


def size_classes(points: pd.DataFrame) -> pd.DataFrame:
    """Return how many points fall in each class of diameter, and their share of the area."""
    diameters, areas = points["diameter_mm"].to_numpy(), points["area_mm2"].to_numpy()
    edges = np.array(SIZE_CLASSES_MM)
    counts = np.histogram(diameters, edges)[0]
    held = np.histogram(diameters, edges, weights=areas)[0]
    total = areas.sum()
    return table(
        "sizes",
        {
            "from_mm": edges[:-1],
            "to_mm": edges[1:],
            "points": counts,
            "contact_share_percent": 100 * held / total if total > 0 else held,
        },
    )


def _spread_percent(values: np.ndarray) -> float:
    if len(values) < 2 or values.mean() == 0:
        return 0.0
    return float(100 * values.std(ddof=1) / values.mean())
