"""Writing the members of an archive, each hashed on its way in."""

import hashlib
import os
import stat
import zipfile
import zlib
from collections.abc import Iterator
from io import BytesIO
from typing import BinaryIO

from scrapeview.archive_manifest import Manifest, manifest_json
from scrapeview.archive_members import MANIFEST, MAX_RATIO, Member, kind_of, shown
from scrapeview.archive_steps import Steps
from scrapeview.errors import ArchiveError

_CHUNK = 2**20
_DATE = (1980, 1, 1, 0, 0, 0)
"""The same for all members, so that the same content makes the same members."""


class ArchiveWriter:
    """A zip that is being written; `finish` adds the manifest of what was written before it."""

    def __init__(self, packed: zipfile.ZipFile, steps: Steps) -> None:
        self.steps = steps
        self._packed = packed
        self._members: list[Member] = []

    def add(self, name: str, data: bytes) -> None:
        """Add a member from its bytes."""
        self.add_file(name, BytesIO(data))

    def add_file(self, name: str, file: BinaryIO) -> None:
        """Add a member from a file, bit by bit.

        Raises
        ------
        ArchiveError
            Where it is larger than can be restored.
        """
        size = file.seek(0, os.SEEK_END)
        kind = kind_of(name)
        if size > kind.most_bytes:
            raise ArchiveError(
                f"{shown(name)} has {size} bytes, more than a {kind.name} in an archive can have."
            )
        info = zipfile.ZipInfo(name, _DATE)
        info.external_attr = (stat.S_IFREG | 0o644) << 16
        info.compress_type = _method(kind.name, file, size)
        info.file_size = size
        digest = hashlib.sha256()
        with self._packed.open(info, "w") as member:
            for chunk in _chunks(file):
                digest.update(chunk)
                member.write(chunk)
        self._members.append(Member(name, size, digest.hexdigest()))

    def finish(self, scrapeview: str, made_at_utc: str, machine: str) -> None:
        """Add the manifest."""
        members = tuple(self._members)
        self.add(MANIFEST, manifest_json(Manifest(scrapeview, made_at_utc, machine, members)))


def _method(kind: str, file: BinaryIO, size: int) -> int:
    """Return how to pack: photographs are packed already, and what packs too well looks hostile."""
    if kind == "photograph":
        return zipfile.ZIP_STORED
    packer = zlib.compressobj(1)
    packed = sum(len(packer.compress(chunk)) for chunk in _chunks(file)) + len(packer.flush())
    return zipfile.ZIP_STORED if size > packed * MAX_RATIO / 4 else zipfile.ZIP_DEFLATED


def _chunks(file: BinaryIO) -> Iterator[bytes]:
    file.seek(0)
    while chunk := file.read(_CHUNK):
        yield chunk
