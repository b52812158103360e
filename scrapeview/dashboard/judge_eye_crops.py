"""Squares of a print as they are to be counted: the photograph alone, enlarged, and its frame."""

import dataclasses
import json
from collections.abc import Sequence

import cv2
import numpy as np
import streamlit as st
from numpy.typing import NDArray

from scrapeview.bearing import Square
from scrapeview.charts.picture import photo_of
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.cached_prints import jpeg_of
from scrapeview.plane import view_square_on
from scrapeview.record import Record

WIDTH_PX = 900
AROUND_MM = 4.0
"""Shown round a square, so that a mark its frame cuts is seen whole."""
DARKENED = 0.35
FINEST_PX_PER_MM = 30.0
MOST_KEPT = 24


def crops_of(record: Record, reading_id: int, squares: Sequence[Square]) -> tuple[bytes, ...]:
    """Return a picture of each square of a reading, as JPEG files.

    Raises
    ------
    RecordError, PhotoError, PlaneError, ReadingError
    """
    key = json.dumps([dataclasses.astuple(square)[:3] for square in squares])
    return _crops(record.place, reading_id, key, record, tuple(squares))


@st.cache_data(max_entries=MOST_KEPT, show_spinner="Cutting the squares out ...")
def _crops(
    place: str,  # noqa: ARG001 the cache keys on it
    reading_id: int,
    key: str,  # noqa: ARG001
    _record: Record,
    _squares: tuple[Square, ...],
) -> tuple[bytes, ...]:
    reading = reading_of(_record, reading_id)
    photo = photo_of(reading, _record.photo(reading.photo_sha256), FINEST_PX_PER_MM)
    crops = []
    for square in _squares:
        right, low = square.x_mm + square.side_mm, square.y_mm + square.side_mm
        view = view_square_on(
            photo, reading.plane, (square.x_mm, square.y_mm, right, low),
            px_per_mm=FINEST_PX_PER_MM, margin_mm=AROUND_MM,
        )  # fmt: skip
        crops.append(jpeg_of(framed(view.rgb, view.px_per_mm, view.origin_mm, square)))
    return tuple(crops)


def framed(
    rgb: NDArray[np.uint8], px_per_mm: float, origin_mm: tuple[float, float], square: Square
) -> NDArray[np.uint8]:
    """Return the view of a square enlarged, with its frame and what lies outside darkened.

    Parameters
    ----------
    rgb : (h, w, 3) uint8
    px_per_mm : float
    origin_mm : (x, y)
        Face point of pixel (0, 0)'s centre.
    square : Square
    """
    enlarged = WIDTH_PX / rgb.shape[1]
    way = cv2.INTER_CUBIC if enlarged > 1 else cv2.INTER_AREA
    size = WIDTH_PX, max(1, round(rgb.shape[0] * enlarged))
    drawn = np.asarray(cv2.resize(rgb, size, interpolation=way), dtype=np.uint8)
    scale = px_per_mm * enlarged
    left, top = (
        round((start - at) * scale + 0.5 * enlarged)
        for start, at in zip((square.x_mm, square.y_mm), origin_mm, strict=True)
    )
    long = round(square.side_mm * scale)
    inside = np.zeros(drawn.shape[:2], dtype=bool)
    inside[max(0, top) : top + long, max(0, left) : left + long] = True
    drawn[~inside] = np.round(drawn[~inside] * DARKENED).astype(np.uint8)
    corners = (left - 2, top - 2), (left + long + 1, top + long + 1)
    cv2.rectangle(drawn, *corners, (255, 255, 255), 3)
    return drawn
