"""What goes into the archive of a machine, member by member."""

import contextlib
import zipfile
from typing import BinaryIO, cast

import numpy as np

from scrapeview.archive_members import RECORD, photograph_name, reading_name
from scrapeview.archive_record import history_json
from scrapeview.archive_steps import Progress, Steps
from scrapeview.archive_tables import TableFiles
from scrapeview.archive_writer import ArchiveWriter
from scrapeview.errors import ArchiveError
from scrapeview.photo.header import sniff_format
from scrapeview.provenance import now_utc, versions
from scrapeview.reading_json import to_json
from scrapeview.record import Record
from scrapeview.record.histories import MachineHistory, PrintHistory
from scrapeview.record.history_out import machine_history
from scrapeview.record.photographs import sha256_of


def write_zip(
    record: Record, machine_id: int, file: BinaryIO, progress: Progress | None = None
) -> None:
    """Write the archive of a machine into an open, seekable file.

    Parameters
    ----------
    record : Record
    machine_id : int
    file : file object
        Open for writing bytes.
    progress : callable, optional

    Raises
    ------
    RecordError, ArchiveError
        Where the machine is not there, or something of it is missing or damaged.
    """
    history, reading_ids = machine_history(record, machine_id)
    with zipfile.ZipFile(file, "w") as packed, contextlib.closing(TableFiles()) as tables:
        writer = ArchiveWriter(packed, Steps(progress))
        writer.steps.expect(len(history.photographs) + len(reading_ids))
        writer.add(RECORD, history_json(history))
        _add_photographs(writer, record, history)
        for part in history.parts:
            for face in part.faces:
                place = part.name, face.plan.name
                for one in (each for entry in face.passes for each in entry.prints):
                    _add_readings(writer, tables, record, reading_ids, place, one)
        _add_passes(tables, record, machine_id, reading_ids)
        for name, table in tables.files.items():
            writer.add_file(f"tables/{name}.csv", cast(BinaryIO, table))
        writer.finish(versions()["scrapeview"], now_utc(), history.name)


def _add_photographs(writer: ArchiveWriter, record: Record, history: MachineHistory) -> None:
    for each in history.photographs:
        photo = record.photo(each.sha256)
        kind = sniff_format(photo)
        if kind is None or sha256_of(photo) != each.sha256:
            raise ArchiveError(
                f"The photograph '{each.name}' ({each.sha256[:12]}) is damaged in the record: see "
                "'scrapeview check'. No archive was written."
            )
        writer.add(photograph_name(each.sha256, kind), photo)
        writer.steps.step("Packing photographs")


def _add_readings(
    writer: ArchiveWriter,
    tables: TableFiles,
    record: Record,
    reading_ids: tuple[int, ...],
    place: tuple[str, str],
    one: PrintHistory,
) -> None:
    """Add all readings of a print; points and cells of the current one go into the tables."""
    for number in one.readings:
        reading = record.reading(reading_ids[number - 1])
        writer.add(reading_name(number), to_json(reading).encode())
        writer.steps.step("Packing readings")
        if number == one.choices[-1].reading:
            tables.add("points", reading.points, *place, number)
            tables.add("cells", reading.cells, *place, number)


def _add_passes(
    tables: TableFiles, record: Record, machine_id: int, reading_ids: tuple[int, ...]
) -> None:
    numbers = {reading_id: number for number, reading_id in enumerate(reading_ids, start=1)}
    for face in record.faces():
        if face.machine.machine_id == machine_id:
            progress = record.progress(face.face_id)
            # the record's own numbers mean nothing on another computer
            progress["reading_id"] = progress["reading_id"].map(numbers).astype("int64")
            progress["print_id"] = np.arange(1, len(progress) + 1, dtype="int64")
            tables.add("passes", progress, face.part.name, face.plan.name)
