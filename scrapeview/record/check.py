"""Whether the record is whole: its database, and every photograph it refers to."""

import hashlib
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Select, func, select, text
from sqlalchemy.exc import DatabaseError

from scrapeview.errors import RecordError
from scrapeview.record import accepted_line, schema
from scrapeview.record.photographs import PhotographFolder
from scrapeview.record.record import Record

HARMLESS = ("left over", "not referred to")
"""Kinds of problem with which nothing is lost: files that may be deleted by hand."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong with the record.

    Parameters
    ----------
    what : str
        Its kind: "database", "reference", "no reading", "no photograph", "joined", "missing",
        "damaged", "unreadable", "left over" or "not referred to".
    sentence : str
        What is wrong with what, and what to do.
    """

    what: str
    sentence: str

    @property
    def is_harmless(self) -> bool:
        """Whether nothing is lost."""
        return self.what in HARMLESS


def check_record(
    record: Record, progress: Callable[[int, int], None] | None = None
) -> tuple[Problem, ...]:
    """Return all that is wrong with a record; nothing is changed.

    Parameters
    ----------
    record : Record
    progress : callable, optional
        Told how many photographs were checked, of how many.

    Returns
    -------
    tuple of Problem
        Empty where all is in order; what is harmless comes last.
    """
    folder = PhotographFolder(record.home)
    with record.looking() as db:
        problems = list(_database(db))
        if problems:
            return tuple(problems)
        problems += [*_prints(db), *_maps(db), *_readings(db)]
        kept = schema.photographs
        sizes = {row.sha256: row.size_bytes for row in db.execute(select(kept))}
        used = set(db.scalars(select(schema.print_photographs.c.sha256)))
    for number, sha256 in enumerate(sorted(used), start=1):
        problems += _photograph(record, folder, sha256, sizes[sha256])
        if progress is not None:
            progress(number, len(used))
    problems += _other_files(folder, used, set(sizes))
    return tuple(sorted(problems, key=lambda problem: problem.is_harmless))


def _database(db: Connection) -> Iterator[Problem]:
    if db.dialect.name != "sqlite":
        # PostgreSQL keeps its references itself and checks its pages when it reads them
        return
    try:
        told = [row[0] for row in db.execute(text("PRAGMA integrity_check(5)"))]
        broken = db.execute(text("PRAGMA foreign_key_check")).all()
    except DatabaseError as error:
        told, broken = [str(error.orig)], []
    if told != ["ok"]:
        yield Problem(
            "database",
            f"The record's file is damaged ({'; '.join(told)}): bring back a copy of it.",
        )
    for name in sorted({row[0] for row in broken}):
        count = sum(row[0] == name for row in broken)
        yield Problem(
            "reference",
            f"{count} of the rows of the table '{name}' refer to something that is not there: "
            "bring back a copy of the record.",
        )


def _prints(db: Connection) -> Iterator[Problem]:
    prints = schema.prints
    for kept, lack in (
        (schema.choices, "reading"),
        (schema.print_photographs, "photograph"),
    ):
        # a print of its own that lacks one of its parts was never written by this program
        without = _printed().join(kept, kept.c.print_id == prints.c.print_id, isouter=True)
        for row in db.execute(without.where(kept.c.print_id.is_(None))):
            yield Problem(f"no {lack}", f"A print of {_pass_of(row)} has no {lack}: {_FROM_A_COPY}")


def _maps(db: Connection) -> Iterator[Problem]:
    held, readings = schema.print_photographs, schema.readings
    for row in db.execute(_printed().where(schema.prints.c.joined != "")):
        of_print = select(held.c.sha256).where(held.c.print_id == row.print_id)
        photos = list(db.scalars(of_print.order_by(held.c.position)))
        read = select(readings.c.photo_sha256).where(readings.c.print_id == row.print_id)
        try:
            accepted_line.joined_in(row.joined, photos)
            sound = set(db.scalars(read)) <= set(photos[:1])
        except RecordError:
            sound = False
        if not sound:
            yield Problem(
                "joined",
                f"The map of {_pass_of(row)} is not of the photographs that are kept with it: "
                f"{_FROM_A_COPY}",
            )


_FROM_A_COPY = "bring back a copy of the record."


def _printed() -> Select[Any]:
    """Return the query for prints with where they belong."""
    machines, parts, faces = schema.machines, schema.parts, schema.faces
    passes, prints = schema.passes, schema.prints
    return (
        select(
            machines.c.name.label("machine"), parts.c.name.label("part"),
            faces.c.name.label("face"), passes.c.number, prints.c.print_id, prints.c.joined,
        )
        .join_from(prints, passes).join(faces).join(parts).join(machines)
    )  # fmt: skip


def _pass_of(row: Any) -> str:
    return f"{row.machine}, {row.part}: {row.face}, pass {row.number}"


def _readings(db: Connection) -> Iterator[Problem]:
    documents = schema.reading_documents
    without = (
        select(func.count())
        .select_from(schema.readings)
        .join(documents, isouter=True)
        .where(documents.c.reading_id.is_(None))
    )
    count = db.scalar(without)
    if count:
        told = "1 reading is" if count == 1 else f"{count} readings are"
        yield Problem("no reading", f"{told} not whole: bring back a copy of the record.")


def _photograph(
    record: Record, folder: PhotographFolder, sha256: str, size_bytes: int
) -> Iterator[Problem]:
    path = folder.path_of(sha256)
    try:
        digest = _digest(path)
    except FileNotFoundError:
        yield Problem(
            "missing",
            f"The photograph of {_where(record, sha256)} is missing: bring '{path}' back from a "
            "copy. Its readings are still there.",
        )
    except OSError as error:
        yield Problem(
            "unreadable",
            f"The photograph of {_where(record, sha256)} cannot be read ('{path}', "
            f"{error.strerror}): check the disk and who may read it.",
        )
    else:
        if digest != sha256:
            size = path.stat().st_size
            cut = f"{size} of {size_bytes} bytes" if size != size_bytes else "its bytes changed"
            yield Problem(
                "damaged",
                f"The photograph of {_where(record, sha256)} is damaged ({cut}): bring '{path}' "
                "back from a copy, or keep the original photograph once more.",
            )


def _where(record: Record, sha256: str) -> str:
    return "; ".join(record.where_kept(sha256))


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _other_files(folder: PhotographFolder, used: set[str], known: set[str]) -> Iterator[Problem]:
    try:
        paths = sorted(path for path in folder.path.rglob("*") if path.is_file())
    except OSError as error:
        raise RecordError(
            f"The folder '{folder.path}' cannot be looked into: {error.strerror}."
        ) from None
    for path in paths:
        if path.parent == folder.incoming:
            yield Problem(
                "left over",
                f"'{path}' was left over when Scrapeview was cut off while it wrote: it may be "
                "deleted.",
            )
        elif path != folder.path_of(path.name) or not re.fullmatch("[0-9a-f]{64}", path.name):
            yield Problem("not referred to", f"'{path}' is no photograph of this record.")
        elif path.name not in used:
            once = ", of a machine that was taken out" if path.name in known else ""
            yield Problem(
                "not referred to",
                f"No pass refers to the photograph '{path}'{once}: it may be deleted.",
            )
