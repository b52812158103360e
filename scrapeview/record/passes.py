"""Passes of a face in the database."""

import dataclasses
from typing import Any

from sqlalchemy import Connection, exists, func, select, update

from scrapeview.errors import RecordError
from scrapeview.provenance import now_utc
from scrapeview.record import accepted, schema
from scrapeview.record.database import add_row
from scrapeview.record.entries import PassEntry, Scrape
from scrapeview.record.shop import lock_face


def passes(db: Connection, face_id: int) -> tuple[PassEntry, ...]:
    """Return the passes of a face in order."""
    return _passes(db, schema.passes.c.face_id == face_id)


def pass_entry(db: Connection, pass_id: int) -> PassEntry:
    """Return one pass."""
    found = _passes(db, schema.passes.c.pass_id == pass_id)
    if not found:
        raise RecordError("This pass is not in the record any more: choose another one.")
    return found[0]


def next_pass_number(db: Connection, face_id: int) -> int:
    """Return the number the next new pass of a face gets."""
    number = schema.passes.c.number
    last = db.scalar(select(func.max(number)).where(schema.passes.c.face_id == face_id))
    return int(last or 0) + 1


def begin_pass(db: Connection, face_id: int, scrape: Scrape) -> int:
    """Add a pass that waits for its print; return its number in the record."""
    scrape = accepted.scrape_of(scrape)
    lock_face(db, face_id)
    waiting = _waiting(db, face_id)
    if waiting is not None:
        raise RecordError(
            f"Pass {waiting.number} of this face waits for its print: keep that one first."
        )
    return _add_pass(db, face_id, scrape)


def change_pass(db: Connection, pass_id: int, scrape: Scrape) -> None:
    """Change what was told of a pass."""
    scrape = accepted.scrape_of(scrape)
    pass_entry(db, pass_id)
    _set_scrape(db, pass_id, scrape)


def pass_for_print(
    db: Connection, face_id: int, scrape: Scrape, pass_number: int | None
) -> tuple[int, int]:
    """Return number in the record and number on the face of the pass a print belongs to.

    The pass that waits, else a new one; of a number that is told, the one there is. What is told
    of the scraping replaces what was told when the pass began.
    """
    scrape = accepted.scrape_of(scrape)
    following = next_pass_number(db, face_id)
    if pass_number is None:
        found = _waiting(db, face_id)
    else:
        found = _numbered(db, face_id, pass_number)
        if found is None and pass_number != following:
            raise RecordError(f"This face has no pass {pass_number}: the next one is {following}.")
    if found is None:
        return _add_pass(db, face_id, scrape), following
    if scrape != Scrape():
        _set_scrape(db, found.pass_id, scrape)
    return found.pass_id, found.number


def _passes(db: Connection, which: Any) -> tuple[PassEntry, ...]:
    rows = db.execute(select(schema.passes).where(which).order_by(schema.passes.c.number)).all()
    of_pass: dict[int, list[int]] = {row.pass_id: [] for row in rows}
    wanted = select(schema.prints.c.pass_id, schema.prints.c.print_id).join(schema.passes)
    for pass_id, print_id in db.execute(wanted.where(which).order_by(schema.prints.c.print_id)):
        of_pass[pass_id].append(print_id)
    return tuple(
        PassEntry(
            r.pass_id, r.face_id, r.number, r.begun_at_utc,
            Scrape(
                who=r.who, scraping=r.scraping, metal_um=r.metal_um, hours=r.hours, notes=r.notes
            ),
            tuple(of_pass[r.pass_id]),
        )
        for r in rows
    )  # fmt: skip


def _waiting(db: Connection, face_id: int) -> Any:
    printed = exists().where(schema.prints.c.pass_id == schema.passes.c.pass_id)
    wanted = select(schema.passes).where(schema.passes.c.face_id == face_id, ~printed)
    return db.execute(wanted.order_by(schema.passes.c.number)).first()


def _numbered(db: Connection, face_id: int, number: int) -> Any:
    wanted = select(schema.passes).where(schema.passes.c.face_id == face_id)
    return db.execute(wanted.where(schema.passes.c.number == number)).first()


def _add_pass(db: Connection, face_id: int, scrape: Scrape) -> int:
    return add_row(
        db,
        schema.passes,
        face_id=face_id,
        number=next_pass_number(db, face_id),
        begun_at_utc=now_utc(),
        **dataclasses.asdict(scrape),
    )


def _set_scrape(db: Connection, pass_id: int, scrape: Scrape) -> None:
    wanted = update(schema.passes).where(schema.passes.c.pass_id == pass_id)
    db.execute(wanted.values(dataclasses.asdict(scrape)))
