"""Reading an archive that may be damaged or hostile: nothing it says is taken on trust."""

import hashlib
import os
import stat
import struct
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from scrapeview.archive_manifest import Manifest, read_manifest
from scrapeview.archive_members import (
    MANIFEST,
    MAX_MEMBERS,
    MAX_RATIO,
    MAX_TOTAL_BYTES,
    RECORD,
    SMALL_BYTES,
    Member,
    kind_of,
    refusal,
    shown,
)
from scrapeview.errors import ArchiveError

_CHUNK = 2**20
_END = struct.Struct("<4s4H2LH")
_END_64 = struct.Struct("<4sQ2H2L4Q")
_LOCATOR_64_BYTES = 20
_LOCAL_HEADER_SIZE = 30
_ENTRY_BYTES = 46, 400
"""Least and most that one entry of the directory takes; names here are short."""
_ENCRYPTED = 0x1 | 0x40 | 0x2000


class ArchiveReader:
    """An archive whose outside was found sound; members are checked as they are read.

    Attributes
    ----------
    manifest : Manifest
    members : dict
        Of Member, by name.
    """

    def __init__(self, packed: zipfile.ZipFile) -> None:
        self._packed = packed
        self._infos = _sound_infos(packed)
        if MANIFEST not in self._infos:
            raise refusal("it holds no manifest")
        kind = kind_of(MANIFEST)
        self.manifest: Manifest = read_manifest(self._whole(MANIFEST, kind.most_bytes))
        self.members = _agreed(self.manifest, self._infos)

    def read(self, name: str) -> bytes:
        """Return a member, whole, where size and hash are those of the manifest.

        Raises
        ------
        ArchiveError
        """
        member = self.members[name]
        data = self._whole(name, member.size_bytes)
        if len(data) != member.size_bytes or hashlib.sha256(data).hexdigest() != member.sha256:
            raise _changed(name)
        return data

    def verify(self, name: str) -> bytes:
        """Check size and hash of a member without holding it; return its first bytes.

        Raises
        ------
        ArchiveError
        """
        member, digest, size, head = self.members[name], hashlib.sha256(), 0, b""
        for chunk in self._chunks(name, member.size_bytes):
            digest.update(chunk)
            size += len(chunk)
            head = head or chunk[:64]
        if size != member.size_bytes or digest.hexdigest() != member.sha256:
            raise _changed(name)
        return head

    def _whole(self, name: str, most_bytes: int) -> bytes:
        return b"".join(self._chunks(name, most_bytes))

    def _chunks(self, name: str, most_bytes: int) -> Iterator[bytes]:
        """Unpack a member bit by bit, never past the size that is due."""
        left = most_bytes
        with _unpacking(name), self._packed.open(self._infos[name]) as stream:
            while chunk := stream.read(_CHUNK):
                left -= len(chunk)
                if left < 0:
                    raise refusal(f"{shown(name)} unpacks to more than it should")
                yield chunk


@contextmanager
def open_archive(source: Path | BinaryIO) -> Iterator[ArchiveReader]:
    """Open an archive and check all that can be known of it without unpacking.

    Parameters
    ----------
    source : Path or file object
        The zip; a file object must be seekable and is left open.

    Raises
    ------
    ArchiveError
        Where it cannot be opened, is damaged, or holds what no archive holds.
    """
    if isinstance(source, Path):
        with _opened(source) as file, open_archive(file) as reader:
            yield reader
        return
    _require_plain_end(source)
    with _unpacking("its directory"):
        packed = zipfile.ZipFile(source)
    with packed:
        yield ArchiveReader(packed)


@contextmanager
def _opened(path: Path) -> Iterator[BinaryIO]:
    try:
        file = path.open("rb")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise ArchiveError(f"'{path}' cannot be opened: {reason}.") from None
    with file:
        yield file


@contextmanager
def _unpacking(what: str) -> Iterator[None]:
    """Turn whatever is raised on damaged bytes into an ArchiveError."""
    # zipfile and zlib raise nearly every kind of exception on damaged bytes
    try:
        yield
    except (ArchiveError, GeneratorExit):
        raise
    except Exception as error:
        what = what if what.startswith("its ") else shown(what)
        raise refusal(f"{what} is damaged or cut short") from error


def _require_plain_end(file: BinaryIO) -> None:
    """Refuse a file whose end is not plainly that of a zip, before its directory is read."""
    size = file.seek(0, os.SEEK_END)
    mark, *_, count, directory_bytes, start, comment_bytes = _END.unpack(
        _ending(file, size, 0, _END.size)
    )
    if mark != b"PK\x05\x06" or comment_bytes != 0:
        raise refusal("it is no zip file, or is cut short")
    end = size - _END.size
    behind = _END.size + _LOCATOR_64_BYTES
    if size > behind and _ending(file, size, _END.size, _LOCATOR_64_BYTES)[:4] == b"PK\x06\x07":
        mark, *_, count, directory_bytes, start = _END_64.unpack(
            _ending(file, size, behind, _END_64.size)
        )
        if mark != b"PK\x06\x06":
            raise refusal("the end of its directory is damaged")
        end = size - behind - _END_64.size
    least, most = _ENTRY_BYTES
    if count > MAX_MEMBERS:
        raise refusal(f"it holds {count} files, more than the {MAX_MEMBERS} an archive may hold")
    if start + directory_bytes != end or not least * count <= directory_bytes <= most * count:
        raise refusal("its directory is damaged")


def _ending(file: BinaryIO, size: int, behind: int, length: int) -> bytes:
    """Return the bytes that end so far before the end of the file."""
    if size < behind + length:
        raise refusal("it is no zip file, or is cut short")
    file.seek(size - behind - length)
    return file.read(length)


def _sound_infos(packed: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    infos = packed.infolist()
    names = [info.orig_filename for info in infos]
    if len({name.casefold() for name in names}) < len(names):
        raise refusal("it holds two files of the same name")
    for info in infos:
        _require_sound(info)
    _require_apart(infos)
    if sum(info.file_size for info in infos) > MAX_TOTAL_BYTES:
        raise refusal(f"it unpacks to more than {MAX_TOTAL_BYTES // 2**30} GB")
    return {info.filename: info for info in infos}


def _require_sound(info: zipfile.ZipInfo) -> None:
    name = shown(info.orig_filename)
    kind = kind_of(info.orig_filename)
    if info.filename != info.orig_filename:
        raise refusal(f"{name} has two names")
    if info.flag_bits & _ENCRYPTED:
        raise refusal(f"{name} is encrypted")
    if stat.S_IFMT(info.external_attr >> 16) not in (0, stat.S_IFREG):
        raise refusal(f"{name} is a link or another thing that is no plain file")
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise refusal(f"{name} is packed in a way that archives do not use")
    if info.file_size > kind.most_bytes:
        raise refusal(f"{name} unpacks to {info.file_size} bytes, more than a {kind.name} can have")
    if info.file_size > max(SMALL_BYTES, MAX_RATIO * info.compress_size):
        raise refusal(f"{name} unpacks to more than {MAX_RATIO} times its packed size")


def _require_apart(infos: list[zipfile.ZipInfo]) -> None:
    """Refuse members that lie over one another, or anything before the first."""
    end = 0
    for info in sorted(infos, key=lambda info: info.header_offset):
        if info.header_offset < end or (end == 0 and info.header_offset != 0):
            raise refusal(f"{shown(info.filename)} lies over another file in it")
        end = info.header_offset + _LOCAL_HEADER_SIZE + len(info.filename) + info.compress_size


def _agreed(manifest: Manifest, infos: dict[str, zipfile.ZipInfo]) -> dict[str, Member]:
    """Return the manifest's members where they are exactly those of the zip."""
    members = {member.name: member for member in manifest.members}
    if len(members) < len(manifest.members):
        raise refusal("its manifest names a file twice")
    for name in sorted(members.keys() - infos.keys()):
        raise refusal(f"{shown(name)} is in its manifest but missing")
    for name in sorted(infos.keys() - members.keys() - {MANIFEST}):
        raise refusal(f"{shown(name)} is not in its manifest")
    if MANIFEST in members or RECORD not in members:
        raise refusal("its manifest is damaged")
    for name, member in members.items():
        if member.size_bytes != infos[name].file_size:
            raise _changed(name)
    return members


def _changed(name: str) -> ArchiveError:
    return refusal(f"{shown(name)} is not what its manifest says: it was damaged or changed")
