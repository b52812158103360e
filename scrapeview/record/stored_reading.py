"""A reading in the database and back without loss: document, plane, mask, points and cells."""

import dataclasses
import json
import zlib
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from sqlalchemy import Connection, Table, select

from scrapeview.columns import columns_of, table
from scrapeview.errors import ReadingError, RecordError
from scrapeview.json_values import LARGEST_MASK_PX, MASK_LEVEL, mask_out
from scrapeview.plane import Plane
from scrapeview.reading_json import from_json, to_json
from scrapeview.record import schema
from scrapeview.record.database import add_row, add_rows
from scrapeview.record.summary import summary_of
from scrapeview.result import Reading

TABLES = {"points": schema.points, "cells": schema.cells}
"""Parts of a reading that have a table of their own, to be asked across readings."""


@dataclass(frozen=True, eq=False)
class Prepared:
    """A reading as rows, made before the database is locked because that takes its time."""

    summary: dict[str, Any]
    document: dict[str, Any]
    tables: dict[str, list[tuple[Any, ...]]]

    @property
    def photo_sha256(self) -> str:
        """Of the photograph that was read."""
        return str(self.summary["photo_sha256"])


def prepare(reading: Reading) -> Prepared:
    """Return a reading as the rows it is stored as.

    Raises
    ------
    ReadingError
        Where a table does not have the columns of its kind.
    """
    apart: dict[str, Any] = {name: table(name) for name in TABLES}
    apart["contact_mask"] = np.zeros((0, 0), bool)
    document = json.loads(to_json(dataclasses.replace(reading, **apart)))
    for name in ("derived", *apart):
        del document[name]
    height, width = reading.contact_mask.shape
    return Prepared(
        summary={
            "photo_sha256": reading.photo_sha256,
            "taken_at": reading.taken_at,
            "read_at_utc": reading.read_at_utc,
            "version": reading.versions.get("scrapeview", ""),
            **summary_of(reading),
        },
        document={
            "plane": json.dumps(document.pop("plane")),
            "document": json.dumps(document, allow_nan=False),
            "mask_height_px": height,
            "mask_width_px": width,
            "mask": zlib.compress(np.packbits(reading.contact_mask).tobytes(), MASK_LEVEL),
        },
        tables={name: _rows_of(getattr(reading, name), name) for name in TABLES},
    )


def add_prepared(db: Connection, print_id: int, prepared: Prepared) -> int:
    """Add a prepared reading to a print, all its parts; return its number."""
    reading_id = add_row(db, schema.readings, print_id=print_id, **prepared.summary)
    documents = schema.reading_documents
    add_row(db, documents, reading_id=reading_id, **prepared.document)
    for name, rows in prepared.tables.items():
        numbered = [(reading_id, number, *row) for number, row in enumerate(rows)]
        add_rows(db, TABLES[name], numbered)
    return reading_id


def add_reading(db: Connection, print_id: int, reading: Reading) -> int:
    """Add a reading to a print, all its parts; return its number."""
    return add_prepared(db, print_id, prepare(reading))


def reading(db: Connection, reading_id: int) -> Reading:
    """Return a reading as it was added.

    Raises
    ------
    RecordError
        Where there is none of that number.
    ReadingError
        Where it was damaged.
    """
    documents = schema.reading_documents
    row = db.execute(select(documents).where(documents.c.reading_id == reading_id)).first()
    if row is None:
        raise RecordError("This reading is not in the record any more: choose another one.")
    try:
        document = json.loads(row.document)
        document["plane"] = json.loads(row.plane)
    except (ValueError, TypeError):
        raise _damaged(reading_id) from None
    # empty in the document, which a later version can then bring up to date without them
    empty: dict[str, Any] = {"contact_mask": mask_out(np.zeros((0, 0), bool))}
    empty |= {name: {column.name: [] for column in columns_of(name)} for name in TABLES}
    tables: dict[str, Any] = {name: _table(db, name, reading_id) for name in TABLES}
    mask = _mask(row.mask, (row.mask_height_px, row.mask_width_px), reading_id)
    rest = from_json(json.dumps(document | empty))
    return dataclasses.replace(rest, contact_mask=mask, **tables)


def plane(db: Connection, reading_id: int) -> Plane:
    """Return how the photograph of a reading lay, without the rest of the reading."""
    documents = schema.reading_documents
    text = db.scalar(select(documents.c.plane).where(documents.c.reading_id == reading_id))
    if text is None:
        raise RecordError("This reading is not in the record any more: choose another one.")
    return Plane.from_dict(json.loads(text))


def _rows_of(frame: pd.DataFrame, name: str) -> list[tuple[Any, ...]]:
    columns = columns_of(name)
    if [(c.name, c.dtype) for c in columns] != [(n, str(t)) for n, t in frame.dtypes.items()]:
        raise ReadingError(f"The table '{name}' of this reading does not have its own columns.")
    return list(zip(*(frame[column.name].tolist() for column in columns), strict=True))


def _table(db: Connection, name: str, reading_id: int) -> pd.DataFrame:
    names = [column.name for column in columns_of(name)]
    stored: Table = TABLES[name]
    wanted = select(*(stored.c[n] for n in names)).where(stored.c.reading_id == reading_id)
    rows = db.execute(wanted.order_by(stored.c.number)).all()
    return table(name, {n: [row[i] for row in rows] for i, n in enumerate(names)})


def _mask(stored: bytes, shape: tuple[int, int], reading_id: int) -> NDArray[np.bool_]:
    size = shape[0] * shape[1]
    unpacker = zlib.decompressobj()
    try:
        # never more than is due, so that a damaged row cannot fill the memory
        bits = unpacker.decompress(stored, -(-min(size, LARGEST_MASK_PX) // 8) + 1)
    except (zlib.error, ValueError):
        raise _damaged(reading_id) from None
    if len(bits) != -(-size // 8):
        raise _damaged(reading_id)
    packed = np.frombuffer(bits, dtype=np.uint8)
    return np.unpackbits(packed, count=size).astype(bool).reshape(shape)


def _damaged(reading_id: int) -> ReadingError:
    return ReadingError(
        f"Reading {reading_id} is damaged in the record: read its photograph again, or bring "
        "back a copy of the record."
    )
