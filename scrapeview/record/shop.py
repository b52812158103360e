"""Machines, parts and faces in the database."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from typing import Any

from sqlalchemy import Connection, Select, Table, delete, select, update
from sqlalchemy.exc import IntegrityError

from scrapeview.errors import RecordError
from scrapeview.flatness import ReferenceFlatness
from scrapeview.record import accepted, schema
from scrapeview.record.database import add_row
from scrapeview.record.entries import FaceEntry, FacePlan, Machine, Part, Polygon
from scrapeview.settings import Settings
from scrapeview.targets import Target


def machines(db: Connection) -> tuple[Machine, ...]:
    """Return all machines by name."""
    found = [Machine(r.machine_id, r.name, r.notes) for r in db.execute(select(schema.machines))]
    return tuple(sorted(found, key=lambda machine: machine.name.casefold()))


def machine(db: Connection, machine_id: int) -> Machine:
    """Return one machine."""
    row = _row(db, schema.machines, machine_id, "machine")
    return Machine(row.machine_id, row.name, row.notes)


def parts(db: Connection, machine_id: int) -> tuple[Part, ...]:
    """Return the parts of a machine by name."""
    wanted = select(schema.parts).where(schema.parts.c.machine_id == machine_id)
    found = [Part(r.part_id, r.machine_id, r.name) for r in db.execute(wanted)]
    return tuple(sorted(found, key=lambda part: part.name.casefold()))


def part(db: Connection, part_id: int) -> Part:
    """Return one part."""
    row = _row(db, schema.parts, part_id, "part")
    return Part(row.part_id, row.machine_id, row.name)


def faces(db: Connection) -> tuple[FaceEntry, ...]:
    """Return all faces by machine, part and name."""
    found = [_face_entry(row) for row in db.execute(_faces()).mappings()]
    return tuple(sorted(found, key=_by_names))


def face(db: Connection, face_id: int) -> FaceEntry:
    """Return one face."""
    row = db.execute(_faces().where(schema.faces.c.face_id == face_id)).mappings().first()
    if row is None:
        raise RecordError("This face is not in the record any more: choose another one.")
    return _face_entry(row)


def add_machine(db: Connection, name: str, notes: str) -> int:
    """Add a machine; return its number."""
    name = accepted.name_of("machine", name)
    notes = accepted.text_of("note", notes, accepted.LONGEST_NOTES)
    values = {"name": name, "notes": notes}
    return _add(db, schema.machines, values, f"There is a machine '{name}' already")


def add_part(db: Connection, machine_id: int, name: str) -> int:
    """Add a part to a machine; return its number."""
    name = accepted.name_of("part", name)
    whose = machine(db, machine_id).name
    values = {"machine_id": machine_id, "name": name}
    return _add(db, schema.parts, values, f"{whose} has a part '{name}' already")


def add_face(db: Connection, part_id: int, plan: FacePlan) -> int:
    """Add a face to a part; return its number."""
    plan = accepted.plan_of(plan)
    whose = part(db, part_id).name
    values = {"part_id": part_id, **_plan_out(plan)}
    return _add(db, schema.faces, values, f"{whose} has a face '{plan.name}' already")


def change_machine(db: Connection, machine_id: int, name: str, notes: str) -> None:
    """Rename a machine or change its notes."""
    machine(db, machine_id)
    name = accepted.name_of("machine", name)
    notes = accepted.text_of("note", notes, accepted.LONGEST_NOTES)
    values = {"name": name, "notes": notes}
    _change(db, schema.machines, machine_id, values, f"There is a machine '{name}' already")


def change_part(db: Connection, part_id: int, name: str) -> None:
    """Rename a part."""
    part(db, part_id)
    name = accepted.name_of("part", name)
    taken = f"The machine has a part '{name}' already"
    _change(db, schema.parts, part_id, {"name": name}, taken)


def change_face(db: Connection, face_id: int, plan: FacePlan) -> None:
    """Change the plan of a face."""
    face(db, face_id)
    plan = accepted.plan_of(plan)
    taken = f"The part has a face '{plan.name}' already"
    _change(db, schema.faces, face_id, _plan_out(plan), taken)


def remove_machine(db: Connection, machine_id: int) -> None:
    """Take a machine with all its parts, faces, passes and readings out of the record."""
    machine(db, machine_id)
    db.execute(delete(schema.machines).where(schema.machines.c.machine_id == machine_id))


def lock_face(db: Connection, face_id: int) -> None:
    """Let nobody else write to a face until the transaction ends; refuse one that is gone."""
    # SQLite has locked all of the record by now and knows no such clause
    wanted = select(schema.faces.c.face_id).where(schema.faces.c.face_id == face_id)
    if db.scalar(wanted.with_for_update()) is None:
        raise RecordError("This face is not in the record any more: choose another one.")


def _by_names(face: FaceEntry) -> list[str]:
    return [name.casefold() for name in (face.machine.name, face.part.name, face.plan.name)]


def _faces() -> Select[Any]:
    faces, parts, machines = schema.faces, schema.parts, schema.machines
    return select(
        faces,
        parts.c.name.label("part_name"),
        machines.c.machine_id,
        machines.c.name.label("machine_name"),
        machines.c.notes.label("machine_notes"),
    ).join_from(faces, parts).join(machines)  # fmt: skip


def _face_entry(row: Mapping[Any, Any]) -> FaceEntry:
    part = Part(row["part_id"], row["machine_id"], row["part_name"])
    machine = Machine(row["machine_id"], row["machine_name"], row["machine_notes"])
    return FaceEntry(row["face_id"], part, machine, _plan_in(row))


SAME = ("name", "role", "shape", "width_mm", "height_mm", "reference", "marking", "units", "notes")
"""What a plan and its row call alike."""
FLATNESS = tuple(field.name for field in fields(ReferenceFlatness))


def _plan_out(plan: FacePlan) -> dict[str, Any]:
    target = plan.target
    return {
        **{name: getattr(plan, name) for name in SAME},
        "regions_mm": json.dumps(plan.regions_mm),
        "openings_mm": json.dumps(plan.openings_mm),
        "target_name": target.name,
        **{column: getattr(target, name) for name, column in schema.TARGETS.items()},
        "target_origins": json.dumps(target.as_dict()["origins"]),
        "target_source": "",
        **{f"reference_{name}": value for name, value in asdict(plan.flatness).items()},
        "settings": json.dumps(plan.settings.as_dict()),
    }


def _plan_in(row: Mapping[Any, Any]) -> FacePlan:
    return FacePlan(
        **{name: row[name] for name in SAME},
        regions_mm=_polygons_in(row["regions_mm"]),
        openings_mm=_polygons_in(row["openings_mm"]),
        target=_target_in(row),
        flatness=ReferenceFlatness(**{name: row[f"reference_{name}"] for name in FLATNESS}),
        settings=Settings.from_dict(json.loads(row["settings"])),
    )


def _target_in(row: Mapping[Any, Any]) -> Target:
    told = {name: row[column] for name, column in schema.TARGETS.items()}
    origins = row["target_origins"]
    # rows from before each value had an origin of its own tell one source for all
    whence = {"origins": json.loads(origins)} if origins else {"source": row["target_source"]}
    return Target.from_dict({"name": row["target_name"], **told, **whence})


def _polygons_in(text: str) -> tuple[Polygon, ...]:
    polygons: Sequence[Sequence[Sequence[float]]] = json.loads(text)
    return tuple(tuple((x, y) for x, y in polygon) for polygon in polygons)


def _row(db: Connection, table: Table, number: int, what: str) -> Any:
    (key,) = table.primary_key.columns
    row = db.execute(select(table).where(key == number)).first()
    if row is None:
        raise RecordError(f"This {what} is not in the record any more: choose another one.")
    return row


def _add(db: Connection, table: Table, values: dict[str, Any], taken: str) -> int:
    try:
        return add_row(db, table, **values)
    except IntegrityError:
        raise RecordError(f"{taken}: give this one another name.") from None


def _change(db: Connection, table: Table, number: int, values: dict[str, Any], taken: str) -> None:
    (key,) = table.primary_key.columns
    try:
        db.execute(update(table).where(key == number).values(values))
    except IntegrityError:
        raise RecordError(f"{taken}: give this one another name.") from None
