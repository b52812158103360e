"""What people counted and tested at a face, in the database: counts by eye and swing tests."""

import dataclasses
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from scrapeview.errors import RecordError
from scrapeview.provenance import now_utc
from scrapeview.record import accepted, schema
from scrapeview.record.entries import EyeCount, SwingTest
from scrapeview.record.shop import lock_face

COUNTED = tuple(field.name for field in dataclasses.fields(EyeCount))
TESTED = tuple(f.name for f in dataclasses.fields(SwingTest) if f.name != "pass_number")


def eye_counts(db: Connection, face_id: int) -> tuple[EyeCount, ...]:
    """Return the squares of a face that were counted by eye, in the order of its prints."""
    kept, passes, prints = schema.eye_counts, schema.passes, schema.prints
    wanted = (
        select(*(kept.c[name] for name in COUNTED))
        .join_from(kept, prints, kept.c.print_id == prints.c.print_id)
        .join(passes)
        .where(passes.c.face_id == face_id)
        .order_by(passes.c.number, prints.c.print_id, kept.c.eye_count_id)
    )
    return tuple(EyeCount(**row) for row in db.execute(wanted).mappings())


def add_eye_counts(db: Connection, face_id: int, counts: Sequence[EyeCount]) -> None:
    """Add squares of prints of a face that were counted by eye."""
    now = now_utc()
    told = [
        accepted.eye_count_of(
            dataclasses.replace(count, counted_at_utc=count.counted_at_utc or now)
        )
        for count in counts
    ]
    lock_face(db, face_id)
    of_face = _readings(db, face_id)
    for count in told:
        if count.reading_id not in of_face.get(count.print_id, ()):
            raise RecordError(
                "A square was counted on a print that is not one of this face's: choose the "
                "print again."
            )
        add_eye_count(db, count)


def add_eye_count(db: Connection, count: EyeCount) -> None:
    """Add a square that was found to be acceptable."""
    _add(db, schema.eye_counts, dataclasses.asdict(count))


def swing_tests(db: Connection, face_id: int) -> tuple[SwingTest, ...]:
    """Return the swing tests of a face in the order of its passes."""
    kept, passes = schema.swing_tests, schema.passes
    wanted = (
        select(passes.c.number.label("pass_number"), *(kept.c[name] for name in TESTED))
        .join_from(kept, passes)
        .where(passes.c.face_id == face_id)
        .order_by(passes.c.number, kept.c.swing_test_id)
    )
    return tuple(SwingTest(**row) for row in db.execute(wanted).mappings())


def add_swing_test(db: Connection, face_id: int, test: SwingTest) -> None:
    """Add what a swing test said after a pass of a face."""
    test = dataclasses.replace(test, made_at_utc=test.made_at_utc or now_utc())
    test = accepted.swing_test_of(test)
    lock_face(db, face_id)
    passes = schema.passes
    of_face = select(passes.c.pass_id).where(passes.c.face_id == face_id)
    pass_id = db.scalar(of_face.where(passes.c.number == test.pass_number))
    if pass_id is None:
        raise RecordError(f"This face has no pass {test.pass_number}: choose one that it has.")
    add_test_of_pass(db, pass_id, test)


def add_test_of_pass(db: Connection, pass_id: int, test: SwingTest) -> None:
    """Add a swing test that was found to be acceptable."""
    told = {name: getattr(test, name) for name in TESTED}
    _add(db, schema.swing_tests, {"pass_id": pass_id, **told})


def _readings(db: Connection, face_id: int) -> dict[int, set[int]]:
    """Return the readings of each print of a face."""
    passes, prints, readings = schema.passes, schema.prints, schema.readings
    wanted = (
        select(readings.c.print_id, readings.c.reading_id)
        .join_from(readings, prints, readings.c.print_id == prints.c.print_id)
        .join(passes)
        .where(passes.c.face_id == face_id)
    )
    found: dict[int, set[int]] = {}
    for print_id, reading_id in db.execute(wanted):
        found.setdefault(print_id, set()).add(reading_id)
    return found


def _add(db: Connection, table: Table, row: dict[str, Any]) -> None:
    db.execute(insert(table).values(row))
