"""The picture behind a reading: the photograph seen square-on again, where the reading saw it."""

import os

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import ReadingError
from scrapeview.photo import Photo, load_photo
from scrapeview.plane import Face, View, view_square_on
from scrapeview.result import Reading

PhotoSource = str | os.PathLike[str] | bytes | NDArray[np.uint8]


def face_of(reading: Reading) -> Face:
    """Return the face as it was read; region areas as in the reading's table."""
    areas = tuple(float(a) for a in reading.regions["area_mm2"])
    return Face(reading.regions_mm, reading.openings_mm, areas, left_out_mm=reading.left_out_mm)


def photo_of(reading: Reading, photo: PhotoSource | Photo, px_per_mm: float) -> Photo:
    """Load a reading's photograph, decoded no finer than `px_per_mm` needs.

    Parameters
    ----------
    reading : Reading
    photo : path, bytes, (H, W, 3) uint8 array or Photo
        The photograph that was read.
    px_per_mm : float
        Scale that is needed all over the face.

    Raises
    ------
    PhotoError
        Where it cannot be loaded.
    ReadingError
        Where it is another photograph than the one that was read.
    """
    if not isinstance(photo, Photo):
        reduction = reading.plane.reduction_for(px_per_mm, face_of(reading).bounds_mm)
        photo = load_photo(photo, reduction=reduction)
    if photo.sha256 != reading.photo_sha256:
        raise ReadingError(
            "This is not the photograph the reading was made from: give that one, or read this one."
        )
    return photo


def picture_of(
    reading: Reading, photo: PhotoSource | Photo, *, px_per_mm: float | None = None
) -> View:
    """Return the face seen square-on, from the photograph it was read from.

    Parameters
    ----------
    reading : Reading
    photo : path, bytes, (H, W, 3) uint8 array or Photo
        The photograph that was read.
    px_per_mm : float, optional
        Scale wished for, never finer than the photo holds. Without it the reading's own, and every
        pixel is the one of `contact_mask` at the same place.

    Returns
    -------
    View

    Raises
    ------
    PhotoError, PlaneError
        Where the photograph cannot be loaded or seen.
    ReadingError
        Where it is another photograph than the one that was read.
    """
    if px_per_mm is None:
        # the scale that was asked for, since it decided at which size the photo was decoded
        asked = reading.settings.view_px_per_mm
        view = _seen(reading, photo_of(reading, photo, asked), asked)
        if view.valid.shape != reading.contact_mask.shape:
            raise ReadingError(
                "The view of this reading is not what this version makes: read the photo again."
            )
        return view
    return _seen(reading, photo_of(reading, photo, px_per_mm), px_per_mm)


def _seen(reading: Reading, photo: Photo, px_per_mm: float) -> View:
    return view_square_on(
        photo, reading.plane, face_of(reading).bounds_mm,
        px_per_mm=px_per_mm, margin_mm=reading.settings.margin_mm,
    )  # fmt: skip
