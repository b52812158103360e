"""Tables of the whole record: where faces stand, all passes, points, cells, counts and checks."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any, Literal, get_args

import pandas as pd

from scrapeview.columns import columns_of, table
from scrapeview.record import FaceEntry, Record

What = Literal[
    "faces", "passes", "points", "cells", "eye_counts", "swing_tests", "film_calibrations",
    "line_checks",
]  # fmt: skip
WHATS: tuple[What, ...] = get_args(What)
Progress = Callable[[int, int, str], None]


def record_table(record: Record, what: What, progress: Progress | None = None) -> pd.DataFrame:
    """Return one table of everything in the record.

    Parameters
    ----------
    record : Record
    what : str
        One of `WHATS`. faces: one row a face with its last figures. passes: one row a print.
        points, cells: those of every print's current reading, with the pass they belong to.
        eye_counts: one row a square that was counted by eye. swing_tests, film_calibrations,
        line_checks: one row each time something was tested, calibrated or checked.
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
    if what == "swing_tests":
        yield _rows(what, record.swing_tests(face.face_id))
        return
    if what == "film_calibrations":
        films = record.film_calibrations(face.face_id)
        yield _rows(what, films, pass_number=[film.pass_number or 0 for film in films])
        return
    if what == "line_checks":
        yield _rows(what, record.line_checks(face.face_id))
        return
    numbers = {entry.pass_id: entry.number for entry in record.passes(face.face_id)}
    if what == "eye_counts":
        yield _eye_counts(record, face.face_id, numbers)
        return
    for printed in record.prints(face.face_id):
        reading = record.reading(printed.current_reading_id)
        frame = (reading.points if what == "points" else reading.cells).copy()
        frame.insert(0, "pass_number", numbers[printed.pass_id])
        frame.insert(1, "placement", printed.placement)
        yield frame


def _eye_counts(record: Record, face_id: int, numbers: dict[int, int]) -> pd.DataFrame:
    prints = {printed.print_id: printed for printed in record.prints(face_id)}
    counts = record.eye_counts(face_id)
    of_counts = [prints[count.print_id] for count in counts]
    return _rows(
        "eye_counts",
        counts,
        pass_number=[numbers[printed.pass_id] for printed in of_counts],
        placement=[printed.placement for printed in of_counts],
    )


def _rows(what: What, entries: Sequence[object], **others: list[Any]) -> pd.DataFrame:
    """Return the table of entries whose fields are called as its columns are."""
    names = [column.name for column in columns_of(what) if column.name not in others]
    fields: dict[str, object] = {name: [getattr(e, name) for e in entries] for name in names}
    return table(what, fields | others)


def _named(frame: pd.DataFrame, face: FaceEntry) -> pd.DataFrame:
    frame = frame.copy()
    for at, (name, value) in enumerate(
        (("machine", face.machine.name), ("part", face.part.name), ("face", face.plan.name))
    ):
        frame.insert(at, name, value)
    return frame
