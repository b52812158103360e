"""What a print being read needs and takes long to make, kept by the photograph's SHA-256.

Streamlit hashes only a sample of large arrays, so nothing here is keyed on pixels.
"""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import streamlit as st
from numpy.typing import NDArray

from scrapeview import __version__
from scrapeview.charts.layers_data import layered
from scrapeview.charts.picture import face_of, picture_of
from scrapeview.charts.shown import Units
from scrapeview.corrections import Correction
from scrapeview.dashboard.picture import Picture
from scrapeview.errors import PhotoError
from scrapeview.export import overlay_bytes
from scrapeview.face_reading import read_for_face
from scrapeview.photo import Photo, load_photo
from scrapeview.photo.header import open_picture, sniff_format
from scrapeview.plane import Plane, View
from scrapeview.plane.follow import Followed, follow_corners
from scrapeview.record import FacePlan
from scrapeview.result import Reading
from scrapeview.settings import Picks

PREVIEW_PX = 2000
"""Longer side of the photograph that is shown to pick on."""
LONG = 2.0
LONG_PREVIEW_PX = 6000
"""Pictures of long faces, whose sides differ by more, are shown with as many pixels in all."""
SQUARE_ON_PX = 1600
"""Longer side of the face shown square-on, within the scales below."""
SQUARE_ON_PX_PER_MM = (3.0, 8.0)
QUALITY = 86
MOST_KEPT = 16
MOST_VIEWS = 6
"""A view has some 8 MB; a bench corrects one print at a time."""


@dataclass(frozen=True)
class Preview:
    """A photograph small enough to send.

    Attributes
    ----------
    picture : Picture
    scale : (float, float)
        Full-size pixels per pixel of the picture, across and down.
    full_size_px : (int, int)
        Width and height of the photograph.
    taken_at : str or None
    notes : tuple of str
        What was changed on the way in.
    """

    picture: Picture
    scale: tuple[float, float]
    full_size_px: tuple[int, int]
    taken_at: str | None
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Asked:
    """What is asked of one reading: the photograph, how it lies, and all that a person said.

    Attributes
    ----------
    sha256 : str
        Of the photograph.
    plan : FacePlan
    plane : Plane
    corrections : tuple of Correction
    marking_px, metal_px : tuple of (x, y)
        Sample picks; they count once there are some of both.
    """

    sha256: str
    plan: FacePlan
    plane: Plane
    corrections: tuple[Correction, ...] = ()
    marking_px: Picks = ()
    metal_px: Picks = ()

    @property
    def key(self) -> str:
        """64 letters that stand for the reading and nothing else."""
        both = bool(self.marking_px) and bool(self.metal_px)
        plan = self.plan
        told = (
            __version__, self.sha256, self.plane.as_dict(),
            plan.marking, plan.regions_mm, plan.openings_mm, plan.settings.as_dict(),
            [(c.kind, c.places_mm, c.diameter_mm) for c in self.corrections],
            (self.marking_px, self.metal_px) if both else (),
        )  # fmt: skip
        return hashlib.sha256(json.dumps(told).encode()).hexdigest()

    def read(self, photo: bytes) -> Reading:
        """Read the photograph."""
        both = bool(self.marking_px) and bool(self.metal_px)
        return read_for_face(
            self.plan, photo, self.plane, corrections=self.corrections,
            marking_picks_px=self.marking_px if both else (),
            metal_picks_px=self.metal_px if both else (),
        )  # fmt: skip


def reading_asked(asked: Asked, photo: bytes) -> Reading:
    """Return the reading that is asked for, made once.

    Raises
    ------
    PhotoError, PlaneError, FaceError, SettingsError, CorrectionError
    """
    return _reading(asked.key, asked, photo)


@st.cache_data(max_entries=3 * MOST_KEPT, show_spinner=False)
def _reading(key: str, _asked: Asked, _photo: bytes) -> Reading:  # noqa: ARG001 a key
    return _asked.read(_photo)


@st.cache_data(max_entries=MOST_KEPT, show_spinner=False)
def preview_of(sha256: str, _photo: bytes) -> Preview:
    """Return a photograph as it is shown to pick on, by its SHA-256.

    Raises
    ------
    PhotoError
    """
    photo = small_photo(_photo)
    height, width = photo.rgb.shape[:2]
    shrunk = min(1.0, preview_side_px(width, height) / max(width, height))
    size = max(1, round(width * shrunk)), max(1, round(height * shrunk))
    rgb = photo.rgb
    if shrunk < 1:
        rgb = np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), np.uint8)
    # a picture decoded small rounds its size up, so the scale is that of its pixels
    scale = photo.reduction * width / size[0], photo.reduction * height / size[1]
    picture = Picture(sha256, jpeg_of(rgb))
    return Preview(picture, scale, photo.full_size_px, photo.taken_at, photo.notes)


def preview_side_px(width: int, height: int) -> float:
    """Return the longer side of the preview of a photograph of these sides."""
    ratio = max(width, height) / min(width, height)
    if ratio <= LONG:
        return PREVIEW_PX
    return float(min(LONG_PREVIEW_PX, PREVIEW_PX * (ratio * 0.75) ** 0.5))


def small_photo(photo: bytes) -> Photo:
    """Return a photograph decoded no finer than a preview needs.

    Raises
    ------
    PhotoError
    """
    kind = sniff_format(photo)
    if kind != "JPEG":
        return load_photo(photo)
    size = open_picture(photo, kind, "The photograph").size
    longest = max(size)
    fitting = [k for k in (8, 4, 2) if longest / k >= preview_side_px(*size)]
    return load_photo(photo, reduction=fitting[0] if fitting else 1)


def jpeg_of(rgb: NDArray[np.uint8]) -> bytes:
    """Return pixels (h, w, 3) as a JPEG file."""
    done, coded = cv2.imencode(".jpg", rgb[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    if not done:
        raise PhotoError("The picture cannot be drawn: it is too long for a JPEG file.")
    return bytes(coded)


def square_on(reading: Reading, photo: bytes) -> tuple[Picture, View]:
    """Return the face of a reading seen square-on, as a picture to send and as pixels."""
    told = reading.photo_sha256, reading.plane.as_dict(), face_of(reading).bounds_mm
    key = hashlib.sha256(json.dumps(told).encode()).hexdigest()
    return _square_on(key, reading, photo)


@st.cache_data(max_entries=MOST_VIEWS, show_spinner=False)
def _square_on(key: str, _reading: Reading, _photo: bytes) -> tuple[Picture, View]:
    x0, y0, x1, y1 = face_of(_reading).bounds_mm
    least, most = SQUARE_ON_PX_PER_MM
    scale = min(most, max(least, SQUARE_ON_PX / max(x1 - x0, y1 - y0)))
    view = picture_of(_reading, _photo, px_per_mm=scale)
    return Picture(key, jpeg_of(view.rgb)), view


@st.cache_data(max_entries=MOST_KEPT, show_spinner=False)
def layers_asked(
    key: str,  # noqa: ARG001 the cache keys on it
    units: Units,
    _reading: Reading,
    _view: View,
) -> dict[str, Any]:
    """Return the layers of the reading a key stands for."""
    return layered(_reading, _view, units)


@st.cache_data(max_entries=4, show_spinner=False)
def overlay_asked(key: str, units: Units, _reading: Reading, _photo: bytes) -> bytes:  # noqa: ARG001
    """Return the overlay of the reading a key stands for as a JPEG file."""
    return overlay_bytes(_reading, _photo, ".jpg", units)


def followed(
    before: tuple[str, bytes], now: tuple[str, bytes], picks_px: Sequence[Sequence[float]]
) -> Followed | None:
    """Return picks of an earlier photograph found again in another, by their SHA-256.

    Parameters
    ----------
    before, now : (str, bytes)
        SHA-256 and file of each photograph.
    picks_px : sequence of (x, y)
        In the earlier one.
    """
    picks = tuple((float(x), float(y)) for x, y in picks_px)
    return _followed(before[0], now[0], picks, before[1], now[1])


@st.cache_data(max_entries=MOST_KEPT, show_spinner=False)
def _followed(
    before_sha256: str,  # noqa: ARG001 the cache keys on it
    now_sha256: str,  # noqa: ARG001
    picks_px: Picks,
    _before: bytes,
    _now: bytes,
) -> Followed | None:
    return follow_corners(small_photo(_before), small_photo(_now), picks_px)
