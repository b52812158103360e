"""Prints of a pass in the database, their photographs and which of their readings is current."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, func, insert, select, update

from scrapeview.errors import RecordError
from scrapeview.placements import Placement
from scrapeview.provenance import now_utc
from scrapeview.record import accepted, accepted_line, schema
from scrapeview.record.database import add_row, insert_into
from scrapeview.record.entries import PrintEntry
from scrapeview.record.stored_reading import Prepared, add_prepared

KEPT = "kept"
"""Why the first reading of a print is the current one."""


def add_print(
    db: Connection,
    pass_id: int,
    photos: Sequence[tuple[str, str, int]],
    where: Placement,
    joined: Mapping[str, Any] | None,
) -> int:
    """Add a print with its photographs, (SHA-256, name, size in bytes); return its number."""
    now = now_utc()
    told = {
        **placement_out(where),
        "joined": accepted_line.joined_of(joined, [sha256 for sha256, _, _ in photos]),
    }
    print_id = add_row(db, schema.prints, pass_id=pass_id, kept_at_utc=now, **told)
    # in one order everywhere, so that two writers never wait for each other
    for sha256, name, size in sorted(photos):
        known = {"sha256": sha256, "name": name, "size_bytes": size, "added_at_utc": now}
        db.execute(insert_into(db, schema.photographs).values(known).on_conflict_do_nothing())
    for position, (sha256, _, _) in enumerate(photos):
        of_print = {"print_id": print_id, "position": position, "sha256": sha256}
        db.execute(insert(schema.print_photographs).values(of_print))
    return print_id


def placement_out(where: Placement) -> dict[str, Any]:
    """Return a placement as the columns of its print."""
    where = accepted_line.placement_of(where)
    return {
        "placement": where.name,
        "placement_start_mm": where.start_mm,
        "placement_length_mm": where.length_mm,
        "placement_side": where.side,
    }


def change_placement(db: Connection, print_id: int, where: Placement) -> None:
    """Change what was told of where the reference lay."""
    told = placement_out(where)
    print_entry(db, print_id)
    db.execute(update(schema.prints).where(schema.prints.c.print_id == print_id).values(told))


def prints(db: Connection, face_id: int) -> tuple[PrintEntry, ...]:
    """Return the prints of a face in the order of their passes."""
    return _prints(db, schema.passes.c.face_id == face_id)


def print_entry(db: Connection, print_id: int) -> PrintEntry:
    """Return one print."""
    found = _prints(db, schema.prints.c.print_id == print_id)
    if not found:
        raise RecordError("This print is not in the record any more: choose another one.")
    return found[0]


def add_reading(db: Connection, print_id: int, reading: Prepared, why: str) -> int:
    """Add a reading to a print as its current one; return its number."""
    if reading.photo_sha256 not in _read_of(db, print_id):
        raise RecordError(
            "The reading is of another photograph than this print's: read the print's own."
        )
    reading_id = add_prepared(db, print_id, reading)
    choose_reading(db, print_id, reading_id, why)
    return reading_id


def choose_reading(db: Connection, print_id: int, reading_id: int, why: str) -> None:
    """Let one of a print's readings be the current one, and say why."""
    of_print = select(schema.readings.c.print_id).where(schema.readings.c.reading_id == reading_id)
    if db.scalar(of_print) != print_id:
        raise RecordError("This reading is not one of this print's: choose one of its own.")
    values = {
        "print_id": print_id,
        "reading_id": reading_id,
        "why": accepted.text_of("reason", why, accepted.LONGEST_NOTES),
        "chosen_at_utc": now_utc(),
    }
    db.execute(insert(schema.choices).values(values))


def require_new(db: Connection, face_id: int, sha256s: Iterable[str]) -> None:
    """Refuse photographs that a face has already.

    Raises
    ------
    RecordError
    """
    held = schema.print_photographs
    wanted = (
        select(func.min(schema.passes.c.number))
        .join_from(held, schema.prints)
        .join(schema.passes)
        .where(held.c.sha256.in_(list(sha256s)), schema.passes.c.face_id == face_id)
    )
    number = db.scalar(wanted)
    if number is not None:
        raise RecordError(f"This photograph is kept already, as pass {number} of this face.")


def _read_of(db: Connection, print_id: int) -> list[str]:
    """Return which of its photographs a print's readings may be of: of a joined one, the map."""
    held, prints = schema.print_photographs, schema.prints
    wanted = select(held.c.sha256).where(held.c.print_id == print_id).order_by(held.c.position)
    joined = db.scalar(select(prints.c.joined).where(prints.c.print_id == print_id))
    return list(db.scalars(wanted.limit(1) if joined else wanted))


def _prints(db: Connection, which: Any) -> tuple[PrintEntry, ...]:
    """Return the prints that fit, by four queries however many there are."""
    prints, passes = schema.prints, schema.passes
    in_order = select(prints).join(passes).where(which).order_by(passes.c.number, prints.c.print_id)
    rows = db.execute(in_order).all()
    photos: dict[int, list[str]] = {row.print_id: [] for row in rows}
    readings: dict[int, list[int]] = {row.print_id: [] for row in rows}
    held, kept, chosen = schema.print_photographs, schema.readings, schema.choices
    wanted = (
        select(held.c.print_id, held.c.sha256).join_from(held, prints).join(passes).where(which)
    )
    for print_id, sha256 in db.execute(wanted.order_by(held.c.print_id, held.c.position)):
        photos[print_id].append(sha256)
    of_print = (
        select(kept.c.print_id, kept.c.reading_id).join_from(kept, prints).join(passes).where(which)
    )
    for print_id, reading_id in db.execute(of_print.order_by(kept.c.reading_id)):
        readings[print_id].append(reading_id)
    choice = (
        select(chosen.c.print_id, chosen.c.reading_id)
        .join_from(chosen, prints)
        .join(passes)
        .where(which)
    )
    # the last choice of a print overwrites the ones before it
    current = {r.print_id: r.reading_id for r in db.execute(choice.order_by(chosen.c.choice_id))}
    if set(photos) - set(current):
        raise RecordError(
            "A print of this face has no reading, so the record is damaged: check it, and bring "
            "back a copy of it."
        )
    return tuple(
        PrintEntry(
            r.print_id, r.pass_id, _placement_in(r), r.kept_at_utc,
            tuple(photos[r.print_id]), tuple(readings[r.print_id]), current[r.print_id], r.joined,
        )
        for r in rows
    )  # fmt: skip


def _placement_in(row: Any) -> Placement:
    return Placement(
        name=row.placement,
        start_mm=row.placement_start_mm,
        length_mm=row.placement_length_mm,
        side=row.placement_side,
    )
