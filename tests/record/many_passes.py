"""A record of many faces and passes, all invented, to measure speed on.

Run as a program it makes one in a folder: python tests/record/many_passes.py FOLDER
"""

import dataclasses
import hashlib
import sys
from pathlib import Path

import numpy as np
from sqlalchemy import insert

from scrapeview.record import FacePlan, Record, schema
from scrapeview.record.shop import add_face, add_machine, add_part
from scrapeview.record.stored_reading import prepare
from scrapeview.targets import SHIPPED_TARGETS

FACES = 200
PASSES = 5000
LONGEST_FACE = 100
"""Passes of the first face; the others share the rest evenly."""


def fill(record, reading, faces=FACES, passes=PASSES):
    """Fill an empty record in one transaction; return the number of the face with most passes.

    Every pass has one print with one reading, which differs from `reading` only in its figures;
    its photograph is a few bytes that are no picture.
    """
    shares = np.full(faces, (passes - LONGEST_FACE) // (faces - 1))
    shares[0] = LONGEST_FACE
    shares[1 : 1 + passes - shares.sum()] += 1
    drawn = np.random.default_rng(5)
    prepared = prepare(reading)
    rows = {table: [] for table in ("passes", "photographs", "prints", "print_photographs")}
    rows |= {table: [] for table in ("readings", "reading_documents", "points", "cells", "choices")}
    with record.writing() as db:
        face_ids = [_face(db, number) for number in range(faces)]
        number = 0
        for face_id, share in zip(face_ids, shares, strict=True):
            for pass_number in range(1, share + 1):
                number += 1
                _add(rows, record, face_id, pass_number, number, prepared, drawn)
        for name, held in rows.items():
            db.execute(insert(schema.METADATA.tables[name]), held)
    return face_ids[0]


def _face(db, number):
    if number % 10 == 0:
        machine_id = add_machine(db, f"Invented machine {number // 10 + 1}", "")
        _face.part_id = add_part(db, machine_id, "bed")
    target = SHIPPED_TARGETS[number % len(SHIPPED_TARGETS)]
    plan = FacePlan(name=f"way {number + 1}", role="way", width_mm=250, height_mm=90, target=target)
    return add_face(db, _face.part_id, plan)


def _add(rows, record, face_id, pass_number, number, prepared, drawn):
    photo = f"invented photograph {number}".encode()
    sha256 = hashlib.sha256(photo).hexdigest()
    path = record.photo_path(sha256)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(photo)
    day = np.datetime64("2024-01-01T08:00:00") + number * np.timedelta64(37, "m")
    contact = float(np.clip(20 + 0.3 * pass_number + drawn.normal(0, 3), 0, 100))
    ppsi = float(np.clip(4 + 0.2 * pass_number + drawn.normal(0, 1), 0, None))
    figures = {
        "contact_percent": contact, "contact_low_percent": contact - 4,
        "contact_high_percent": contact + 4, "points_per_square_inch": ppsi,
        "ppsi_low": ppsi - 1, "ppsi_high": ppsi + 1, "taken_at": str(day),
    }  # fmt: skip
    of_reading = {"reading_id": number}
    rows["passes"].append({
        "pass_id": number, "face_id": face_id, "number": pass_number, "begun_at_utc": str(day),
        "who": ("Anna", "Ben")[number % 2], "scraping": "finish", "metal_um": 4.0,
        "hours": 0.5, "notes": "",
    })  # fmt: skip
    rows["photographs"].append({
        "sha256": sha256, "name": f"{number}.jpg", "size_bytes": len(photo),
        "added_at_utc": str(day),
    })  # fmt: skip
    rows["prints"].append(
        {"print_id": number, "pass_id": number, "placement": "", "kept_at_utc": str(day)}
    )
    rows["print_photographs"].append({"print_id": number, "position": 0, "sha256": sha256})
    rows["readings"].append(
        {**prepared.summary, **figures, "photo_sha256": sha256, "print_id": number, **of_reading}
    )
    rows["reading_documents"].append({**prepared.document, **of_reading})
    for name, table in prepared.tables.items():
        names = [column.name for column in schema.METADATA.tables[name].columns][2:]
        rows[name] += [
            {**of_reading, "number": i, **dict(zip(names, row, strict=True))}
            for i, row in enumerate(table)
        ]
    rows["choices"].append(
        {"print_id": number, **of_reading, "why": "kept", "chosen_at_utc": str(day)}
    )


def small_of(reading, points=6, cells=4):
    """Return a reading of which little is left, quick to store 5,000 times."""
    return dataclasses.replace(
        reading, points=reading.points.iloc[:points].copy(),
        cells=reading.cells.iloc[:cells].copy(), contact_mask=reading.contact_mask[:40, :60].copy(),
    )  # fmt: skip


if __name__ == "__main__":
    from scrapeview.samples import find_samples

    opened = Record.open(Path(sys.argv[1]))
    longest = fill(opened, small_of(find_samples()[-2].read(), points=60, cells=20))
    print(f"{FACES} faces, {PASSES} passes in {opened.place}; face {longest} has {LONGEST_FACE}")
