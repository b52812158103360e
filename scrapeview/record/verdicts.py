"""Verdicts kept beside their faces, and the fingerprint of what a verdict rests on."""

import dataclasses
import hashlib
import json
from typing import Any

from sqlalchemy import Connection, Select, func, select

from scrapeview.provenance import now_utc
from scrapeview.record import accepted, schema, shop
from scrapeview.record.database import insert_into
from scrapeview.record.entries import FacePlan, KeptVerdict

PASSES_JUDGED = 4
"""How many of the last passes that have a print a verdict may rest on."""
KEPT = tuple(field.name for field in dataclasses.fields(KeptVerdict))


def kept_verdicts(db: Connection) -> dict[int, KeptVerdict]:
    """Return the verdict kept of each face that has one, by the face's number."""
    rows = db.execute(select(schema.kept_verdicts)).mappings()
    return {row["face_id"]: KeptVerdict(**{name: row[name] for name in KEPT}) for row in rows}


def keep_verdict(db: Connection, face_id: int, verdict: KeptVerdict) -> None:
    """Keep the verdict of a face in place of an earlier one."""
    told = {
        "judged_from": accepted.text_of("fingerprint of a verdict", verdict.judged_from),
        "outcome": accepted.text_of("outcome", verdict.outcome),
        "reason": accepted.text_of("reason", verdict.reason, accepted.LONGEST_NOTES),
        "judged_at_utc": accepted.time_of(verdict.judged_at_utc or now_utc()),
    }
    shop.lock_face(db, face_id)
    wanted = insert_into(db, schema.kept_verdicts).values(face_id=face_id, **told)
    db.execute(wanted.on_conflict_do_update(index_elements=["face_id"], set_=told))


def judged_from(db: Connection, face_id: int) -> str:
    """Return the fingerprint of all that a verdict on a face rests on."""
    plan = shop.face(db, face_id).plan
    return _fingerprint(plan, [tuple(row[1:]) for row in db.execute(_last_prints(face_id))])


def all_judged_from(db: Connection) -> dict[int, str]:
    """Return the fingerprints of all faces that have a print by their numbers, in two queries."""
    plans = {entry.face_id: entry.plan for entry in shop.faces(db)}
    last: dict[int, list[tuple[Any, ...]]] = {}
    for face_id, *print_ in db.execute(_last_prints()):
        last.setdefault(face_id, []).append(tuple(print_))
    return {face_id: _fingerprint(plans[face_id], prints) for face_id, prints in last.items()}


def _fingerprint(plan: FacePlan, prints: list[tuple[Any, ...]]) -> str:
    rests_on = {
        "prints": sorted(_told(print_) for print_ in prints),
        "target": plan.target.as_dict(),
        "regions_mm": plan.regions_mm,
        "openings_mm": plan.openings_mm,
        "settings": plan.settings.as_dict(),
    }
    return hashlib.sha256(json.dumps(rests_on, sort_keys=True).encode()).hexdigest()


def _told(print_: tuple[Any, ...]) -> tuple[Any, ...]:
    """Leave out what was not told of a placement, so that verdicts from before it could be hold."""
    *named, start_mm, length_mm, side = print_
    placed = start_mm is not None or side
    return (*named, start_mm, length_mm, side) if placed else tuple(named)


def _last_prints(face_id: int | None = None) -> Select[Any]:
    """Return the query for the prints of the last passes: face, pass, print, reading, place."""
    passes, prints, chosen, placed = schema.passes, schema.prints, schema.choices, schema.PLACED
    back = func.dense_rank().over(partition_by=passes.c.face_id, order_by=passes.c.number.desc())
    printed = select(
        passes.c.face_id, passes.c.number, prints.c.print_id, *(prints.c[n] for n in placed),
        back.label("back"),
    ).join_from(passes, prints)  # fmt: skip
    if face_id is not None:
        printed = printed.where(passes.c.face_id == face_id)
    last = printed.subquery()
    current = (
        select(chosen.c.reading_id)
        .where(chosen.c.print_id == last.c.print_id)
        .order_by(chosen.c.choice_id.desc())
        .limit(1)
        .scalar_subquery()
    )
    return select(
        last.c.face_id, last.c.number, last.c.print_id, current, *(last.c[n] for n in placed)
    ).where(last.c.back <= PASSES_JUDGED)  # fmt: skip
