"""Tables over many passes: where each face of the shop stands, and how one has come along.

None of them touches a document, a mask or a point: only the figures beside the readings.
"""

import math
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import pandas as pd
from sqlalchemy import Connection, Select, func, select

from scrapeview.columns import columns_of, table
from scrapeview.record import schema
from scrapeview.record.summary import SUMMARY

TREND_PASSES = 20
TARGETS = tuple(
    f"target_{name}" for name in ("contact_least_percent", "contact_most_percent", "ppsi_least")
)
TRENDS = ("trend_contact_percent", "trend_ppsi")
"""Lists of the last passes' figures, which the shop's table holds beside the columns of "faces"."""


@dataclass(frozen=True)
class JoinedPass:
    """What all prints of a pass say together.

    Placements are weighed by the area that was read of each, so that what two of them cover counts
    twice. Where some show a print and others do not, the figures are of those that do.
    """

    printed_at: str
    contact_percent: float
    points_per_square_inch: float
    count_reliable: bool
    is_print: bool


def shop(db: Connection) -> pd.DataFrame:
    """Return one row a face, by machine, part and name: where it stands."""
    standing = _standing(db)
    waiting = {row.face_id for row in db.execute(_waiting())}
    rows = [_face_row(row, standing.get(row["face_id"]), waiting) for row in _faces(db)]
    shown = table("faces", {c.name: [row[c.name] for row in rows] for c in columns_of("faces")})
    for name in TRENDS:
        shown[name] = pd.Series([row[name] for row in rows], dtype=object)
    return shown


def progress(db: Connection, face_id: int) -> pd.DataFrame:
    """Return one row a print, in order; columns of the table "passes"."""
    passes, prints, readings = schema.passes, schema.prints, schema.readings
    counted = (
        select(func.count())
        .where(readings.alias("others").c.print_id == prints.c.print_id)
        .scalar_subquery()
    )
    wanted = _current(
        passes.c.number, *(prints.c[name] for name in schema.PLACED), _printed_at(), passes.c.who,
        passes.c.scraping, passes.c.metal_um, passes.c.hours, passes.c.notes,
        counted.label("readings"), prints.c.print_id, readings.c.reading_id,
        *(readings.c[c.name] for c in SUMMARY), face_id=face_id,
    )  # fmt: skip
    rows = db.execute(wanted.order_by(passes.c.number, prints.c.print_id)).mappings().all()
    names = [column.name for column in columns_of("passes")]
    values: dict[str, Any] = {name: [row[name] for row in rows] for name in names}
    for name in ("metal_um", "hours", "placement_start_mm", "placement_length_mm"):
        values[name] = [math.nan if value is None else value for value in values[name]]
    return table("passes", values)


def history(db: Connection, print_id: int) -> pd.DataFrame:
    """Return one row each time a reading of a print was made the current one, in order."""
    readings, choices = schema.readings, schema.choices
    wanted = (
        select(
            readings.c.reading_id, readings.c.read_at_utc, choices.c.why, choices.c.chosen_at_utc,
            readings.c.contact_percent, readings.c.points_per_square_inch, readings.c.corrections,
            readings.c.version,
        )
        .join_from(choices, readings, choices.c.reading_id == readings.c.reading_id)
        .where(choices.c.print_id == print_id)
        .order_by(choices.c.choice_id)
    )  # fmt: skip
    rows = db.execute(wanted).all()
    last = len(rows) - 1
    listed = [(r[0], r[1], r[2], i == last, *r[3:]) for i, r in enumerate(rows)]
    names = [column.name for column in columns_of("history")]
    return table("history", {name: [row[i] for row in listed] for i, name in enumerate(names)})


def where_kept(db: Connection, sha256: str) -> tuple[str, ...]:
    """Return the places of a photograph in words, such as "Mill, saddle: top way, pass 3"."""
    machines, parts, faces = schema.machines, schema.parts, schema.faces
    wanted = (
        select(
            machines.c.name.label("machine"), parts.c.name.label("part"),
            faces.c.name.label("face"), schema.passes.c.number,
        )
        .join_from(schema.print_photographs, schema.prints)
        .join(schema.passes).join(faces).join(parts).join(machines)
        .where(schema.print_photographs.c.sha256 == sha256)
        .order_by(schema.prints.c.print_id)
    )  # fmt: skip
    rows = db.execute(wanted)
    return tuple(f"{r.machine}, {r.part}: {r.face}, pass {r.number}" for r in rows)


def _printed_at() -> Any:
    return func.coalesce(schema.readings.c.taken_at, schema.prints.c.kept_at_utc).label(
        "printed_at"
    )


def _current(*columns: Any, face_id: int | None = None) -> Select[Any]:
    """Return the query for columns of prints, of one face or of all, with their current reading."""
    passes, prints, chosen = schema.passes, schema.prints, schema.choices
    last = func.max(chosen.c.choice_id).label("choice_id")
    of_print = select(chosen.c.print_id, last).group_by(chosen.c.print_id)
    if face_id is not None:
        # said twice, so that the last choices of all other faces need not be looked for
        of_face = of_print.join_from(chosen, prints, prints.c.print_id == chosen.c.print_id)
        of_print = of_face.join(passes).where(passes.c.face_id == face_id)
    latest = of_print.subquery()
    wanted = (
        select(*columns)
        .join_from(passes, prints)
        .join(latest, latest.c.print_id == prints.c.print_id)
        .join(chosen, chosen.c.choice_id == latest.c.choice_id)
        .join(schema.readings, schema.readings.c.reading_id == chosen.c.reading_id)
    )
    return wanted if face_id is None else wanted.where(passes.c.face_id == face_id)


def _standing(db: Connection) -> dict[int, list[JoinedPass]]:
    """Return the passes of each face that have a print with their current figures, in order."""
    passes, prints, readings = schema.passes, schema.prints, schema.readings
    wanted = _current(
        passes.c.face_id, passes.c.number, _printed_at(), readings.c.area_mm2,
        readings.c.contact_percent, readings.c.points_per_square_inch,
        readings.c.count_reliable, readings.c.is_print, *(prints.c[name] for name in schema.PLACED),
    ).order_by(passes.c.face_id, passes.c.number, prints.c.print_id)  # fmt: skip
    found: dict[int, list[JoinedPass]] = {}
    for (face_id, _), held in groupby(db.execute(wanted), key=lambda row: (row[0], row[1])):
        found.setdefault(face_id, []).append(_joined(list(held)))
    return found


def _joined(prints: list[Any]) -> JoinedPass:
    """Return the figures of a pass from its prints; of one placement the last print counts."""
    of_place = {tuple(getattr(one, name) for name in schema.PLACED): one for one in prints}
    places = list(of_place.values())
    found = [one for one in places if one.is_print] or places
    return JoinedPass(
        prints[-1].printed_at,
        _weighed([one.contact_percent for one in found], found),
        _weighed([one.points_per_square_inch for one in found], found),
        all(one.count_reliable for one in found),
        any(one.is_print for one in found),
    )


def _weighed(figures: list[float], prints: list[Any]) -> float:
    if len(prints) == 1:
        return figures[0]
    areas = [one.area_mm2 for one in prints]
    # written so that an area that is not a number counts as none
    weights = areas if all(area > 0 for area in areas) else [1.0] * len(areas)
    return sum(f * w for f, w in zip(figures, weights, strict=True)) / sum(weights)


def _waiting() -> Select[Any]:
    passes, prints = schema.passes, schema.prints
    return (
        select(passes.c.face_id)
        .join_from(passes, prints, prints.c.pass_id == passes.c.pass_id, isouter=True)
        .where(prints.c.print_id.is_(None))
    )


def _faces(db: Connection) -> list[Any]:
    machines, parts, faces = schema.machines, schema.parts, schema.faces
    wanted = select(
        faces.c.face_id, machines.c.name.label("machine"), parts.c.name.label("part"),
        faces.c.name.label("face"), faces.c.role, *(faces.c[name] for name in TARGETS),
    ).join_from(faces, parts).join(machines)  # fmt: skip
    rows = db.execute(wanted).mappings().all()
    return sorted(rows, key=lambda r: [r[name].casefold() for name in ("machine", "part", "face")])


def _face_row(row: Any, passes: list[JoinedPass] | None, waiting: set[int]) -> dict[str, Any]:
    last = passes[-1] if passes else None
    recent = (passes or [])[-TREND_PASSES:]
    return {
        **row,
        **{name: math.nan if row[name] is None else row[name] for name in TARGETS},
        "passes": len(passes or ()),
        "waiting": last is None or row["face_id"] in waiting,
        "last_printed_at": last.printed_at if last else "",
        "contact_percent": last.contact_percent if last else math.nan,
        "points_per_square_inch": last.points_per_square_inch if last else math.nan,
        "count_reliable": bool(last and last.count_reliable),
        "is_print": bool(last and last.is_print),
        "trend_contact_percent": [each.contact_percent for each in recent],
        "trend_ppsi": [each.points_per_square_inch for each in recent],
    }
