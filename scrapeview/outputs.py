"""Writing files so that none is ever left half-written."""

import os
from collections.abc import Mapping
from pathlib import Path

from scrapeview.errors import OutputError


def require_writable(path: Path, photo: Path | None = None) -> None:
    """Refuse a place that cannot be written to, before any work is done.

    Parameters
    ----------
    path : Path
        Where a file is to be written.
    photo : Path, optional
        The photograph, which must not be written over.

    Raises
    ------
    OutputError
    """
    try:
        folder = path.resolve().parent
        if path.is_dir():
            raise OutputError(f"'{path}' is a folder: give the name of a file in it.")
        if not folder.is_dir():
            raise OutputError(f"There is no folder '{folder}' to write '{path.name}' in: make it.")
        if path.exists() and not path.is_file():
            raise OutputError(f"'{path}' is not a plain file: give another name.")
        if photo is not None and path.exists() and photo.exists() and path.samefile(photo):
            raise OutputError(f"'{path}' is the photograph itself: give another name.")
        if not os.access(folder, os.W_OK):
            raise OutputError(f"The folder '{folder}' cannot be written to: choose another.")
    except (OSError, ValueError, RuntimeError) as error:
        raise _cannot_write(path, error) from None


def make_folder(folder: Path) -> None:
    """Make a folder where there is none.

    Raises
    ------
    OutputError
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise OutputError(f"The folder '{folder}' cannot be made: {reason}.") from None


def write_whole(contents: Mapping[Path, bytes]) -> None:
    """Write files, each under a temporary name first and all renamed at the end.

    Raises
    ------
    OutputError
        Where one cannot be written; then none of them is.
    """
    parts: list[tuple[Path, Path]] = []
    target = Path()
    try:
        for number, (path, content) in enumerate(contents.items()):
            # through a link the file it leads to is written, not the link
            target = path.resolve()
            part = target.with_name(f".scrapeview-{os.getpid()}-{number}.part")
            parts.append((part, target))
            _write_through(part, path, content)
        for part, target in parts:
            part.replace(target)
    except (OSError, ValueError, RuntimeError) as error:
        raise _cannot_write(target, error) from None
    finally:
        for part, _ in parts:
            part.unlink(missing_ok=True)


def _write_through(part: Path, path: Path, content: bytes) -> None:
    try:
        with part.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise _cannot_write(path, error) from None


def _cannot_write(path: Path, error: Exception) -> OutputError:
    reason = getattr(error, "strerror", None) or str(error)
    return OutputError(f"'{path}' cannot be written: {reason}.")
