"""Tables of the whole record: where faces stand, all passes, all points, all cells."""

from collections.abc import Callable, Iterator
from typing import Literal, get_args

import pandas as pd

from scrapeview.columns import table
from scrapeview.record import FaceEntry, Record

What = Literal["faces", "passes", "points", "cells"]
WHATS: tuple[What, ...] = get_args(What)
Progress = Callable[[int, int, str], None]


def record_table(record: Record, what: What, progress: Progress | None = None) -> pd.DataFrame:
    """Return one table of everything in the record.

    Parameters
    ----------
    record : Record
    what : {"faces", "passes", "points", "cells"}
        faces: one row a face with its last figures. passes: one row a print. points, cells: those
        of every print's current reading, with the pass they belong to.
    progress : callable, optional
        Called with the faces done, the faces there are, and the face's name.

    Returns
    -------
    DataFrame
        Columns machine, part, face first, then those of `COLUMNS`.

    Raises
    ------
    RecordError
    """
    if what == "faces":
        return record.shop().drop(columns=["trend_contact_percent", "trend_ppsi"])
    faces = record.faces()
    frames = []
    for done, face in enumerate(faces):
        if progress is not None:
            progress(done, len(faces), face.title)
        frames += [_named(frame, face) for frame in _frames_of(record, face, what)]
    return pd.concat(frames, ignore_index=True) if frames else table(what)


def _frames_of(record: Record, face: FaceEntry, what: What) -> Iterator[pd.DataFrame]:
    if what == "passes":
        yield record.progress(face.face_id)
        return
    numbers = {entry.pass_id: entry.number for entry in record.passes(face.face_id)}
    for printed in record.prints(face.face_id):
        reading = record.reading(printed.current_reading_id)
        frame = (reading.points if what == "points" else reading.cells).copy()
        frame.insert(0, "pass_number", numbers[printed.pass_id])
        frame.insert(1, "placement", printed.placement)
        yield frame


def _named(frame: pd.DataFrame, face: FaceEntry) -> pd.DataFrame:
    frame = frame.copy()
    for at, (name, value) in enumerate(
        (("machine", face.machine.name), ("part", face.part.name), ("face", face.plan.name))
    ):
        frame.insert(at, name, value)
    return frame
