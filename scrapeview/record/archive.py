"""A whole machine into the record, with all that was decided about it elsewhere."""

import dataclasses
from collections.abc import Callable, Sequence
from itertools import count
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from scrapeview.errors import RecordError
from scrapeview.record import (
    accepted,
    by_hand,
    prints,
    schema,
    shop,
    shop_settings,
    stored_reading,
)
from scrapeview.record.database import insert_into
from scrapeview.record.entries import Machine
from scrapeview.record.histories import (
    FaceHistory,
    MachineHistory,
    PhotographEntry,
    PrintHistory,
)
from scrapeview.record.photographs import PhotographFolder
from scrapeview.record.record import Record
from scrapeview.result import Reading

RESTORED = "restored archives"
"""Setting of the shop: which machine each archive that was restored became."""


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
    for calibration in face.film_calibrations:
        by_hand.add_calibration_of_face(db, face_id, calibration)
    for check in face.line_checks:
        by_hand.add_check_of_pass(db, pass_ids[check.pass_number], check)


def _add_print(
    db: Connection, pass_id: int, one: PrintHistory, reading_of: Callable[[int], Reading]
) -> None:
    row = {
        "pass_id": pass_id,
        "kept_at_utc": one.kept_at_utc,
        **prints.placement_out(one.placement),
        "joined": one.joined,
    }
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
