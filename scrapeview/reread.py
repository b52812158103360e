"""Reading what is in the record again, with today's method and each face's settings."""

import dataclasses
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from queue import SimpleQueue

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.columns import columns_of, table
from scrapeview.errors import ScrapeviewError
from scrapeview.face_reading import openings_shown, regions_shown
from scrapeview.plane.polygons import polygon_area
from scrapeview.provenance import versions
from scrapeview.record import FaceEntry, FacePlan, Record
from scrapeview.reread_worker import Worker
from scrapeview.result import Reading

Progress = Callable[[int, int, str], None]
"""Called with the prints done, the prints there are, and the face the last one was of."""

READ_AGAIN = "read again"
WOULD_BE_READ = "would be read again"
CHANGED_MEANWHILE = "Another reading was chosen meanwhile: read it again."
_SAME_MM = 1e-3


@dataclass(frozen=True)
class DuePrint:
    """A print in the record with its current reading, as it was looked up."""

    face: FaceEntry
    pass_number: int
    placement: str
    print_id: int
    reading_id: int


def reread(
    record: Record,
    face_ids: Sequence[int],
    *,
    dry_run: bool = False,
    progress: Progress | None = None,
    workers: int | None = None,
) -> pd.DataFrame:
    """Read all prints of faces again that were not read with today's method and settings.

    Every core reads in a process of its own. Each new reading is kept as soon as it is there, so
    that after an interruption starting again goes on where it was broken off.

    Parameters
    ----------
    record : Record
    face_ids : sequence of int
    dry_run : bool
        Read, tell what would move, and keep nothing.
    progress : callable, optional
    workers : int, optional
        Processes; else one a core.

    Returns
    -------
    DataFrame
        Columns of the table "moved", one row a print that was due, in order. One that cannot be
        read is told in its row, and the others go on.

    Raises
    ------
    RecordError
        Where a face is not there or the record does not answer.
    """
    due = [each for face_id in face_ids for each in _due_prints(record, record.face(face_id))]
    rows: dict[int, dict[str, object]] = {}
    with _workers(min(workers or _cores(), max(1, len(due)))) as ask:
        for done, (each, row) in enumerate(_read_all(record, due, ask, dry_run), start=1):
            if row:
                rows[each.print_id] = row
            if progress is not None:
                progress(done, len(due), each.face.title)
    listed = [rows[each.print_id] for each in due if each.print_id in rows]
    names = [column.name for column in columns_of("moved")]
    return table("moved", {name: [row[name] for row in listed] for name in names})


def is_as_asked(plan: FacePlan, reading: Reading) -> bool:
    """Return whether a reading was made with today's method, and as its face asks now.

    Raises
    ------
    FaceError
        Where the face has no region any more in the stretch that was read.
    """
    picks = {
        name: getattr(reading.settings, name) for name in ("marking_picks_px", "metal_picks_px")
    }
    if reading.versions != versions() or plan.marking not in ("auto", reading.marking):
        return False
    if reading.settings != dataclasses.replace(plan.settings, **picks):
        return False
    regions = regions_shown(plan, reading.plane) or reading.plane.outline_mm()
    if regions is not None and not _same_shapes(regions, reading.regions_mm):
        return False
    return _same_shapes(openings_shown(plan, reading.plane), reading.openings_mm)


def _due_prints(record: Record, face: FaceEntry) -> list[DuePrint]:
    numbers = {each.pass_id: each.number for each in record.passes(face.face_id)}
    return [
        DuePrint(
            face, numbers[one.pass_id], one.placement, one.print_id, one.current_reading_id
        )
        for one in record.prints(face.face_id)
    ]  # fmt: skip


def _read_all(
    record: Record,
    due: Iterable[DuePrint],
    ask: Callable[[FacePlan, bytes, Reading], "Future[Reading]"],
    dry_run: bool,
) -> Iterator[tuple[DuePrint, dict[str, object]]]:
    """Yield each print with its row as it is done; no row where it was read so already."""
    at_work: dict[Future[Reading], tuple[DuePrint, Reading]] = {}
    for each in due:
        try:
            before = record.reading(each.reading_id)
            if is_as_asked(each.face.plan, before):
                yield each, {}
                continue
            photo = record.photo(before.photo_sha256)
        except ScrapeviewError as error:
            yield each, _row(each, None, None, str(error))
            continue
        at_work[ask(each.face.plan, photo, before)] = (each, before)
        # photographs are held only for prints that are being read
        while len(at_work) >= 2 * _cores():
            yield from _finished(record, at_work, dry_run)
    while at_work:
        yield from _finished(record, at_work, dry_run)


def _finished(
    record: Record, at_work: dict["Future[Reading]", tuple[DuePrint, Reading]], dry_run: bool
) -> Iterator[tuple[DuePrint, dict[str, object]]]:
    done, _ = wait(at_work, return_when=FIRST_COMPLETED)
    for future in done:
        each, before = at_work.pop(future)
        try:
            after = future.result()
            outcome = WOULD_BE_READ if dry_run else _kept(record, each, after)
        except ScrapeviewError as error:
            yield each, _row(each, before, None, str(error))
        else:
            yield each, _row(each, before, after, outcome)


def _kept(record: Record, each: DuePrint, reading: Reading) -> str:
    # a correction that was made by hand meanwhile must not be put behind
    if record.print_entry(each.print_id).current_reading_id != each.reading_id:
        return CHANGED_MEANWHILE
    why = f"read again with scrapeview {reading.versions['scrapeview']}"
    record.add_reading(each.print_id, reading, why)
    return READ_AGAIN


def _row(
    each: DuePrint, before: Reading | None, after: Reading | None, outcome: str
) -> dict[str, object]:
    row: dict[str, object] = {
        "face": each.face.title, "pass": each.pass_number, "placement": each.placement,
        "outcome": " ".join(outcome.split()),
    }  # fmt: skip
    for when, reading in (("before", before), ("after", after)):
        row |= {
            f"{when}_contact_percent": np.nan if reading is None else reading.contact_percent,
            f"{when}_points_per_square_inch": (
                np.nan if reading is None else reading.points_per_square_inch
            ),
            f"{when}_points": 0 if reading is None else len(reading.points),
        }
    return row


@contextmanager
def _workers(count: int) -> Iterator[Callable[[FacePlan, bytes, Reading], "Future[Reading]"]]:
    """Give what has a photograph read by the next process that is free."""
    every = [Worker() for _ in range(count)]
    free: SimpleQueue[Worker] = SimpleQueue()
    for worker in every:
        free.put(worker)

    def read(plan: FacePlan, photo: bytes, reading: Reading) -> Reading:
        worker = free.get()
        try:
            return worker.reread((plan, photo, reading))
        finally:
            free.put(worker)

    pool = ThreadPoolExecutor(count, thread_name_prefix="reread")
    try:
        yield lambda *job: pool.submit(read, *job)
    finally:
        # what is waiting is dropped and what is being read is broken off
        pool.shutdown(wait=False, cancel_futures=True)
        for worker in every:
            worker.close()
        pool.shutdown()


def _cores() -> int:
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:
        return os.cpu_count() or 1


def _same_shapes(asked: Sequence[NDArray[np.float64]], read: Sequence[NDArray[np.float64]]) -> bool:
    """Return whether polygons are the same, however many corners they were drawn with."""
    if len(asked) != len(read):
        return False
    return all(
        np.allclose(_extent(np.asarray(one)), _extent(other), atol=_SAME_MM, rtol=0)
        for one, other in zip(asked, read, strict=True)
    )


def _extent(polygon: NDArray[np.float64]) -> list[float]:
    size_mm = abs(polygon_area(polygon)) ** 0.5
    return [*polygon.min(axis=0), *polygon.max(axis=0), size_mm]
