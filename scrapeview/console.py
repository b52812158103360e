"""How commands speak: answers on stdout, refusals as one sentence with exit status 2."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import typer

from scrapeview.errors import OutputError, ScrapeviewError

REFUSED = 2
"""Exit status where something that was given cannot be used."""


@contextmanager
def plain_refusals() -> Iterator[None]:
    """Turn what Scrapeview refuses into one sentence and exit status 2."""
    try:
        yield
    except ScrapeviewError as error:
        tell(" ".join(str(error).split()))
        raise typer.Exit(REFUSED) from None


def tell(text: str, *, whole_line: bool = True) -> None:
    """Print beside the answer, on stderr."""
    typer.echo(_printable(text, sys.stderr.encoding), err=True, nl=whole_line)


def say(text: str) -> None:
    """Print the answer, on stdout.

    Raises
    ------
    OutputError
        Where it cannot be printed, as on a full disk.
    """
    try:
        typer.echo(_printable(text, sys.stdout.encoding))
    except BrokenPipeError:
        raise
    except OSError as error:
        # what is still held back would fail again when the interpreter ends
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise OutputError(f"The answer cannot be printed: {error.strerror}.") from None


def _printable(text: str, encoding: str | None) -> str:
    """Return the text without what the terminal's encoding cannot show, as names may hold it."""
    known = encoding or "ascii"
    return text.encode(known, "backslashreplace").decode(known)
