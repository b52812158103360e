"""The overlay: the face seen square-on, with everything the reading found drawn on it."""

import textwrap

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from scrapeview.charts import layers, marks, shown
from scrapeview.charts.canvas import Canvas
from scrapeview.charts.picture import PhotoSource, face_of, photo_of, picture_of
from scrapeview.charts.shown import Units
from scrapeview.charts.strip import (
    MUTED,
    Entry,
    font_of,
    joined,
    legend_entry,
    scale_entry,
    stacked,
    strip,
    text_entry,
)
from scrapeview.errors import SettingsError
from scrapeview.film.glare import washed_out_mask
from scrapeview.photo import Photo
from scrapeview.result import Reading
from scrapeview.units import MM_PER_INCH

WIDTH_PX = 1600
LEAST_PX_PER_MM = 4.0
"""Below this the smallest points cannot be drawn: a long face becomes a wider picture."""
LONGEST_SIDE_PX = 6000
NARROWEST_PX = 900
"""Title and legend need this much room beside a narrow face."""
MARGIN_MM = 3.0


def draw_overlay(
    reading: Reading,
    photo: PhotoSource | Photo,
    *,
    width_px: int = WIDTH_PX,
    units: Units = "metric",
) -> Image.Image:
    """Draw what a reading found onto the face seen square-on.

    Contact outlined, a marker for every counted point by its flags, merged patches, necks that
    were split, the largest bare circle, the worst square and the cells; what is not face is dimmed
    and what glare took is hatched. Above it the figures, below it the legend with a scale bar.

    Parameters
    ----------
    reading : Reading
    photo : path, bytes, (H, W, 3) uint8 array or Photo
        The photograph that was read.
    width_px : int, keyword-only
        Length of the face's longer side in the picture, 300-6000 px; more where a long face would
        otherwise be drawn at under 4 px/mm.
    units : {"metric", "inch"}, keyword-only
        For the scale bar and the lengths told.

    Returns
    -------
    PIL.Image.Image
        RGB.

    Raises
    ------
    PhotoError
        Where the photograph cannot be loaded.
    ReadingError
        Where it is another photograph than the one that was read.
    SettingsError
        Where `width_px` is out of its range.
    """
    if not 300 <= width_px <= LONGEST_SIDE_PX:
        raise SettingsError(
            f"An overlay is 300 to {LONGEST_SIDE_PX} px wide, not {width_px}; give one of those."
        )
    canvas = _canvas(reading, width_px)
    needed = max(canvas.px_per_mm, reading.settings.view_px_per_mm)
    photo = photo_of(reading, photo, needed)
    washed_out = _drawn(canvas, reading, photo)
    pictures = [_title(reading, canvas, units), Image.fromarray(canvas.rgb)]
    return stacked([*pictures, _legend(reading, canvas, washed_out, units)])


def _canvas(reading: Reading, width_px: int) -> Canvas:
    x0, y0, x1, y1 = bounds = face_of(reading).bounds_mm
    margin = min(MARGIN_MM, reading.settings.margin_mm)
    longest = max(x1 - x0, y1 - y0) + 2 * margin
    scale = max(width_px / longest, LEAST_PX_PER_MM)
    return Canvas.over(bounds, min(scale, LONGEST_SIDE_PX / longest), margin)


def _drawn(canvas: Canvas, reading: Reading, photo: Photo) -> bool:
    """Draw all layers; tell whether there is glare to explain."""
    view = picture_of(reading, photo, px_per_mm=canvas.px_per_mm)
    canvas.rgb[:] = canvas.brought(view.rgb, view.px_per_mm, view.origin_mm)
    face = face_of(reading).masks(view) > 0
    inside = canvas.brought_mask(face & view.valid, view.px_per_mm, view.origin_mm)
    washed_out = _washed_out(canvas, reading, view.rgb, view.px_per_mm, view.origin_mm) & inside
    layers.draw_cells(canvas, reading)
    layers.dim_outside(canvas, inside)
    layers.hatch(canvas, washed_out)
    layers.draw_contact(canvas, reading, layers.merged_mask(reading))
    layers.draw_splits(canvas, reading)
    layers.draw_points(canvas, reading)
    layers.draw_by_hand(canvas, reading)
    layers.draw_bare(canvas, reading)
    layers.draw_worst(canvas, reading)
    return bool(washed_out.any())


def _washed_out(
    canvas: Canvas,
    reading: Reading,
    rgb: NDArray[np.uint8],
    px_per_mm: float,
    origin_mm: tuple[float, float],
) -> NDArray[np.bool_]:
    if reading.washed_out_percent == 0:
        return np.zeros(canvas.shape, dtype=bool)
    return canvas.brought_mask(washed_out_mask(rgb, px_per_mm), px_per_mm, origin_mm)


def text_px(canvas: Canvas) -> int:
    """Height of the text: readable when the picture is as wide as a phone."""
    return int(np.clip(_width(canvas) / 38, 22, 60))


def _width(canvas: Canvas) -> int:
    return max(NARROWEST_PX, canvas.shape[1])


def _title(reading: Reading, canvas: Canvas, units: Units) -> Image.Image:
    big, small = round(1.3 * text_px(canvas)), text_px(canvas)

    def figure(text: str, beside: str) -> Entry:
        muted = text_entry(beside, small, MUTED, line_px=big)
        return joined(text_entry(text, big), muted, small // 2)

    if not reading.is_print:
        wide = int(_width(canvas) / font_of(small).getlength("n"))
        told = [text_entry(line, small, MUTED) for line in textwrap.wrap(reading.reason, wide)]
        return strip([text_entry("No print", big), *told], _width(canvas), big)
    contact = f"{reading.contact_percent:.1f} % contact"
    entries = [
        figure(contact, f"({shown.interval(reading.contact_interval)})"),
        figure(*_count(reading, units)),
        text_entry(f"{shown.area(reading.area_mm2, units)} read", small, MUTED, line_px=big),
    ]
    return strip(entries, _width(canvas), big)


def _count(reading: Reading, units: Units) -> tuple[str, str]:
    if not reading.count_reliable:
        return "Count unreliable", f"({shown.merged_sentence(reading)})"
    interval = reading.ppsi_interval if units == "inch" else reading.p25_interval
    value = shown.points_by(reading.points_per_square_inch, units)
    told = f"({shown.interval(interval)}), {len(reading.points)} points"
    return f"{value:.1f} points/{shown.points_unit(units)}", told


def _legend(reading: Reading, canvas: Canvas, washed_out: bool, units: Units) -> Image.Image:
    size = text_px(canvas)
    entries = [scale_entry(*scale_bar(canvas, units), size)]
    entries += [
        legend_entry(mark, f"{mark.name} ({int(chosen.sum())})", size)
        for mark, chosen in layers.points_by_mark(reading)
        if chosen.any()
    ]
    entries += [
        legend_entry(mark, label, size) for mark, label in _shown_marks(reading, washed_out, units)
    ]
    return strip(entries, _width(canvas), size)


def _shown_marks(reading: Reading, washed_out: bool, units: Units) -> list[tuple[marks.Mark, str]]:
    points = reading.points
    chosen = [(marks.OUTLINE, marks.OUTLINE.name)] if reading.contact_mask.any() else []
    if (points["split"] & ~points["merged"]).any():
        chosen.append((marks.SPLIT, marks.SPLIT.name))
    if points["merged"].any():
        chosen.append((marks.MERGED, marks.MERGED.name))
    if by_hand := int(points["by_hand"].sum()):
        chosen.append((marks.BY_HAND, f"{marks.BY_HAND.name} ({by_hand})"))
    if reading.left_out_mm:
        chosen.append((marks.LEFT_OUT, marks.LEFT_OUT.name))
    if reading.bare_patch.circle_mm > 0:
        size = shown.length(reading.bare_patch.circle_mm, units)
        chosen.append((marks.BARE, f"{marks.BARE.name}, {size}"))
    if reading.worst_square is not None:
        chosen.append((marks.WORST, layers.worst_label(reading, units)))
    if washed_out:
        chosen.append((marks.WASHED_OUT, marks.WASHED_OUT.name))
    chosen.append((marks.CELLS, f"cells, {shown.side(reading.settings.cell_mm)}"))
    return chosen


def scale_bar(canvas: Canvas, units: Units) -> tuple[float, str]:
    """Length in px and name of a round length, about a seventh of the picture."""
    room_mm = canvas.shape[1] / canvas.px_per_mm / 7
    unit_mm, name = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    steps = (0.1, 0.25, 0.5, 1, 2, 4, 10) if units == "inch" else (1, 2, 5, 10, 20, 50, 100, 200)
    length = max((s for s in steps if s * unit_mm <= room_mm), default=steps[0])
    return length * unit_mm * canvas.px_per_mm, f"{length:g} {name}"
