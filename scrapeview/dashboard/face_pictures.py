"""The pictures of a kept print, drawn once a reading: readings are never overwritten."""

from io import BytesIO

import streamlit as st
from PIL import Image

from scrapeview.charts import draw_overlay, picture_of
from scrapeview.charts.shown import Units
from scrapeview.record import Record
from scrapeview.result import Reading

MOST_KEPT = 48
QUALITY = 88
WIDTH_PX = 1400
"""Wider pictures Streamlit would draw smaller at every showing."""


def overlay_of(record: Record, reading_id: int, reading: Reading, units: Units) -> bytes:
    """Return the face seen square-on with what a reading found drawn on it, as a JPEG file.

    Raises
    ------
    RecordError
        Where its photograph is missing.
    """
    return _overlay(record.place, reading_id, units, record, reading)


def bare_picture_of(record: Record, reading_id: int, reading: Reading) -> bytes:
    """Return the face seen square-on as photographed, as a JPEG file.

    Raises
    ------
    RecordError
        Where its photograph is missing.
    """
    return _bare(record.place, reading_id, record, reading)


@st.cache_data(max_entries=MOST_KEPT, show_spinner="Drawing the print ...")
def _overlay(
    place: str,  # noqa: ARG001 the cache keys on it
    reading_id: int,  # noqa: ARG001
    units: Units,
    _record: Record,
    _reading: Reading,
) -> bytes:
    photo = _record.photo(_reading.photo_sha256)
    return _jpeg(draw_overlay(_reading, photo, width_px=WIDTH_PX, units=units))


@st.cache_data(max_entries=MOST_KEPT, show_spinner="Drawing the print ...")
def _bare(place: str, reading_id: int, _record: Record, _reading: Reading) -> bytes:  # noqa: ARG001
    photo = _record.photo(_reading.photo_sha256)
    return _jpeg(Image.fromarray(picture_of(_reading, photo).rgb))


def _jpeg(picture: Image.Image) -> bytes:
    held = BytesIO()
    picture.save(held, "JPEG", quality=QUALITY)
    return held.getvalue()
