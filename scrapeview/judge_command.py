"""`scrapeview judge`: whether a face in the record is done, why, and what to do next."""

from pathlib import Path
from typing import Annotated

import typer

from scrapeview.command_home import HomeOption, opened
from scrapeview.console import plain_refusals, say


def judge(
    face: Annotated[int, typer.Argument(metavar="FACE", help="Its number, as 'faces' lists it.")],
    criteria: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write the criteria as .csv, .json or .parquet."),
    ] = None,
    home: HomeOption = None,
) -> None:
    """Judge a face by its last prints: done, nearly, keep scraping or print again, and why."""
    from scrapeview.face_beside import beside_sentences
    from scrapeview.face_verdict import face_verdict
    from scrapeview.judge.verdict.verdict_table import criteria_table
    from scrapeview.outputs import require_writable, write_whole
    from scrapeview.shown_units import face_units
    from scrapeview.tables import table_bytes
    from scrapeview.verdict_text import verdict_text

    with plain_refusals(), opened(home) as record:
        kind = None if criteria is None else _kind_of(criteria)
        if criteria is not None:
            require_writable(criteria)
        entry = record.face(face)
        units = face_units(record, entry)
        verdict = face_verdict(record, face)
        if criteria is not None and kind is not None:
            write_whole({criteria: table_bytes(criteria_table(verdict), kind)})
        say(verdict_text(entry.title, verdict, units, beside_sentences(record, entry, units)))


def _kind_of(path: Path) -> str:
    from scrapeview.errors import OutputError
    from scrapeview.tables import KINDS

    kind = path.suffix.lower().removeprefix(".")
    if kind not in KINDS:
        raise OutputError(f"'{path.name}' must end in .csv, .json or .parquet.")
    return kind
