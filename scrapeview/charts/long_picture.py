"""A long face as photographed: the square-on pictures of its prints, laid together on one strip."""

import base64
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.charts.canvas import Canvas
from scrapeview.charts.picture import PhotoSource, face_of, picture_of
from scrapeview.result import Reading

LONGEST_PX = 1800
NOT_SEEN_GREY = 128
QUALITY = 84


def face_picture(
    readings: Sequence[Reading],
    photos: Sequence[PhotoSource],
    bounds_mm: tuple[float, float, float, float],
    longest_px: int = LONGEST_PX,
) -> NDArray[np.uint8]:
    """Return the face square-on from all its prints; where two show a place, the later one.

    Parameters
    ----------
    readings : sequence of Reading
        In millimetres of the face.
    photos : sequence of path, bytes or array
        The photograph of each.
    bounds_mm : (x0, y0, x1, y1)
        Of the face.
    longest_px : int

    Returns
    -------
    (h, w, 3) uint8
        Grey where no print shows the face.

    Raises
    ------
    PhotoError, PlaneError, ReadingError
    """
    scale = longest_px / (bounds_mm[2] - bounds_mm[0])
    canvas = Canvas.over(bounds_mm, scale, 0.0)
    canvas.rgb[:] = NOT_SEEN_GREY
    for reading, photo in zip(readings, photos, strict=True):
        view = picture_of(reading, photo, px_per_mm=scale)
        seen = (face_of(reading).masks(view) > 0) & view.valid
        at = view.px_per_mm, view.origin_mm
        here = canvas.brought_mask(seen, *at)
        canvas.rgb[here] = canvas.brought(view.rgb, *at)[here]
    return canvas.rgb


def data_uri(rgb: NDArray[np.uint8]) -> str:
    """Return pixels (h, w, 3) as the address of a JPEG picture, for a chart."""
    _, coded = cv2.imencode(".jpg", rgb[:, :, ::-1], [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    return "data:image/jpeg;base64," + base64.b64encode(bytes(coded)).decode()
