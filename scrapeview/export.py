"""What a reading can be written to: JSON, tables as CSV, an overlay."""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from scrapeview.charts import draw_overlay
from scrapeview.charts.picture import PhotoSource
from scrapeview.charts.shown import Units
from scrapeview.errors import OutputError
from scrapeview.outputs import require_writable, write_whole
from scrapeview.reading_json import to_json
from scrapeview.result import Reading

STDOUT = Path("-")
PICTURES = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG"}


def wanted_files(photo: Path, **paths: Path | None) -> dict[str, Path]:
    """Return the files that are asked for, by kind: json, points, cells, overlay.

    JSON to "-" is none of them.

    Raises
    ------
    OutputError
        Where one cannot be written, would write over the photograph or over another.
    """
    wanted = {
        kind: path
        for kind, path in paths.items()
        if path is not None and (kind, path) != ("json", STDOUT)
    }
    for kind, path in wanted.items():
        require_writable(path, photo)
        if kind == "overlay" and path.suffix.lower() not in PICTURES:
            raise OutputError(f"'{path}' must end in .png or .jpg to be an overlay.")
    if len({path.resolve() for path in wanted.values()}) < len(wanted):
        raise OutputError("Two of the files to write have the same name: give each its own.")
    return wanted


def write_files(reading: Reading, photo: Path, wanted: dict[str, Path], units: Units) -> None:
    """Write the files that `wanted_files` returned, all of them or none.

    Raises
    ------
    OutputError
        Where one cannot be written.
    """
    made: dict[str, Callable[[Path], bytes]] = {
        "json": lambda _: to_json(reading).encode(),
        "points": lambda _: reading.points.to_csv(index=False).encode(),
        "cells": lambda _: reading.cells.to_csv(index=False).encode(),
        "overlay": lambda path: overlay_bytes(reading, photo, path.suffix, units),
    }
    write_whole({path: made[kind](path) for kind, path in wanted.items()})


def overlay_bytes(reading: Reading, photo: PhotoSource, suffix: str, units: Units) -> bytes:
    """Return the overlay as a picture file of the kind its suffix says: .png, .jpg or .jpeg."""
    held = BytesIO()
    draw_overlay(reading, photo, units=units).save(held, PICTURES[suffix.lower()], quality=90)
    return held.getvalue()
