"""Write docs/columns.md and docs/commands.md from the code: `python docs/make_reference.py`."""

import dataclasses
import inspect
import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from typer.testing import CliRunner

from scrapeview.bearing import BarePatch, Evenness, Interval, Square
from scrapeview.cli import app
from scrapeview.columns import COLUMNS, columns_of
from scrapeview.film import Heaviness, Separability
from scrapeview.findings import FINDING_CODES
from scrapeview.flags import FLAGS
from scrapeview.photo import Check
from scrapeview.photo.checks import CHECK_CODES
from scrapeview.photo.patches import PATCH_CODES
from scrapeview.result import Reading
from scrapeview.settings import Settings

DOCS = Path(__file__).parent
TABLES = {
    "points": "Bearing points, one row each, of `Reading.points` and `--points`.",
    "cells": "Squares of the face, one row each, of `Reading.cells`.",
    "regions": "Polygons of the outline, one row each, of `Reading.regions`.",
    "sizes": "Classes of diameter, one row each, of `Reading.sizes`.",
    "history": "Readings of a print that were made the current one, one row each time.",
    "faces": "Faces in the record, one row each: where each stands.",
    "moved": "Prints that were read again, one row each: what moved.",
    "compared": "Points of two prints of a face, one row each: which stayed, went and came.",
    "places": "Places marked in every one of the last passes, or never, one row each.",
    "to_take": "Points of a print, one row each: which to take on the next pass, ranked.",
    "criteria": "What a face was judged by, one row each, with its figure, target and margin.",
    "balance": "Parts of a face against each other, one row each.",
    "eye_counts": "Squares counted by eye, one row each, beside the count in the photograph.",
    "film_calibrations": "What a film unit was found to be worth on a face, one row each.",
    "line_checks": "Checks of a face with level, indicator and the like, one row each.",
    "swing_tests": "Swing tests of a face, one row each.",
    "seams": "Seams of a map of several photographs, one row each, of `Joined.seams`.",
    "gaps": "What a map does not show, one row each, of `Joined.gaps`.",
    "joined": "Photographs a map is made of, one row each, of `Joined.photos`.",
    "passes": "Prints of a face in the record, one row each, by their current readings.",
}
PARTS = (Interval, Square, BarePatch, Evenness, Separability, Heaviness, Check)
HELP_WIDTH = 100
MADE = "<!-- Written by docs/make_reference.py; change the code, not this page. -->"


def columns_page() -> str:
    """Return the page of tables, flags, checks, settings and fields of a reading."""
    blocks = ["# Columns, flags, checks and settings", MADE]
    for name in dict.fromkeys(column.table for column in COLUMNS):
        rows = [(f"`{c.name}`", c.dtype, c.unit, c.meaning) for c in columns_of(name)]
        blocks += [f"## Table `{name}`", TABLES[name]]
        blocks.append(markdown_table(("column", "kind", "unit", "meaning"), rows))
    blocks += ["## Flags", "A point in doubt stays in the table, with a flag."]
    blocks.append(markdown_table(("flag", "meaning"), [(f"`{f.name}`", f.meaning) for f in FLAGS]))
    blocks += [
        "## Checks",
        "Each has a severity: ok, warn (read with care) or bad (photograph or print again). Limits "
        "are common practice, no source.",
        markdown_table(("check", "unit", "warns at", "bad at", "meaning"), _check_rows()),
    ]
    blocks += ["## Settings", "Of one reading: `scrapeview.Settings`, all by keyword."]
    blocks.append(markdown_table(("setting", "default", "meaning"), _setting_rows()))
    blocks += ["## Reading", "What `read_print` returns: `scrapeview.Reading`."]
    blocks.append(_fields_table(Reading))
    for part in PARTS:
        blocks += [f"### {part.__name__}", _fields_table(part)]
    return "\n\n".join(blocks) + "\n"


def commands_page() -> str:
    """Return the page of the command line: what `--help` says of each command."""
    blocks = ["# Commands", MADE, _help_block()]
    for command in app.registered_commands:
        name = command.name or getattr(command.callback, "__name__", "")
        blocks += [f"## `scrapeview {name}`", _help_block(name)]
    return "\n\n".join(blocks) + "\n"


def _help_block(*command: str) -> str:
    told = CliRunner().invoke(
        app, [*command, "--help"], prog_name="scrapeview", terminal_width=HELP_WIDTH
    )
    lines = [line.rstrip() for line in told.output.strip().splitlines()]
    return "\n".join(("```text", *lines, "```"))


def markdown_table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table in markdown."""
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join(
        "| " + " | ".join(c.replace("|", "\\|") for c in line) + " |" for line in lines
    )


def described(documented: type) -> list[tuple[str, str, str]]:
    """Return name, kind and meaning of the fields that a class's numpydoc docstring describes."""
    text = inspect.getdoc(documented) or ""
    body = re.split(r"^(?:Parameters|Attributes)\n-+\n", text, flags=re.M)[1]
    body = re.split(r"\n\n[A-Z]\w+\n-+\n", body)[0]
    entries: list[tuple[str, str, str]] = []
    for line in body.splitlines():
        if line.strip() and not line.startswith(" "):
            name, _, kind = line.partition(" : ")
            entries.append((name, kind, ""))
        elif entries:
            name, kind, meaning = entries[-1]
            entries[-1] = (name, kind, f"{meaning} {line.strip()}".strip())
    return entries


def _fields_table(documented: type) -> str:
    rows = [(_code(names), kind, meaning) for names, kind, meaning in described(documented)]
    return markdown_table(("field", "kind", "meaning"), rows)


def _check_rows() -> list[tuple[str, ...]]:
    return [
        (f"`{c.code}`", c.unit, _number(c.warn), _number(c.bad), c.meaning)
        for c in (*CHECK_CODES, *PATCH_CODES, *FINDING_CODES)
    ]


def _setting_rows() -> list[tuple[str, ...]]:
    defaults = {f.name: f.default for f in dataclasses.fields(Settings)}
    rows = []
    for names, _, meaning in described(Settings):
        each = names.split(", ")
        default = ", ".join(f"{defaults[name]}" for name in each if defaults[name] != ())
        rows.append((_code(names), default or "none", meaning))
    return rows


def _code(names: str) -> str:
    return ", ".join(f"`{name}`" for name in names.split(", "))


def _number(value: float) -> str:
    return "never" if value == float("inf") else f"{value:.4g}"


def write_pages(folder: Path = DOCS) -> None:
    """Write both pages."""
    (folder / "columns.md").write_text(columns_page(), encoding="utf-8")
    (folder / "commands.md").write_text(commands_page(), encoding="utf-8")


if __name__ == "__main__":
    write_pages()
