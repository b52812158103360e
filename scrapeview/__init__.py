"""Contact percentage and points per square inch from photographs of bearing prints."""

from scrapeview.errors import (
    FaceError,
    PhotoError,
    PlaneError,
    ReadingError,
    ScrapeviewError,
    SettingsError,
)
from scrapeview.plane import Plane, circle_polygon
from scrapeview.reading import read_print
from scrapeview.result import Reading
from scrapeview.settings import Settings

__version__ = "0.1.0"

__all__ = [
    "FaceError",
    "PhotoError",
    "Plane",
    "PlaneError",
    "Reading",
    "ReadingError",
    "ScrapeviewError",
    "Settings",
    "SettingsError",
    "circle_polygon",
    "read_print",
]
