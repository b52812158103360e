"""A whole machine out of the record and into another one, with all that was decided on the way."""

import dataclasses
from collections.abc import Callable, Sequence
from itertools import count
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from scrapeview.errors import RecordError
from scrapeview.record import (
    accepted,
    by_hand,
    passes,
    prints,
    schema,
    shop,
    shop_settings,
    stored_reading,
)
from scrapeview.record.database import insert_into
from scrapeview.record.entries import EyeCount, Machine, PrintEntry
from scrapeview.record.histories import (
    Choice,
    FaceHistory,
    MachineHistory,
    PartHistory,
    PassHistory,
    PhotographEntry,
    PrintHistory,
)
from scrapeview.record.photographs import PhotographFolder
from scrapeview.record.record import Record
from scrapeview.result import Reading

RESTORED = "restored archives"
"""Setting of the shop: which machine each archive that was restored became."""


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
        history = dataclasses.replace(history, photographs=_photographs_of(db, history))
    return history, tuple(numbers)


def keep_photograph(record: Record, photo: bytes) -> str:
    """Store a photograph's file that the record does not refer to yet; return its SHA-256.

    Raises
    ------
    RecordError
        Where it cannot be written.
    """
    return PhotographFolder(record.home).keep(photo)


def require_not_restored(record: Record, digest: str) -> None:
    """Refuse an archive that became a machine which is still there.

    A second copy of the same passes could only be told from the first by its name, and is far
    more often a second click than what is wanted.

    Raises
    ------
    RecordError
    """
    with record.looking() as db:
        _require_not_restored(db, digest)


def add_history(
    record: Record,
    history: MachineHistory,
    reading_of: Callable[[int], Reading],
    sizes_bytes: dict[str, int],
    digest: str,
) -> Machine:
    """Add a machine with all its history in one transaction; its photographs are there already.

    Parameters
    ----------
    record : Record
    history : MachineHistory
        As `accepted_history` returns it.
    reading_of : callable
        Gives a reading by its number in the history.
    sizes_bytes : dict
        Of each photograph, by its SHA-256.
    digest : str
        By which the archive is known when it comes again.

    Returns
    -------
    Machine
        With a number behind its name where another one is called so already.

    Raises
    ------
    RecordError
        Where the archive was restored before, or the database refuses; then nothing is changed.
    """
    with record.writing() as db:
        _require_not_restored(db, digest)
        name = _free_name(db, history.name)
        machine_id = shop.add_machine(db, name, history.notes)
        _add_photographs(db, history.photographs, sizes_bytes)
        for part in history.parts:
            part_id = shop.add_part(db, machine_id, part.name)
            for face in part.faces:
                _add_face(db, part_id, face, reading_of)
        restored = shop_settings.setting(db, RESTORED, {})
        shop_settings.set_setting(db, RESTORED, {**restored, digest: machine_id})
        return shop.machine(db, machine_id)


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
            by_hand.swing_tests(db, entry.face_id),
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
        entry.placement,
        entry.kept_at_utc,
        entry.photo_sha256s,
        tuple(numbers[reading_id] for reading_id in entry.reading_ids),
        tuple(
            Choice(numbers[row.reading_id], row.why, row.chosen_at_utc)
            for row in db.execute(wanted)
        ),
        tuple(
            dataclasses.replace(counted, print_id=0, reading_id=numbers[counted.reading_id])
            for counted in counts
        ),
    )


def _photographs_of(db: Connection, history: MachineHistory) -> tuple[PhotographEntry, ...]:
    kept = schema.photographs
    wanted = sorted({sha256 for each in history.prints for sha256 in each.photo_sha256s})
    rows = [db.execute(select(kept).where(kept.c.sha256 == sha256)).one() for sha256 in wanted]
    return tuple(PhotographEntry(r.sha256, r.name, r.added_at_utc) for r in rows)


def _require_not_restored(db: Connection, digest: str) -> None:
    machine_id = shop_settings.setting(db, RESTORED, {}).get(digest)
    kept = schema.machines
    name = db.scalar(select(kept.c.name).where(kept.c.machine_id == machine_id))
    if name is not None:
        raise RecordError(
            f"This archive was restored already, as the machine '{name}': remove that one first "
            "if you want it again."
        )


def _free_name(db: Connection, name: str) -> str:
    taken = set(db.scalars(select(schema.machines.c.name)))
    if name not in taken:
        return name
    # a number behind a long name must not make it too long
    base = name[: accepted.LONGEST_NAME - 8]
    return next(n for n in (f"{base} ({number})" for number in count(2)) if n not in taken)


def _add_photographs(
    db: Connection, photographs: Sequence[PhotographEntry], sizes_bytes: dict[str, int]
) -> None:
    for each in photographs:
        row = {**dataclasses.asdict(each), "size_bytes": sizes_bytes[each.sha256]}
        wanted = insert_into(db, schema.photographs).values(row)
        db.execute(wanted.on_conflict_do_nothing())


def _add_face(
    db: Connection, part_id: int, face: FaceHistory, reading_of: Callable[[int], Reading]
) -> None:
    face_id = shop.add_face(db, part_id, face.plan)
    pass_ids: dict[int, int] = {}
    for each in face.passes:
        row = {
            "face_id": face_id,
            "number": each.number,
            "begun_at_utc": each.begun_at_utc,
            **dataclasses.asdict(each.scrape),
        }
        pass_ids[each.number] = pass_id = _added(db, schema.passes, row)
        for one in each.prints:
            _add_print(db, pass_id, one, reading_of)
    for test in face.swing_tests:
        by_hand.add_test_of_pass(db, pass_ids[test.pass_number], test)


def _add_print(
    db: Connection, pass_id: int, one: PrintHistory, reading_of: Callable[[int], Reading]
) -> None:
    row = {"pass_id": pass_id, "placement": one.placement, "kept_at_utc": one.kept_at_utc}
    print_id = _added(db, schema.prints, row)
    for position, sha256 in enumerate(one.photo_sha256s):
        held = {"print_id": print_id, "position": position, "sha256": sha256}
        db.execute(insert(schema.print_photographs).values(held))
    numbers = {n: stored_reading.add_reading(db, print_id, reading_of(n)) for n in one.readings}
    for choice in one.choices:
        chosen = {
            "print_id": print_id,
            "reading_id": numbers[choice.reading],
            "why": choice.why,
            "chosen_at_utc": choice.chosen_at_utc,
        }
        db.execute(insert(schema.choices).values(chosen))
    for counted in one.eye_counts:
        reading_id = numbers[counted.reading_id]
        ours = dataclasses.replace(counted, print_id=print_id, reading_id=reading_id)
        by_hand.add_eye_count(db, ours)


def _added(db: Connection, table: Table, row: dict[str, Any]) -> int:
    key: Any = db.execute(insert(table).values(row)).inserted_primary_key
    return int(key[0])
