"""Contact percentage and points per square inch from photographs of bearing prints."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from scrapeview.corrections import Correction
    from scrapeview.errors import (
        ArchiveError,
        CorrectionError,
        FaceError,
        OutputError,
        PhotoError,
        PlaneError,
        ReadingError,
        RecordError,
        ScrapeviewError,
        SettingsError,
    )
    from scrapeview.joining import Joined, join_photos
    from scrapeview.placements import Placement
    from scrapeview.plane import Plane, circle_polygon
    from scrapeview.plane.cards import PaperScale
    from scrapeview.reading import read_print
    from scrapeview.reading_json import from_json, to_json
    from scrapeview.result import Reading
    from scrapeview.settings import Settings

__version__ = "0.4.0"

__all__ = [
    "ArchiveError",
    "Correction",
    "CorrectionError",
    "FaceError",
    "Joined",
    "OutputError",
    "PaperScale",
    "PhotoError",
    "Placement",
    "Plane",
    "PlaneError",
    "Reading",
    "ReadingError",
    "RecordError",
    "ScrapeviewError",
    "Settings",
    "SettingsError",
    "circle_polygon",
    "from_json",
    "join_photos",
    "read_print",
    "to_json",
]

_HOMES = {
    "Correction": "corrections",
    "Joined": "joining",
    "join_photos": "joining",
    "PaperScale": "plane.cards",
    "Placement": "placements",
    "Plane": "plane",
    "circle_polygon": "plane",
    "from_json": "reading_json",
    "read_print": "reading",
    "to_json": "reading_json",
    "Reading": "result",
    "Settings": "settings",
}


def __getattr__(name: str) -> Any:
    # imaging libraries take seconds to import and most commands' first words need none of them
    if name not in __all__:
        raise AttributeError(f"module 'scrapeview' has no attribute {name!r}")
    return getattr(import_module(f"scrapeview.{_HOMES.get(name, 'errors')}"), name)
