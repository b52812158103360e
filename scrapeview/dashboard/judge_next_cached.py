"""The advice for the next pass and its picture, kept by the reading and the target they are for."""

import hashlib
import json
from io import BytesIO

import streamlit as st

from scrapeview.charts.next_pass_picture import draw_next_pass
from scrapeview.charts.shown import Units
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.judge_cached import FEW, target_key
from scrapeview.dashboard.side_cached import washed_out_for
from scrapeview.judge.next.next_pass import NextPass, next_pass
from scrapeview.judge.verdict.method import METHOD
from scrapeview.record import Record
from scrapeview.targets import Target

QUALITY = 88


def next_for(record: Record, reading_id: int, target: Target, *, done: bool) -> NextPass:
    """Return what to do after the print of a reading.

    Raises
    ------
    RecordError, ReadingError
    """
    return _next(record.place, reading_id, target_key(target), done, METHOD, record, target)


@st.cache_data(max_entries=FEW, show_spinner="Choosing the points to take ...")
def _next(
    place: str,  # noqa: ARG001 the cache keys on it
    reading_id: int,
    asked: str,  # noqa: ARG001
    done: bool,
    method: int,  # noqa: ARG001
    _record: Record,
    _target: Target,
) -> NextPass:
    washed_out = washed_out_for(_record, reading_id)
    return next_pass(reading_of(_record, reading_id), _target, done=done, washed_out=washed_out)


def next_picture(
    record: Record, reading_id: int, target: Target, units: Units, *, done: bool
) -> bytes:
    """Return what to take and to leave, drawn on the face square-on, as a JPEG file.

    Raises
    ------
    RecordError, PhotoError, ReadingError
    """
    asked = target_key(target)
    return _picture(record.place, reading_id, asked, done, units, METHOD, record, target)


@st.cache_data(max_entries=FEW, show_spinner="Drawing the next pass ...")
def _picture(
    place: str,  # noqa: ARG001 the cache keys on it
    reading_id: int,
    asked: str,  # noqa: ARG001
    done: bool,
    units: Units,
    method: int,  # noqa: ARG001
    _record: Record,
    _target: Target,
) -> bytes:
    reading = reading_of(_record, reading_id)
    advice = next_for(_record, reading_id, _target, done=done)
    held = BytesIO()
    drawn = draw_next_pass(reading, _record.photo(reading.photo_sha256), advice, units=units)
    drawn.save(held, "JPEG", quality=QUALITY)
    return held.getvalue()


def next_key(record: Record, reading_id: int) -> str:
    """Return 64 letters that stand for a reading of a record."""
    told = json.dumps(["kept reading", record.place, reading_id])
    return hashlib.sha256(told.encode()).hexdigest()
