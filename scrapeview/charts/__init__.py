"""Figures and overlays of a reading, as objects; nothing here knows how they are shown."""

from scrapeview.charts.overlay import draw_overlay
from scrapeview.charts.picture import picture_of

__all__ = ["draw_overlay", "picture_of"]
