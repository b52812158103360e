"""Sheets to print at 1:1 and lay on the face: a map of the next pass over several pages."""

from scrapeview.sheet.layout import PAPERS, Layout, Paper, Tile, layout_for
from scrapeview.sheet.map_sheets import caption_of, map_sheets

__all__ = ["PAPERS", "Layout", "Paper", "Tile", "caption_of", "layout_for", "map_sheets"]
