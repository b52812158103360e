"""Photographs as they came, each in a file named by the SHA-256 of its bytes, never changed."""

import contextlib
import hashlib
import os
import tempfile
from pathlib import Path

from scrapeview.errors import RecordError

FOLDER = "photographs"
INCOMING = "incoming"
"""Folder of files that are still being written; what is left there was cut off."""


def sha256_of(photo: bytes) -> str:
    """Return the SHA-256 of a photograph's bytes, 64 hexadecimal digits."""
    return hashlib.sha256(photo).hexdigest()


class PhotographFolder:
    """The folder of photographs of a record.

    Parameters
    ----------
    home : Path
        Folder of the record.
    """

    def __init__(self, home: Path) -> None:
        self.path = home / FOLDER
        self.incoming = self.path / INCOMING

    def path_of(self, sha256: str) -> Path:
        """Return where the photograph of that hash lies or would lie."""
        return self.path / sha256[:2] / sha256

    def keep(self, photo: bytes) -> str:
        """Write a photograph so that it is either wholly there or not at all; return its hash.

        Raises
        ------
        RecordError
            Where it cannot be written.
        """
        sha256 = sha256_of(photo)
        place = self.path_of(sha256)
        try:
            if not _holds(place, photo):
                self._write(photo, place)
        except OSError as error:
            raise RecordError(
                f"The photograph cannot be written to '{self.path}': {error.strerror or error}."
            ) from None
        return sha256

    def read(self, sha256: str) -> bytes:
        """Return the bytes of a photograph.

        Raises
        ------
        RecordError
            Where it is missing.
        """
        try:
            return self.path_of(sha256).read_bytes()
        except OSError:
            raise RecordError(
                f"The photograph {sha256[:12]} is not in '{self.path}': bring the folder of "
                "photographs back from a copy, or make it reachable."
            ) from None

    def _write(self, photo: bytes, place: Path) -> None:
        self.incoming.mkdir(parents=True, exist_ok=True)
        place.parent.mkdir(parents=True, exist_ok=True)
        number, name = tempfile.mkstemp(dir=self.incoming, prefix=place.name[:12] + "-")
        try:
            with os.fdopen(number, "wb") as file:
                file.write(photo)
                file.flush()
                os.fsync(file.fileno())
            Path(name).chmod(0o644)
            Path(name).replace(place)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise
        # a name is safe only once its folder is on the disk as well
        for folder in (place.parent, self.path):
            _sync(folder)


def _holds(place: Path, photo: bytes) -> bool:
    """Return whether the file is there and whole; a damaged one is written again."""
    try:
        return place.stat().st_size == len(photo) and place.read_bytes() == photo
    except FileNotFoundError:
        return False


def _sync(folder: Path) -> None:
    if os.name == "nt":
        # a folder cannot be opened there, and a rename is written through
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)
