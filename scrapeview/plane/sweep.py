"""Areas of regions less openings, by sweeping a line over their polygons."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.polygons import Polygon, crossings

_LINES = 512


class SweptAreas(NamedTuple):
    """Areas that a sweep found, in the square of the polygons' unit."""

    regions: NDArray[np.float64]
    """Each region less all openings."""
    openings: NDArray[np.float64]
    """Each opening's part inside any region."""
    overlap: float
    """Where regions lie over each other."""


def swept_areas(regions: Sequence[Polygon], openings: Sequence[Polygon]) -> SweptAreas:
    """Areas of simple polygons less others, whichever way they lie over each other.

    Lines of constant y are laid between every two neighbouring corner heights, so that between
    lines widths change linearly and the sum is exact; only where sides of different polygons
    cross is it good to the square of the line spacing, 1/512 of the height.

    Parameters
    ----------
    regions, openings : sequence of (N, 2) float arrays
        Simple polygons; there is at least one region.

    Returns
    -------
    SweptAreas
    """
    polygons = [*regions, *openings]
    heights = np.unique(np.concatenate([polygon[:, 1] for polygon in polygons]))
    y, thickness = _sweep_lines(heights)
    line, x, owner = crossings(polygons, y)
    order = np.lexsort((x, line))
    line, x, owner = line[order], x[order], owner[order]
    crossed = np.zeros((len(x), len(polygons)), dtype=np.int32)
    crossed[np.arange(len(x)), owner] = 1
    # each line meets each polygon an even number of times, so parity is zero again at its end
    inside = np.cumsum(crossed, axis=0) % 2 == 1
    area = np.append(np.diff(x), 0.0) * thickness[line]
    in_regions = inside[:, : len(regions)]
    in_openings = inside[:, len(regions) :]
    bare = area * ~in_openings.any(axis=1)
    any_region = area * in_regions.any(axis=1)
    return SweptAreas(
        bare @ in_regions,
        any_region @ in_openings,
        float(area @ (in_regions.sum(axis=1) > 1)),
    )


def _sweep_lines(
    heights: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    bands = np.diff(heights)
    parts = np.maximum(1, np.ceil(bands / bands.sum() * _LINES)).astype(int)
    thickness = np.repeat(bands / parts, parts)
    within = np.arange(parts.sum()) - np.repeat(np.cumsum(parts) - parts, parts)
    return np.repeat(heights[:-1], parts) + (within + 0.5) * thickness, thickness
