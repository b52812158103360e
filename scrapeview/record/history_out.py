"""A whole machine out of the record, with all that was decided on the way."""

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import Connection, select

from scrapeview.record import by_hand, passes, prints, schema, shop
from scrapeview.record.entries import EyeCount, PrintEntry
from scrapeview.record.histories import (
    Choice,
    FaceHistory,
    MachineHistory,
    PartHistory,
    PassHistory,
    PhotographEntry,
    PrintHistory,
)
from scrapeview.record.record import Record


def machine_history(record: Record, machine_id: int) -> tuple[MachineHistory, tuple[int, ...]]:
    """Return all that the record knows of a machine.

    Returns
    -------
    MachineHistory
        Its readings are numbered from 1, in the order of faces, passes and prints.
    tuple of int
        Their numbers in the record, in the same order.

    Raises
    ------
    RecordError
        Where there is no such machine.
    """
    numbers: dict[int, int] = {}
    with record.looking() as db:
        machine = shop.machine(db, machine_id)
        parts = tuple(
            PartHistory(part.name, _faces_of(db, part.part_id, numbers))
            for part in sorted(shop.parts(db, machine_id), key=lambda p: _order(p.name))
        )
        history = MachineHistory(machine.name, machine.notes, parts, ())
        history = replace(history, photographs=_photographs_of(db, history))
    return history, tuple(numbers)


def _order(name: str) -> tuple[str, str]:
    return name.casefold(), name


def _faces_of(db: Connection, part_id: int, numbers: dict[int, int]) -> tuple[FaceHistory, ...]:
    kept = schema.faces
    face_ids = db.scalars(select(kept.c.face_id).where(kept.c.part_id == part_id)).all()
    entries = [shop.face(db, face_id) for face_id in face_ids]
    return tuple(
        FaceHistory(
            entry.plan,
            _passes_of(db, entry.face_id, numbers),
            # their numbers in the record mean nothing on another computer
            tuple(replace(one, test_id=0) for one in by_hand.swing_tests(db, entry.face_id)),
            tuple(
                replace(one, calibration_id=0)
                for one in by_hand.film_calibrations(db, entry.face_id)
            ),
            tuple(replace(one, check_id=0) for one in by_hand.line_checks(db, entry.face_id)),
        )
        for entry in sorted(entries, key=lambda entry: _order(entry.plan.name))
    )


def _passes_of(db: Connection, face_id: int, numbers: dict[int, int]) -> tuple[PassHistory, ...]:
    kept = {each.print_id: each for each in prints.prints(db, face_id)}
    counts: dict[int, list[EyeCount]] = {print_id: [] for print_id in kept}
    for counted in by_hand.eye_counts(db, face_id):
        counts[counted.print_id].append(counted)
    return tuple(
        PassHistory(
            each.number,
            each.begun_at_utc,
            each.scrape,
            tuple(_print_history(db, kept[n], counts[n], numbers) for n in each.print_ids),
        )
        for each in passes.passes(db, face_id)
    )


def _print_history(
    db: Connection, entry: PrintEntry, counts: Sequence[EyeCount], numbers: dict[int, int]
) -> PrintHistory:
    for reading_id in entry.reading_ids:
        numbers[reading_id] = len(numbers) + 1
    kept = schema.choices
    wanted = select(kept).where(kept.c.print_id == entry.print_id).order_by(kept.c.choice_id)
    return PrintHistory(
        entry.where,
        entry.kept_at_utc,
        entry.photo_sha256s,
        tuple(numbers[reading_id] for reading_id in entry.reading_ids),
        tuple(
            Choice(numbers[row.reading_id], row.why, row.chosen_at_utc)
            for row in db.execute(wanted)
        ),
        tuple(
            replace(counted, print_id=0, reading_id=numbers[counted.reading_id], count_id=0)
            for counted in counts
        ),
        entry.joined_json,
    )


def _photographs_of(db: Connection, history: MachineHistory) -> tuple[PhotographEntry, ...]:
    kept = schema.photographs
    wanted = sorted({sha256 for each in history.prints for sha256 in each.photo_sha256s})
    rows = [db.execute(select(kept).where(kept.c.sha256 == sha256)).one() for sha256 in wanted]
    return tuple(PhotographEntry(r.sha256, r.name, r.added_at_utc) for r in rows)
