"""What comparing prints takes long to make, kept by the numbers of the readings it is made from.

Readings are never overwritten, so that a number stands for what it gives for good.
"""

import hashlib
import itertools
import json

import streamlit as st
from numpy.typing import NDArray

from scrapeview.charts.compare_pictures import Place, picture_at, washed_out_of
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.cached_prints import jpeg_of
from scrapeview.judge import (
    NO_SHIFT,
    Comparison,
    FaceGrid,
    LaidPrint,
    OverPasses,
    Shift,
    compare_prints,
    grid_for,
    lay,
    merged,
    over_passes,
    shift_between,
    shifts_to_last,
)
from scrapeview.record import Record

FEW, MANY = 12, 240
Passes = tuple[tuple[int, ...], ...]
"""Numbers of the readings of each pass, one a placement."""


def comparison_of(record: Record, before: int, after: int) -> Comparison:
    """Return two readings of the record compared.

    Raises
    ------
    RecordError, PhotoError, ReadingError
    """
    return _comparison(record.place, before, after, record)


@st.cache_data(max_entries=FEW, show_spinner="Comparing the prints ...")
def _comparison(place: str, before: int, after: int, _record: Record) -> Comparison:  # noqa: ARG001
    washed_out = washed_out_for(_record, before), washed_out_for(_record, after)
    return compare_prints(
        reading_of(_record, before), reading_of(_record, after),
        washed_out=washed_out, shift=shift_of(_record, before, after),
    )  # fmt: skip


def shift_of(record: Record, before: int, after: int) -> Shift:
    """Return how far a later reading lies off an earlier one."""
    return _shift(record.place, before, after, record)


@st.cache_data(max_entries=MANY, show_spinner=False)
def _shift(place: str, before: int, after: int, _record: Record) -> Shift:  # noqa: ARG001 a key
    washed_out = washed_out_for(_record, before), washed_out_for(_record, after)
    readings = reading_of(_record, before), reading_of(_record, after)
    return shift_between(*readings, washed_out=washed_out)


def washed_out_for(record: Record, reading_id: int) -> NDArray | None:
    """Return what glare took of a reading, on its own mask; None where it took nothing.

    Raises
    ------
    RecordError, PhotoError, ReadingError
    """
    return _emptied(record.place, reading_id, record)


@st.cache_data(max_entries=5 * FEW, show_spinner=False)
def _emptied(place: str, reading_id: int, _record: Record) -> NDArray | None:  # noqa: ARG001 a key
    reading = reading_of(_record, reading_id)
    if reading.washed_out_percent == 0:
        return None
    return washed_out_of(reading, _record.photo(reading.photo_sha256))


def picture_key(
    record: Record, reading_id: int, place: Place, shift_mm: tuple[float, float], levelled: bool
) -> str:
    """Return 64 letters that stand for a picture and nothing else."""
    told = record.place, reading_id, place.bounds_mm, place.px_per_mm, shift_mm, levelled
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()


def picture_for(
    record: Record, reading_id: int, place: Place, shift_mm: tuple[float, float], levelled: bool
) -> bytes:
    """Return a print square-on at a place, as a JPEG file.

    Raises
    ------
    RecordError, PhotoError, ReadingError
    """
    key = picture_key(record, reading_id, place, shift_mm, levelled)
    return _jpeg(key, record, reading_id, place, shift_mm, levelled)


@st.cache_data(max_entries=2 * FEW, show_spinner=False)
def _jpeg(
    key: str,
    _record: Record,
    _reading_id: int,
    _place: Place,
    _shift_mm: tuple[float, float],
    _levelled: bool,
) -> bytes:
    return jpeg_of(_pixels(key, _record, _reading_id, _place, _shift_mm, _levelled))


def pixels_for(
    record: Record, reading_id: int, place: Place, shift_mm: tuple[float, float], levelled: bool
) -> NDArray:
    """Return a print square-on at a place, as pixels (h, w, 3)."""
    key = picture_key(record, reading_id, place, shift_mm, levelled)
    return _pixels(key, record, reading_id, place, shift_mm, levelled)


@st.cache_data(max_entries=FEW, show_spinner="Drawing the prints ...")
def _pixels(
    key: str,  # noqa: ARG001 the cache keys on it
    _record: Record,
    _reading_id: int,
    _place: Place,
    _shift_mm: tuple[float, float],
    _levelled: bool,
) -> NDArray:
    reading = reading_of(_record, _reading_id)
    photo = _record.photo(reading.photo_sha256)
    return picture_at(reading, photo, _place, shift_mm=_shift_mm, levelled=_levelled)


def over_of(
    record: Record, passes: Passes, least_marked_mm: float, least_bare_mm: float
) -> OverPasses:
    """Return what several passes have in common.

    Parameters
    ----------
    record : Record
    passes : tuple of tuples of int
    least_marked_mm, least_bare_mm : float
    """
    return _over(record.place, passes, least_marked_mm, least_bare_mm, record)


@st.cache_data(max_entries=FEW, show_spinner="Laying the passes over each other ...")
def _over(
    place: str,  # noqa: ARG001 the cache keys on it
    passes: Passes,
    least_marked_mm: float,
    least_bare_mm: float,
    _record: Record,
) -> OverPasses:
    off = shifts_of(_record, passes)
    grid = grid_for([reading_of(_record, i) for reading_ids in passes for i in reading_ids])
    prints = [
        merged([_laid(_record, reading_id, grid, moved) for reading_id in reading_ids])
        for reading_ids, moved in zip(passes, off, strict=True)
    ]
    return over_passes(prints, least_marked_mm=least_marked_mm, least_bare_mm=least_bare_mm)


def shifts_of(record: Record, passes: Passes) -> tuple[tuple[float, float], ...]:
    """Return by how much each pass lies off the last, mm; passes of several placements are not
    moved."""
    steps = [
        shift_of(record, one[0], two[0]) if len(one) == len(two) == 1 else NO_SHIFT
        for one, two in itertools.pairwise(passes)
    ]
    return shifts_to_last(steps)


def _laid(
    record: Record, reading_id: int, grid: FaceGrid, shift_mm: tuple[float, float]
) -> LaidPrint:
    reading = reading_of(record, reading_id)
    return lay(reading, grid, washed_out=washed_out_for(record, reading_id), shift_mm=shift_mm)
