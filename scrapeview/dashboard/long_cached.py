"""What a long face takes long to make, kept by the numbers of the readings it is made from.

Readings are never overwritten, so that a number stands for what it gives for good.
"""

from collections.abc import Sequence

import streamlit as st

from scrapeview.charts.long_picture import data_uri, face_picture
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.long_strip import ContactMap
from scrapeview.dashboard.cached import reading_of
from scrapeview.face_in_line import (
    Box,
    contact_map,
    lies_elsewhere,
    line_in,
    placed_print,
    plane_in,
)
from scrapeview.face_stretch import stretch_reading
from scrapeview.judge.inline.estimates import FilmUnit, InLine, PlacedPrint, SharedPlane
from scrapeview.judge.inline.in_line import in_line
from scrapeview.judge.inline.joined import StretchFigures, joined_figures
from scrapeview.judge.inline.shared_plane import share_a_plane
from scrapeview.judge.verdict.method import METHOD
from scrapeview.record import FaceEntry, FacePlan, Record
from scrapeview.result import Reading

FEW, MANY = 12, 48


def joined_of(
    record: Record, face: FaceEntry, stretches: Sequence[Stretch], bounds_mm: Box
) -> tuple[ContactMap, StretchFigures]:
    """Return the contact joined from the stretches of one pass in squares, and its figures.

    Raises
    ------
    RecordError, ReadingError
    """
    plan = face.plan
    outline = repr((plan.width_mm, plan.height_mm, plan.regions_mm, plan.openings_mm))
    return _joined(
        record.place, _told(stretches), outline, bounds_mm, METHOD, record, plan, tuple(stretches)
    )


@st.cache_data(max_entries=MANY, show_spinner="Joining the placements ...")
def _joined(
    place: str,  # noqa: ARG001 the cache keys on it
    told: tuple[tuple[int, str], ...],  # noqa: ARG001
    outline: str,  # noqa: ARG001
    bounds_mm: Box,
    method: int,  # noqa: ARG001
    _record: Record,
    _plan: FacePlan,
    _stretches: tuple[Stretch, ...],
) -> tuple[ContactMap, StretchFigures]:
    found = joined_figures(_prints(_record, _stretches))
    return contact_map(found, _plan, bounds_mm), found.whole


def elsewhere_of(record: Record, stretches: Sequence[Stretch]) -> tuple[int, ...]:
    """Return the numbers of the prints whose readings do not lie where they were told to."""
    return _elsewhere(record.place, _told(stretches), record, tuple(stretches))


@st.cache_data(max_entries=MANY, show_spinner=False)
def _elsewhere(
    place: str,  # noqa: ARG001 the cache keys on it
    told: tuple[tuple[int, str], ...],  # noqa: ARG001
    _record: Record,
    _stretches: tuple[Stretch, ...],
) -> tuple[int, ...]:
    return tuple(
        one.print_id
        for one in _stretches
        if lies_elsewhere(one, reading_of(_record, one.reading_id))
    )


def picture_of_face(record: Record, stretches: Sequence[Stretch], bounds_mm: Box) -> str:
    """Return the face as photographed in one pass, as the address of a picture.

    Raises
    ------
    RecordError, PhotoError, PlaneError, ReadingError
    """
    return _picture(record.place, _ids(stretches), bounds_mm, record)


@st.cache_data(max_entries=FEW, show_spinner="Laying the photographs together ...")
def _picture(
    place: str,  # noqa: ARG001 the cache keys on it
    reading_ids: tuple[int, ...],
    bounds_mm: Box,
    _record: Record,
) -> str:
    readings = [reading_of(_record, each) for each in reading_ids]
    photos = [_record.photo(reading.photo_sha256) for reading in readings]
    return data_uri(face_picture(readings, photos, bounds_mm))


def in_line_of(
    record: Record, stretches: Sequence[Stretch], unit: FilmUnit | None = None
) -> InLine:
    """Return what the stretches of one pass say of the line of the face.

    Raises
    ------
    RecordError, ReadingError
    """
    found = _in_line(record.place, _told(stretches), METHOD, record, tuple(stretches))
    return line_in(found, unit)


@st.cache_data(max_entries=FEW, show_spinner="Comparing the placements ...")
def _in_line(
    place: str,  # noqa: ARG001 the cache keys on it
    told: tuple[tuple[int, str], ...],  # noqa: ARG001
    method: int,  # noqa: ARG001
    _record: Record,
    _stretches: tuple[Stretch, ...],
) -> InLine:
    return in_line(_prints(_record, _stretches))


def _prints(record: Record, stretches: Sequence[Stretch]) -> list[PlacedPrint]:
    return [placed_print(one, reading_of(record, one.reading_id)) for one in stretches]


def shared_plane_of(record: Record, reading_id: int, unit: FilmUnit | None = None) -> SharedPlane:
    """Return whether the two ways of a reading lie in one plane.

    Raises
    ------
    RecordError, ReadingError
    """
    return plane_in(_shared(record.place, reading_id, METHOD, record), unit)


@st.cache_data(max_entries=MANY, show_spinner="Weighing the two ways ...")
def _shared(
    place: str,  # noqa: ARG001 the cache keys on it
    reading_id: int,
    method: int,  # noqa: ARG001
    _record: Record,
) -> SharedPlane:
    return share_a_plane(reading_of(_record, reading_id))


def stretch_of(record: Record, reading_id: int, from_mm: float, to_mm: float) -> Reading:
    """Return a stretch of a reading, with figures of its own.

    Raises
    ------
    RecordError, ReadingError
    """
    return _stretch(record.place, reading_id, from_mm, to_mm, METHOD, record)


@st.cache_data(max_entries=FEW, show_spinner="Looking closer ...")
def _stretch(
    place: str,  # noqa: ARG001 the cache keys on it
    reading_id: int,
    from_mm: float,
    to_mm: float,
    method: int,  # noqa: ARG001
    _record: Record,
) -> Reading:
    return stretch_reading(reading_of(_record, reading_id), from_mm, to_mm)


def _told(stretches: Sequence[Stretch]) -> tuple[tuple[int, str], ...]:
    """What stands for stretches and nothing else: what was read, and where it lies."""
    return tuple((one.reading_id, repr(one.placement)) for one in stretches)


def _ids(stretches: Sequence[Stretch]) -> tuple[int, ...]:
    return tuple(one.reading_id for one in stretches)


def ways_of(record: Record, reading_id: int) -> int:
    """Return how many regions a reading has: two ways of a pair, or one face."""
    return _ways(record.place, reading_id, record)


@st.cache_data(max_entries=5 * MANY, show_spinner=False)
def _ways(place: str, reading_id: int, _record: Record) -> int:  # noqa: ARG001 a key
    return len(reading_of(_record, reading_id).regions_mm)
