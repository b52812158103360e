"""The tables of an archive: passes, points and cells of all current readings of a machine."""

from tempfile import SpooledTemporaryFile
from typing import IO

import pandas as pd

from scrapeview.columns import table
from scrapeview.tables import table_bytes

NAMES = ("passes", "points", "cells")
_IN_MEMORY_BYTES = 2**24


class TableFiles:
    """Tables that grow row by row, each in a file of its own until the archive takes it."""

    def __init__(self) -> None:
        self.files: dict[str, IO[bytes]] = {
            name: SpooledTemporaryFile(_IN_MEMORY_BYTES)  # noqa: SIM115 closed by `close`
            for name in NAMES
        }
        for name in NAMES:
            head, _, _ = table_bytes(_placed(table(name), "", "", 0), "csv").partition(b"\n")
            self.files[name].write(head + b"\n")

    def add(self, name: str, frame: pd.DataFrame, part: str, face: str, reading: int = 0) -> None:
        """Add rows, with the part and the face they belong to and the number of the reading."""
        _, _, rows = table_bytes(_placed(frame, part, face, reading), "csv").partition(b"\n")
        self.files[name].write(rows)

    def close(self) -> None:
        """Let go of the files."""
        for file in self.files.values():
            file.close()


def _placed(frame: pd.DataFrame, part: str, face: str, reading: int) -> pd.DataFrame:
    """Return the table with columns before its own that say where its rows belong."""
    placed = frame.copy()
    if "reading_id" not in frame:
        placed.insert(0, "reading_id", reading)
    placed.insert(0, "face", face)
    placed.insert(0, "part", part)
    return placed
