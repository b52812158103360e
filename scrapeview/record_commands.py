"""Commands of the shop's record: faces, keep, judge, map, reread, check, archive and the like."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scrapeview.command_home import HomeOption, opened, progress_bar
from scrapeview.console import plain_refusals, say, tell
from scrapeview.judge_command import judge
from scrapeview.keep_command import keep
from scrapeview.map_command import map_

if TYPE_CHECKING:
    from scrapeview.record import Record

WRONG = 1
"""Exit status where the work was done and something is wrong."""
INTERRUPTED = 130


class TableKind(StrEnum):
    """Kinds of file a table can be written as."""

    CSV = "csv"
    PARQUET = "parquet"
    JSON = "json"


def register(app: typer.Typer) -> None:
    """Add the commands of the record to the command line."""
    for command in (faces, keep, judge, reread, check, archive, restore, export):
        app.command()(command)
    app.command("map")(map_)


def faces(home: HomeOption = None) -> None:
    """List the faces in the record: their numbers and where each stands."""
    from scrapeview.record_text import faces_text

    with plain_refusals(), opened(home) as record:
        say(faces_text(record.shop()))


def check(home: HomeOption = None) -> None:
    """Check that every photograph and reading in the record is there and unharmed.

    Exit status 0 where nothing is lost, 1 where something is wrong, 2 where it cannot be checked.
    """
    from scrapeview.record.check import check_record

    with plain_refusals():
        with opened(home) as record, progress_bar("Checking") as progress:
            problems = check_record(record, progress)
            place = record.place
        for problem in problems:
            say(problem.sentence)
        lost = sum(not problem.is_harmless for problem in problems)
        if lost:
            say(f"{lost} thing{'s are' if lost > 1 else ' is'} wrong with the record in {place}.")
            raise typer.Exit(WRONG)
        say(f"The record is sound, in {place}.")


def reread(
    face: Annotated[
        list[int] | None,
        typer.Option(metavar="ID", help="Number of a face, as 'faces' lists them. Repeatable."),
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Read all faces again.")] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would move, and keep nothing.")
    ] = False,
    home: HomeOption = None,
) -> None:
    """Read prints again with today's method and the settings of their face, on all cores.

    Earlier readings stay in the record. Picks and corrections made by hand are kept. Prints that
    were read so already are left out, so after an interruption the same command goes on. Exit
    status 1 where a print could not be read.
    """
    from scrapeview import reread as again
    from scrapeview.errors import RecordError
    from scrapeview.record_text import moved_text

    with plain_refusals(), opened(home) as record:
        if every == bool(face):
            raise RecordError("Say which faces to read again: --face with a number, or --all.")
        numbers = [each.face_id for each in record.faces()] if every else list(face or ())
        try:
            with progress_bar("Reading") as progress:
                moved = again.reread(record, numbers, dry_run=dry_run, progress=progress)
        except KeyboardInterrupt:
            tell("Broken off: what was read so far is kept, and the same command goes on.")
            raise typer.Exit(INTERRUPTED) from None
        say(moved_text(moved))
        if not moved["outcome"].isin((again.READ_AGAIN, again.WOULD_BE_READ)).all():
            raise typer.Exit(WRONG)


def archive(
    machine: Annotated[str, typer.Argument(metavar="MACHINE", help="Name of the machine.")],
    file: Annotated[Path, typer.Argument(metavar="FILE.zip", help="The zip to write.")],
    home: HomeOption = None,
) -> None:
    """Write a machine with its photographs and readings into one zip."""
    from scrapeview.archive import write_archive

    with plain_refusals(), opened(home) as record:
        machine_id = _machine_id(record, machine)
        with progress_bar("Writing") as progress:
            write_archive(record, machine_id, file, progress)
        say(f"'{file}' holds the machine with all its photographs and readings.")


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE.zip", help="The archive to take in.")],
    home: HomeOption = None,
) -> None:
    """Take the machine of an archive into the record.

    An archive that is damaged, or whose machine was taken in already, changes nothing.
    """
    from scrapeview.archive import check_archive, read_archive

    with plain_refusals():
        # before a record is made for its sake
        check_archive(file)
        with opened(home, make=True) as record, progress_bar("Restoring") as progress:
            machine = read_archive(record, file, progress)
        say(f"{machine.name} is in the record with all its parts, faces and prints.")


def export(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder to write into.")],
    kind: Annotated[TableKind, typer.Option(help="Kind of file.")] = TableKind.CSV,
    home: HomeOption = None,
) -> None:
    """Write all tables of the record, units in the names of their columns.

    Faces, passes, points, cells, squares counted by eye, swing tests, what film is worth, and
    checks with instruments.
    """
    from scrapeview.outputs import make_folder, write_whole
    from scrapeview.record_tables import WHATS, record_table
    from scrapeview.tables import table_bytes

    with plain_refusals(), opened(home) as record:
        make_folder(folder)
        content = {}
        for what in WHATS:
            with progress_bar(f"Gathering {what}") as progress:
                frame = record_table(record, what, progress)
            content[folder / f"{what}.{kind.value}"] = table_bytes(frame, kind.value)
        write_whole(content)
        say(f"{', '.join(path.name for path in content)} are in {folder}.")


def _machine_id(record: "Record", name: str) -> int:
    from scrapeview.errors import RecordError

    machines = record.machines()
    exact = [each for each in machines if each.name == name]
    alike = [each for each in machines if each.name.casefold() == name.strip().casefold()]
    for found in (exact, alike):
        if len(found) == 1:
            return found[0].machine_id
    known = ", ".join(f"'{each.name}'" for each in machines) or "none yet"
    raise RecordError(f"There is no machine '{name}' in the record; there is {known}.")
