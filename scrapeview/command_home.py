"""What commands of the record share: where it is, opening it, and a bar while they work."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scrapeview.console import tell

if TYPE_CHECKING:
    from scrapeview.record import Record

BAR_WIDTH = 30
LINE_WIDTH = 100

HomeOption = Annotated[
    Path | None,
    typer.Option(metavar="FOLDER", help="Folder of the shop's record, if not the usual one."),
]


@contextmanager
def opened(home: Path | None, *, make: bool = False) -> Iterator["Record"]:
    """Open the record for one command; a folder without one is refused unless it may be made.

    Raises
    ------
    RecordError
    """
    from scrapeview.errors import RecordError
    from scrapeview.record import Record
    from scrapeview.record.opened import FILE, home_of

    place = home_of(home)
    if not make and not os.environ.get("SCRAPEVIEW_RECORD") and not (place / FILE).exists():
        raise RecordError(
            f"There is no record in '{place}': name its folder with --home, or begin one with "
            "'scrapeview serve'."
        )
    record = Record.open(home)
    try:
        yield record
    finally:
        record.close()


@contextmanager
def progress_bar(label: str) -> Iterator[Callable[..., None]]:
    """Give what a long task calls with the steps done and the steps there are."""
    shows = sys.stderr.isatty()

    def show(done: int, of: int, what: str = "") -> None:
        if shows:
            filled = BAR_WIDTH * done // max(1, of)
            line = f"{label} [{'#' * filled}{'-' * (BAR_WIDTH - filled)}] {done} of {of}  {what}"
            tell(f"\r{line[:LINE_WIDTH]:{LINE_WIDTH}}", whole_line=False)

    try:
        yield show
    finally:
        if shows:
            tell(f"\r{'':{LINE_WIDTH}}\r", whole_line=False)
