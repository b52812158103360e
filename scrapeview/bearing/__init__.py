"""Bearing: points, cells, bare patches and their uncertainty, from a contact mask."""

from scrapeview.bearing.bare import BarePatch, largest_bare_patch
from scrapeview.bearing.cells import Square, measure_cells, sliding_squares, sums_of
from scrapeview.bearing.evenness import Evenness, measure_evenness, size_classes
from scrapeview.bearing.intervals import Interval
from scrapeview.bearing.pivot import Pivot, pivot_of
from scrapeview.bearing.points import Bearing, find_points
from scrapeview.bearing.regions import measure_regions
from scrapeview.bearing.relief import Relief, relief_of

__all__ = [
    "BarePatch",
    "Bearing",
    "Evenness",
    "Interval",
    "Pivot",
    "Relief",
    "Square",
    "find_points",
    "largest_bare_patch",
    "measure_cells",
    "measure_evenness",
    "measure_regions",
    "pivot_of",
    "relief_of",
    "size_classes",
    "sliding_squares",
    "sums_of",
]
