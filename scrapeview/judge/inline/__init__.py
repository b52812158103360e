"""Whether the stretches of a long face lie in one line, and two ways in one plane: estimates."""

from scrapeview.judge.inline.film_unit import film_unit_from_shim
from scrapeview.judge.inline.in_line import compare_overlaps, in_line
from scrapeview.judge.inline.joined import JoinedFigures, StretchFigures, joined_figures
from scrapeview.judge.inline.shared_plane import share_a_plane

__all__ = [
    "JoinedFigures",
    "StretchFigures",
    "compare_overlaps",
    "film_unit_from_shim",
    "in_line",
    "joined_figures",
    "share_a_plane",
]
