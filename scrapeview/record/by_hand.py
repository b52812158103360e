"""What people counted and tested at a face, in the database: counts by eye, tests and checks."""

import dataclasses
from collections.abc import Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, Table, delete, insert, select

from scrapeview.errors import RecordError
from scrapeview.provenance import now_utc
from scrapeview.record import accepted, accepted_line, schema
from scrapeview.record.entries import EyeCount, FilmCalibration, LineCheck, SwingTest
from scrapeview.record.shop import lock_face


def _names(entry: type, *others: str) -> tuple[str, ...]:
    """Return the fields of an entry that are columns of the same name."""
    return tuple(f.name for f in dataclasses.fields(entry) if f.name not in others)


COUNTED = _names(EyeCount, "count_id")
TESTED = _names(SwingTest, "test_id", "pass_number")
CALIBRATED = _names(FilmCalibration, "calibration_id")
CHECKED = _names(LineCheck, "check_id", "pass_number", "between")


def eye_counts(db: Connection, face_id: int) -> tuple[EyeCount, ...]:
    """Return the squares of a face that were counted by eye, in the order of its prints."""
    kept, passes, prints = schema.eye_counts, schema.passes, schema.prints
    wanted = (
        select(kept.c.eye_count_id.label("count_id"), *(kept.c[name] for name in COUNTED))
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
    _add(db, schema.eye_counts, {name: getattr(count, name) for name in COUNTED})


def remove_eye_count(db: Connection, face_id: int, count_id: int) -> None:
    """Take a square that was counted by eye out again."""
    prints, passes = schema.prints, schema.passes
    of_face = select(prints.c.print_id).join(passes).where(passes.c.face_id == face_id)
    _remove(db, face_id, schema.eye_counts, count_id, schema.eye_counts.c.print_id.in_(of_face))


def swing_tests(db: Connection, face_id: int) -> tuple[SwingTest, ...]:
    """Return the swing tests of a face in the order of its passes."""
    kept, passes = schema.swing_tests, schema.passes
    wanted = (
        select(
            passes.c.number.label("pass_number"), kept.c.swing_test_id.label("test_id"),
            *(kept.c[name] for name in TESTED),
        )
        .join_from(kept, passes)
        .where(passes.c.face_id == face_id)
        .order_by(passes.c.number, kept.c.swing_test_id)
    )  # fmt: skip
    return tuple(SwingTest(**row) for row in db.execute(wanted).mappings())


def add_swing_test(db: Connection, face_id: int, test: SwingTest) -> None:
    """Add what a swing test said after a pass of a face."""
    test = dataclasses.replace(test, made_at_utc=test.made_at_utc or now_utc())
    test = accepted.swing_test_of(test)
    lock_face(db, face_id)
    add_test_of_pass(db, _pass_id(db, face_id, test.pass_number), test)


def add_test_of_pass(db: Connection, pass_id: int, test: SwingTest) -> None:
    """Add a swing test that was found to be acceptable."""
    told = {name: getattr(test, name) for name in TESTED}
    _add(db, schema.swing_tests, {"pass_id": pass_id, **told})


def remove_swing_test(db: Connection, face_id: int, test_id: int) -> None:
    """Take a swing test out again."""
    of_face = schema.swing_tests.c.pass_id.in_(_pass_ids(face_id))
    _remove(db, face_id, schema.swing_tests, test_id, of_face)


def film_calibrations(db: Connection, face_id: int) -> tuple[FilmCalibration, ...]:
    """Return what a film unit was found to be worth on a face, in the order it was told."""
    kept = schema.film_calibrations
    wanted = (
        select(
            kept.c.film_calibration_id.label("calibration_id"),
            *(kept.c[name] for name in CALIBRATED),
        )
        .where(kept.c.face_id == face_id)
        .order_by(kept.c.film_calibration_id)
    )
    return tuple(FilmCalibration(**row) for row in db.execute(wanted).mappings())


def add_film_calibration(db: Connection, face_id: int, told: FilmCalibration) -> None:
    """Add what a film unit is worth on a face."""
    told = dataclasses.replace(told, made_at_utc=told.made_at_utc or now_utc())
    told = accepted_line.film_calibration_of(told)
    lock_face(db, face_id)
    if told.pass_number is not None:
        _pass_id(db, face_id, told.pass_number)
    add_calibration_of_face(db, face_id, told)


def add_calibration_of_face(db: Connection, face_id: int, told: FilmCalibration) -> None:
    """Add a calibration that was found to be acceptable."""
    row = {name: getattr(told, name) for name in CALIBRATED}
    _add(db, schema.film_calibrations, {"face_id": face_id, **row})


def remove_film_calibration(db: Connection, face_id: int, calibration_id: int) -> None:
    """Take a calibration out again."""
    kept = schema.film_calibrations
    _remove(db, face_id, kept, calibration_id, kept.c.face_id == face_id)


def line_checks(db: Connection, face_id: int) -> tuple[LineCheck, ...]:
    """Return what instruments showed on a face, in the order of its passes."""
    kept, passes = schema.line_checks, schema.passes
    wanted = (
        select(
            passes.c.number.label("pass_number"), kept.c.line_check_id.label("check_id"),
            kept.c.between_what.label("between"), *(kept.c[name] for name in CHECKED),
        )
        .join_from(kept, passes)
        .where(passes.c.face_id == face_id)
        .order_by(passes.c.number, kept.c.line_check_id)
    )  # fmt: skip
    return tuple(LineCheck(**row) for row in db.execute(wanted).mappings())


def add_line_check(db: Connection, face_id: int, check: LineCheck) -> None:
    """Add what an instrument showed after a pass of a face."""
    check = dataclasses.replace(check, made_at_utc=check.made_at_utc or now_utc())
    check = accepted_line.line_check_of(check)
    lock_face(db, face_id)
    add_check_of_pass(db, _pass_id(db, face_id, check.pass_number), check)


def add_check_of_pass(db: Connection, pass_id: int, check: LineCheck) -> None:
    """Add a check that was found to be acceptable."""
    told = {name: getattr(check, name) for name in CHECKED}
    _add(db, schema.line_checks, {"pass_id": pass_id, "between_what": check.between, **told})


def remove_line_check(db: Connection, face_id: int, check_id: int) -> None:
    """Take a check out again."""
    of_face = schema.line_checks.c.pass_id.in_(_pass_ids(face_id))
    _remove(db, face_id, schema.line_checks, check_id, of_face)


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


def _pass_ids(face_id: int) -> Select[Any]:
    return select(schema.passes.c.pass_id).where(schema.passes.c.face_id == face_id)


def _pass_id(db: Connection, face_id: int, number: int) -> int:
    """Return the pass of a number that a face has."""
    pass_id: int | None = db.scalar(_pass_ids(face_id).where(schema.passes.c.number == number))
    if pass_id is None:
        raise RecordError(f"This face has no pass {number}: choose one that it has.")
    return pass_id


def _remove(
    db: Connection, face_id: int, table: Table, number: int, of_face: ColumnElement[bool]
) -> None:
    """Take a row out that is one of a face's, or say that it is gone."""
    lock_face(db, face_id)
    (key,) = table.primary_key.columns
    if db.execute(delete(table).where(key == number, of_face)).rowcount != 1:
        raise RecordError("What is to be taken out is not there any more: look at the face again.")


def _add(db: Connection, table: Table, row: dict[str, Any]) -> None:
    db.execute(insert(table).values(row))
