"""One zip of a machine: out of the record, and into a record on another computer without loss.

manifest.json names every member with its size and SHA-256; record.json holds the machine with its
parts, faces, passes, prints with where the reference lay and what they were joined from, which
reading was chosen when and why, squares counted by eye, swing tests, what a film unit is worth and
checks with instruments; photographs/ the files as they came, by SHA-256; readings/ every reading as
`scrapeview.to_json` writes it; tables/ passes, points and cells of the current readings as CSV,
for people: they are not read back. Verdicts are not taken along: they are judged anew.
"""

import hashlib
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from scrapeview.archive_members import (
    RECORD,
    SUFFIXES,
    Member,
    reading_name,
    refusal,
    shown,
)
from scrapeview.archive_out import write_zip
from scrapeview.archive_record import read_history
from scrapeview.archive_steps import Progress, Steps
from scrapeview.archive_zip import ArchiveReader, open_archive
from scrapeview.errors import OutputError, ReadingError, RecordError
from scrapeview.outputs import require_writable
from scrapeview.photo.header import sniff_format
from scrapeview.reading_json import from_json
from scrapeview.record import Record
from scrapeview.record.accepted_history import accepted_history, require_readable
from scrapeview.record.archive import add_history, keep_photograph, require_not_restored
from scrapeview.record.entries import Machine
from scrapeview.record.histories import MachineHistory
from scrapeview.result import Reading

__all__ = ["check_archive", "read_archive", "write_archive", "write_zip"]


def write_archive(
    record: Record, machine_id: int, path: Path, progress: Progress | None = None
) -> None:
    """Write a machine with all its photographs and readings into one zip.

    Parameters
    ----------
    record : Record
    machine_id : int
    path : Path
        Written under another name and renamed once it is whole and was checked.
    progress : callable, optional

    Raises
    ------
    OutputError
        Where it cannot be written.
    RecordError, ArchiveError
        Where the machine is not there, or something of it is missing or damaged.
    """
    require_writable(path)
    target = path.resolve()
    part = target.with_name(f".scrapeview-{os.getpid()}.zip.part")
    try:
        with part.open("xb") as file:
            write_zip(record, machine_id, file, progress)
            file.flush()
            os.fsync(file.fileno())
        check_archive(part, progress)
        part.replace(target)
    except OSError as error:
        raise OutputError(f"'{path}' cannot be written: {error.strerror or error}.") from None
    finally:
        part.unlink(missing_ok=True)


def check_archive(source: Path | BinaryIO, progress: Progress | None = None) -> MachineHistory:
    """Check an archive to the last byte; return the machine it holds.

    Raises
    ------
    ArchiveError
        Where it is damaged or hostile, in one sentence.
    """
    with open_archive(source) as archive:
        return _checked(archive, Steps(progress))


def read_archive(
    record: Record, source: Path | BinaryIO, progress: Progress | None = None
) -> Machine:
    """Add the machine of an archive to a record.

    All of it is checked first, then its photographs are stored, then everything else is added in
    one transaction. A machine of the same name stays as it is: this one gets a number behind its
    name.

    Parameters
    ----------
    record : Record
    source : Path or file object
        The zip; a file object must be seekable.
    progress : callable, optional

    Returns
    -------
    Machine

    Raises
    ------
    ArchiveError
        Where it is damaged, hostile, or was restored already; then nothing is changed.
    RecordError
        Where the record or the disk gives out on the way; then the record is as it was.
    """
    with open_archive(source) as archive:
        history = _checked(archive, Steps(progress))
        digest = _digest(archive)
        photographs = _photographs(archive)
        with _as_refusal():
            require_not_restored(record, digest)
        _require_room(record, photographs)
        steps = Steps(progress)
        steps.expect(len(photographs) + sum(len(one.readings) for one in history.prints))
        for member in photographs.values():
            keep_photograph(record, archive.read(member.name))
            steps.step("Storing photographs")

        def reading_of(number: int) -> Reading:
            steps.step("Adding readings")
            return _reading(archive, number)

        sizes_bytes = {sha256: member.size_bytes for sha256, member in photographs.items()}
        return add_history(record, history, reading_of, sizes_bytes, digest)


def _checked(archive: ArchiveReader, steps: Steps) -> MachineHistory:
    """Read all that is in the archive once, and return the machine it holds."""
    history = _history(archive)
    # all but its record, which is read already
    steps.expect(len(archive.members) - 1)
    for member in archive.members.values():
        if member.kind.name == "photograph":
            steps.step("Checking photographs")
            _require_photograph(member, archive.verify(member.name))
        elif member.kind.name == "table":
            steps.step("Checking tables")
            archive.verify(member.name)
    for one in history.prints:
        for number in one.readings:
            steps.step("Checking readings")
            reading = _reading(archive, number)
            if reading.photo_sha256 not in one.read_of:
                raise refusal(f"{_named(number)} is of a photograph that its print does not have")
    return history


def _history(archive: ArchiveReader) -> MachineHistory:
    with _as_refusal():
        history = accepted_history(read_history(archive.read(RECORD)))
    readings = {reading_name(number) for one in history.prints for number in one.readings}
    _require_same(readings, {m.name for m in archive.members.values() if m.kind.name == "reading"})
    told = {each.sha256 for each in history.photographs}
    photographs = _photographs(archive)
    _require_same(told, set(photographs))
    if len(photographs) < sum(m.kind.name == "photograph" for m in archive.members.values()):
        raise refusal("it holds the same photograph twice")
    return history


def _require_same(told: set[str], held: set[str]) -> None:
    for name in sorted(told - held):
        raise refusal(f"{shown(name)} is in its record but missing")
    for name in sorted(held - told):
        raise refusal(f"{shown(name)} is not in its record")


def _photographs(archive: ArchiveReader) -> dict[str, Member]:
    """Return the members that are photographs, by the hash that names them."""
    found = [m for m in archive.members.values() if m.kind.name == "photograph"]
    return {member.name.partition("/")[2].partition(".")[0]: member for member in found}


def _require_photograph(member: Member, head: bytes) -> None:
    name = member.name.partition("/")[2]
    sha256, _, suffix = name.partition(".")
    if sha256 != member.sha256:
        raise refusal(f"{shown(member.name)} is not the photograph its name says")
    if SUFFIXES.get(sniff_format(head) or "") != suffix:
        raise refusal(f"{shown(member.name)} is no photograph of its kind")


def _reading(archive: ArchiveReader, number: int) -> Reading:
    try:
        reading = from_json(archive.read(reading_name(number)).decode("utf-8"))
        require_readable(reading)
    except UnicodeDecodeError:
        raise refusal(f"{_named(number)} is no text") from None
    except (ReadingError, RecordError) as error:
        raise refusal(f"{_named(number)} cannot be understood: {_inner(error)}") from None
    return reading


def _named(number: int) -> str:
    return f"'{reading_name(number)}'"


def _digest(archive: ArchiveReader) -> str:
    """Return what tells this machine's content from any other, however it was packed."""
    told = sorted(
        f"{m.name} {m.sha256}" for m in archive.members.values() if m.kind.name != "table"
    )
    return hashlib.sha256("\n".join(told).encode()).hexdigest()


def _require_room(record: Record, photographs: dict[str, Member]) -> None:
    needed = sum(
        member.size_bytes
        for sha256, member in photographs.items()
        if not record.photo_path(sha256).exists()
    )
    free = shutil.disk_usage(record.home).free
    if needed > free:
        raise refusal(
            f"its photographs need {needed / 1e6:.0f} MB and '{record.home}' has {free / 1e6:.0f} "
            "MB left"
        )


@contextmanager
def _as_refusal() -> Iterator[None]:
    """Turn what the record would not take into the refusal of the archive."""
    try:
        yield
    except RecordError as error:
        raise refusal(_inner(error)) from None


def _inner(error: Exception) -> str:
    """Return a sentence as the end of another one."""
    text = str(error).rstrip(".")
    return text[:1].lower() + text[1:]
