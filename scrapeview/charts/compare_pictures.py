"""Two prints of one face as pictures at one place: square-on, levelled if wished, changes marked.

Colours of the marks are those of M. Okabe and K. Ito, Color Universal Design (2008); each fate has
a shape of its own as well.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from scrapeview.charts import layers, marks
from scrapeview.charts.canvas import Canvas
from scrapeview.charts.marks import Mark
from scrapeview.charts.picture import PhotoSource, face_of, picture_of
from scrapeview.charts.strip import legend_entry, stacked, strip, text_entry
from scrapeview.film.glare import washed_out_mask
from scrapeview.judge.compare.matched import Comparison
from scrapeview.result import Reading

LONGEST_PX = 3200
MOST_PX = 1_600_000
"""A compact face is drawn about 1500 px long, a long one finer, so that it can be enlarged."""
PX_PER_MM = (1.0, 8.0)
"""Least and most scale a picture is drawn at."""
MARGIN_MM = 2.0
LEVEL_MM = 12.0
"""Light is levelled over this distance: wider than a point, narrower than a lamp's falling off."""
LEVEL_GREY = 0.32
"""Linear light that bare metal is levelled to."""
MOST_GAIN = 8.0
WIDE = 1.5
"""Faces this much wider than high are put one below the other, not side by side."""

STAYED = Mark("stayed", (0, 158, 115), "ring", marks.WHITE)
WENT = Mark("went", (213, 94, 0), "cross", marks.WHITE)
CAME = Mark("came", (240, 228, 66), "triangle", marks.NIGHT)
FATE_MARKS = {"stayed": STAYED, "went": WENT, "came": CAME}


@dataclass(frozen=True)
class Place:
    """Where pictures of a face lie, the same for all that are compared.

    Parameters
    ----------
    bounds_mm : (x0, y0, x1, y1)
        Of all that is compared, without the margin.
    px_per_mm : float
    """

    bounds_mm: tuple[float, float, float, float]
    px_per_mm: float

    def canvas(self) -> Canvas:
        """Return an empty canvas there."""
        return Canvas.over(self.bounds_mm, self.px_per_mm, MARGIN_MM)


def place_for(readings: tuple[Reading, ...], longest_px: int = LONGEST_PX) -> Place:
    """Return the place that shows all readings at once.

    Parameters
    ----------
    readings : tuple of Reading
        In coordinates of one face.
    longest_px : int
        Most length of the longer side, where the scale allows it.
    """
    bounds = np.array([face_of(reading).bounds_mm for reading in readings])
    x0, y0 = bounds[:, :2].min(axis=0)
    x1, y1 = bounds[:, 2:].max(axis=0)
    sides_mm = np.array([x1 - x0, y1 - y0]) + 2 * MARGIN_MM
    scale = min(longest_px / sides_mm.max(), float(np.sqrt(MOST_PX / sides_mm.prod())))
    scale = float(np.clip(scale, *PX_PER_MM))
    return Place((float(x0), float(y0), float(x1), float(y1)), scale)


def picture_at(
    reading: Reading,
    photo: PhotoSource,
    place: Place,
    *,
    shift_mm: tuple[float, float] = (0.0, 0.0),
    levelled: bool = False,
) -> NDArray[np.uint8]:
    """Return a print square-on at a place, what is not face darkened.

    Parameters
    ----------
    reading : Reading
    photo : path, bytes or array
        The photograph that was read.
    place : Place
    shift_mm : (x, y), keyword-only
        By how much the print lies too far right and down; it is moved back.
    levelled : bool, keyword-only
        Whether to make bare metal equally bright and grey all over.

    Returns
    -------
    (h, w, 3) uint8

    Raises
    ------
    PhotoError, PlaneError, ReadingError
    """
    view = picture_of(reading, photo, px_per_mm=place.px_per_mm)
    canvas = place.canvas()
    moved = view.origin_mm[0] - shift_mm[0], view.origin_mm[1] - shift_mm[1]
    canvas.rgb[:] = canvas.brought(view.rgb, view.px_per_mm, moved)
    face = (face_of(reading).masks(view) > 0) & view.valid
    inside = canvas.brought_mask(face, view.px_per_mm, moved)
    if levelled:
        own = reading.origin_mm[0] - shift_mm[0], reading.origin_mm[1] - shift_mm[1]
        contact = canvas.brought_mask(reading.contact_mask, reading.px_per_mm, own)
        canvas.rgb[:] = levelled_light(canvas.rgb, inside & ~contact, place.px_per_mm)
    layers.dim_outside(canvas, inside)
    return canvas.rgb


def levelled_light(
    rgb: NDArray[np.uint8], metal: NDArray[np.bool_], px_per_mm: float
) -> NDArray[np.uint8]:
    """Return a picture with its bare metal equally bright and grey all over.

    The light on the metal is smoothed over some millimetres, where metal shows, and divided out of
    each channel, in linear light.

    Parameters
    ----------
    rgb : (h, w, 3) uint8
    metal : (h, w) bool
    px_per_mm : float
    """
    if not metal.any():
        return rgb
    shrink = max(1, round(LEVEL_MM * px_per_mm / 8))
    size = max(1, rgb.shape[1] // shrink), max(1, rgb.shape[0] // shrink)
    light = cv2.LUT(rgb, _LINEAR)
    seen = metal.astype(np.float32)
    weight = cv2.resize(seen, size, interpolation=cv2.INTER_AREA)
    held = cv2.resize(light * seen[..., None], size, interpolation=cv2.INTER_AREA)
    mean = np.asarray(light[metal].mean(axis=0), dtype=np.float32)
    # far from any metal the mean light of all of it has to do
    weight = cv2.GaussianBlur(weight, (0, 0), 8) + np.float32(1e-3)
    held = cv2.GaussianBlur(held, (0, 0), 8) + 1e-3 * mean
    slow = cv2.resize(held / weight[..., None], rgb.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    gain = np.clip(LEVEL_GREY / np.maximum(slow, 1e-4), 1 / MOST_GAIN, MOST_GAIN)
    return np.asarray(np.round(255 * np.clip(light * gain, 0, 1) ** (1 / 2.2)), dtype=np.uint8)


_LINEAR = ((np.arange(256) / 255) ** 2.2).astype(np.float32)
"""The plain power law: what is levelled here is looked at, not measured."""


def washed_out_of(reading: Reading, photo: PhotoSource) -> NDArray[np.bool_] | None:
    """Return what glare took of a reading, on its own mask; None where it took nothing.

    Raises
    ------
    PhotoError, ReadingError
    """
    if reading.washed_out_percent == 0:
        return None
    view = picture_of(reading, photo)
    return washed_out_mask(view.rgb, view.px_per_mm)


def marker_radius_mm(comparison: Comparison) -> float:
    """Return the radius of markers that lie round typical points."""
    across = comparison.points[["diameter_mm", "before_diameter_mm"]].to_numpy().ravel()
    known = across[np.isfinite(across)]
    return float(np.median(known)) / 2.6 if known.size else 1.0


def places_of(comparison: Comparison, fate: str) -> NDArray[np.float64]:
    """Return places (N, 2) in mm of the points of a fate: the later print's, else the earlier's."""
    rows = comparison.points[comparison.points["fate"] == fate]
    names = ["before_x_mm", "before_y_mm"] if fate == "went" else ["x_mm", "y_mm"]
    return np.asarray(rows[names].to_numpy(dtype=float).reshape(-1, 2))


def compared_image(
    pictures: tuple[NDArray[np.uint8], NDArray[np.uint8]],
    titles: tuple[str, str],
    place: Place,
    comparison: Comparison,
    shown: tuple[str, ...] = ("stayed", "went", "came"),
) -> Image.Image:
    """Return both prints beside each other with their changes marked, to be kept as one picture.

    On the earlier print stand the points that stayed and went, on the later one those that stayed
    and came.

    Parameters
    ----------
    pictures, titles : two each
        The earlier print first, both at the place.
    place : Place
    comparison : Comparison
    shown : tuple of str
        Fates that are marked.
    """
    own = ("stayed", "went"), ("stayed", "came")
    marked = [
        _marked(picture, place, comparison, [fate for fate in fates if fate in shown])
        for picture, fates in zip(pictures, own, strict=True)
    ]
    text_px = max(18, marked[0].shape[1] // 45)
    titled = [
        stacked([strip([text_entry(title, text_px)], rgb.shape[1], text_px), Image.fromarray(rgb)])
        for title, rgb in zip(titles, marked, strict=True)
    ]
    both = _beside(titled) if titled[0].width < WIDE * titled[0].height else stacked(titled)
    counts = {"stayed": comparison.stayed, "went": comparison.went, "came": comparison.came}
    legend = [legend_entry(FATE_MARKS[fate], f"{fate} ({counts[fate]})", text_px) for fate in shown]
    return stacked([both, strip(legend, both.width, text_px)])


def _marked(
    rgb: NDArray[np.uint8], place: Place, comparison: Comparison, fates: list[str]
) -> NDArray[np.uint8]:
    empty = place.canvas()
    canvas = Canvas(rgb.copy(), empty.px_per_mm, empty.origin_mm)
    radius = max(4.0, marker_radius_mm(comparison) * place.px_per_mm)
    for fate in fates:
        for x, y in canvas.to_px(places_of(comparison, fate)):
            marks.draw_marker(canvas, FATE_MARKS[fate], x, y, radius)
    return canvas.rgb


def _beside(pictures: list[Image.Image]) -> Image.Image:
    gap = pictures[0].width // 100
    height = max(picture.height for picture in pictures)
    width = sum(picture.width for picture in pictures) + gap * (len(pictures) - 1)
    image = Image.new("RGB", (width, height))
    left = 0
    for picture in pictures:
        image.paste(picture, (left, 0))
        left += picture.width + gap
    return image
