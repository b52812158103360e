"""A reading in the database and back without loss: document, plane, mask, points and cells."""

import base64
import json
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from scrapeview.columns import columns_of, table
from scrapeview.errors import RecordError
from scrapeview.json_values import table_out
from scrapeview.plane import Plane
from scrapeview.reading_json import from_json, to_json
from scrapeview.record import schema
from scrapeview.record.database import add_row
from scrapeview.record.summary import summary_of
from scrapeview.result import Reading

TABLES = {"points": schema.points, "cells": schema.cells}
"""Parts of a reading that have a table of their own, to be asked across readings."""


def add_reading(db: Connection, print_id: int, reading: Reading) -> int:
    """Add a reading to a print, all its parts; return its number."""
    reading_id = add_row(
        db,
        schema.readings,
        print_id=print_id,
        photo_sha256=reading.photo_sha256,
        taken_at=reading.taken_at,
        read_at_utc=reading.read_at_utc,
        version=reading.versions.get("scrapeview", ""),
        **summary_of(reading),
    )
    document = json.loads(to_json(reading))
    mask = document.pop("contact_mask")
    for name in TABLES:
        del document[name]
    height, width = mask["shape"]
    db.execute(
        insert(schema.reading_documents).values(
            reading_id=reading_id,
            plane=json.dumps(document.pop("plane")),
            document=json.dumps(document, allow_nan=False),
            mask_height_px=height,
            mask_width_px=width,
            mask=base64.b64decode(mask["packed_bits_zlib_base64"]),
        )
    )
    for name, stored in TABLES.items():
        _add_rows(db, stored, reading_id, getattr(reading, name).to_dict("records"))
    return reading_id


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
    stored = json.loads(row.document)
    stored["plane"] = json.loads(row.plane)
    stored["contact_mask"] = {
        "shape": [row.mask_height_px, row.mask_width_px],
        "packed_bits_zlib_base64": base64.b64encode(row.mask).decode("ascii"),
    }
    for name, kept in TABLES.items():
        stored[name] = _rows(db, kept, name, reading_id)
    return from_json(json.dumps(stored))


def plane(db: Connection, reading_id: int) -> Plane:
    """Return how the photograph of a reading lay, without the rest of the reading."""
    documents = schema.reading_documents
    text = db.scalar(select(documents.c.plane).where(documents.c.reading_id == reading_id))
    if text is None:
        raise RecordError("This reading is not in the record any more: choose another one.")
    return Plane.from_dict(json.loads(text))


def _add_rows(db: Connection, stored: Table, reading_id: int, rows: list[dict[Any, Any]]) -> None:
    if rows:
        numbered = [{"reading_id": reading_id, "number": n, **row} for n, row in enumerate(rows)]
        db.execute(insert(stored), numbered)


def _rows(db: Connection, stored: Table, name: str, reading_id: int) -> dict[str, Any]:
    names = [column.name for column in columns_of(name)]
    wanted = select(*(stored.c[n] for n in names)).where(stored.c.reading_id == reading_id)
    rows = db.execute(wanted.order_by(stored.c.number)).all()
    values = {n: [row[i] for row in rows] for i, n in enumerate(names)}
    return table_out(table(name, dict(values)), name)
