"""The plane of a map that was written to files: its picture and the report beside it."""

import json
from pathlib import Path

from scrapeview.errors import ReadingError
from scrapeview.joining import Joined, joined_from_dict
from scrapeview.photo.load import read_file


def map_of(report: Path, picture: Path) -> Joined:
    """Return the map that `scrapeview join` wrote.

    Parameters
    ----------
    report : Path
        How it was joined, as JSON.
    picture : Path

    Raises
    ------
    PhotoError
        Where a file cannot be opened.
    ReadingError
        Where the report is damaged or of another map.
    """
    try:
        stored = json.loads(read_file(report))
    except (ValueError, RecursionError):
        stored = None
    if not isinstance(stored, dict):
        raise ReadingError(
            f"'{report.name}' is not the report of a map: give the JSON file that "
            "'scrapeview join' wrote beside it."
        )
    return joined_from_dict(stored, read_file(picture))
