"""The next pass as a picture: what to take drawn round its marks, what to leave hatched.

Colours are those of M. Okabe and K. Ito, Color Universal Design (2008); each kind of point has a
shape of its own as well, and the order is told by numbers and by the weight of the lines.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from scrapeview.charts import layers, marks
from scrapeview.charts.canvas import Canvas
from scrapeview.charts.marks import Mark
from scrapeview.charts.next_words import halt_sentence, take_sentence
from scrapeview.charts.overlay import scale_bar, text_px
from scrapeview.charts.picture import PhotoSource, face_of, picture_of
from scrapeview.charts.plain_layer import Layer, contours_um, lines_layer, places_layer
from scrapeview.charts.shown import Units
from scrapeview.charts.strip import (
    font_of,
    legend_entry,
    scale_entry,
    stacked,
    strip,
    text_entry,
)
from scrapeview.judge.compare.laid import Mask
from scrapeview.judge.next.next_pass import NextPass
from scrapeview.photo import Photo
from scrapeview.result import Reading

ORANGE, RED, YELLOW = (230, 159, 0), (213, 94, 0), (240, 228, 66)
TAKEN = {
    "hollow": Mark("hollow: first", RED, "diamond"),
    "merged": Mark("patch: break it up", ORANGE, "square"),
    "large": Mark("large", ORANGE, "ring"),
    "crowded": Mark("in a crowded place", YELLOW, "triangle"),
    "largest": Mark("largest of the rest", YELLOW, "dot"),
}
"""By why a point is to be taken, in the order they are."""
LATER = Mark("for the pass after", marks.WHITE, "tick")
SPARSE = Mark("bears too little: leave", marks.WHITE, "hatch")
BARE = Mark("bare: leave", marks.WHITE, "dashes", marks.NIGHT)
SMALL = ("dot", "tick", "square")
"""Shapes that lie small on the middle of a point; a patch has its outline drawn as well."""
NUMBERED = 60
"""So many get their number: more would hide the marks."""
CLEAR_MM = 0.45
"""Between a mark and what is drawn round it."""
WIDTH_PX = 2000
PX_PER_MM = (3.0, 10.0)
MARGIN_MM = 2.0
NARROWEST_PX = 900


@dataclass(frozen=True)
class Drawn:
    """How a point is drawn: its mark, where, how far out and with how heavy a line, px."""

    mark: Mark
    x: float
    y: float
    radius: float
    width: int


def draw_next_pass(
    reading: Reading,
    photo: PhotoSource | Photo,
    advice: NextPass,
    *,
    units: Units = "metric",
    width_px: int = WIDTH_PX,
) -> Image.Image:
    """Draw what to do on the next pass onto the face seen square-on, with a legend below.

    Parameters
    ----------
    reading : Reading
    photo : path, bytes, (H, W, 3) uint8 array or Photo
        The photograph that was read.
    advice : NextPass
        Of that reading.
    units : {"metric", "inch"}, keyword-only
    width_px : int, keyword-only
        Length of the face's longer side, within 3 to 10 px/mm.

    Returns
    -------
    PIL.Image.Image
        RGB.

    Raises
    ------
    PhotoError, PlaneError, ReadingError
    """
    canvas = picture_canvas(reading, photo, width_px)
    draw_advice(canvas, reading, advice)
    wide = max(NARROWEST_PX, canvas.shape[1])
    size = text_px(canvas)
    told = halt_sentence(reading, advice) or take_sentence(advice)
    lines = [text_entry(line, size) for line in _wrapped(told, wide, size)]
    return stacked(
        [strip(lines, wide, size), Image.fromarray(canvas.rgb), _legend(canvas, advice, units)]
    )


def picture_canvas(reading: Reading, photo: PhotoSource | Photo, width_px: int) -> Canvas:
    """Return the face seen square-on as a canvas to draw on, what is not face darkened."""
    x0, y0, x1, y1 = bounds = face_of(reading).bounds_mm
    scale = float(np.clip(width_px / max(x1 - x0, y1 - y0), *PX_PER_MM))
    view = picture_of(reading, photo, px_per_mm=scale)
    canvas = Canvas.over(bounds, scale, min(MARGIN_MM, reading.settings.margin_mm))
    canvas.rgb[:] = canvas.brought(view.rgb, view.px_per_mm, view.origin_mm)
    face = (face_of(reading).masks(view) > 0) & view.valid
    layers.dim_outside(canvas, canvas.brought_mask(face, view.px_per_mm, view.origin_mm))
    return canvas


def draw_advice(canvas: Canvas, reading: Reading, advice: NextPass) -> None:
    """Draw what to take and what to leave onto a canvas over the face."""
    if not advice.halt:
        _draw_leave(canvas, advice)
    drawn = drawn_points(canvas, advice)
    if any(one.mark is TAKEN["merged"] for one in drawn):
        _draw_patches(canvas, patches_to_take(reading, advice), reading)
    # the first to take lie on top
    for one in reversed(drawn):
        _draw_around(canvas, one)
    _draw_numbers(canvas, [one for one in drawn if one.mark is not LATER][:NUMBERED])


def drawn_points(canvas: Canvas, advice: NextPass) -> list[Drawn]:
    """Return how the points to take and those for later are drawn, in their order."""
    points = advice.points[advice.points["rank"] > 0]
    taken = max(1, len(advice.to_take))
    unit = max(1, round(canvas.px_per_mm / 4))
    places = canvas.to_px(points[["x_mm", "y_mm"]].to_numpy())
    thirds = np.minimum(2, 3 * (points["rank"].to_numpy() - 1) // taken)
    radii = (points["diameter_mm"].to_numpy() / 2 + CLEAR_MM) * canvas.px_per_mm
    kinds = zip(points["what"], points["why"], strict=True)
    chosen = [TAKEN[why] if what == "take" else LATER for what, why in kinds]
    return [
        Drawn(mark, float(x), float(y), float(radius), unit * (3 - int(third)))
        for mark, (x, y), radius, third in zip(chosen, places, radii, thirds, strict=True)
    ]


def advice_layers(advice: NextPass) -> tuple[Layer, ...]:
    """Return the advice as plain layers, for whatever draws a picture by itself."""
    grid = advice.grid
    found = [
        lines_layer("leave", BARE, contours_um(advice.leave, grid.px_per_mm, grid.origin_mm),
                    "leave alone", fill=0.15),
    ]  # fmt: skip
    for why, mark in TAKEN.items():
        rows = advice.to_take[advice.to_take["why"] == why]
        places = [(float(x), float(y)) for x, y in rows[["x_mm", "y_mm"]].to_numpy()]
        label = f"{mark.name} ({len(rows)})"
        found.append(places_layer(f"take_{why}", label, places, mark.colour, mark.shape))
    return tuple(layer for layer in found if layer.lines_um or layer.places)


def _draw_leave(canvas: Canvas, advice: NextPass) -> None:
    grid = advice.grid
    leave = canvas.brought_mask(advice.leave, grid.px_per_mm, grid.origin_mm)
    hatch_thinly(canvas, leave)
    width = max(2, round(canvas.px_per_mm / 4))
    canvas.outline(leave, marks.NIGHT, 2 * width)
    canvas.outline(leave, marks.WHITE, width, dash_px=6.0 * width)


def patches_to_take(reading: Reading, advice: NextPass) -> Mask:
    """Return the patches on the reading's own mask of which something is to be taken."""
    taken = advice.to_take
    rows = taken[taken["why"] == "merged"]["number"].to_numpy() - 1
    return layers.merged_mask(dataclasses.replace(reading, points=reading.points.iloc[rows]))


def _draw_patches(canvas: Canvas, patches: Mask, reading: Reading) -> None:
    mask = canvas.brought_mask(patches, reading.px_per_mm, reading.origin_mm)
    width = max(2, round(canvas.px_per_mm / 5))
    canvas.outline(mask, marks.NIGHT, width + 2)
    canvas.outline(mask, TAKEN["merged"].colour, width)


def hatch_thinly(canvas: Canvas, mask: Mask, pitch_mm: float = 3.0) -> None:
    """Hatch a mask with lines far enough apart that the marks below stay to be seen."""
    if not mask.any():
        return
    y, x = np.indices(canvas.shape)
    along = (x + y) / np.sqrt(2)
    pitch, width = pitch_mm * canvas.px_per_mm, max(1.5, canvas.px_per_mm / 4)
    phase = along % pitch
    canvas.blend(mask & (phase < width), marks.WHITE, 0.85)
    canvas.blend(mask & (phase >= width) & (phase < 2 * width), marks.NIGHT, 0.85)


def _draw_around(canvas: Canvas, one: Drawn) -> None:
    if one.mark.shape == "ring":
        for colour, width in ((marks.NIGHT, one.width + 2), (one.mark.colour, one.width)):
            canvas.disc(one.x, one.y, one.radius, colour, width)
    elif one.mark.shape in SMALL:
        small = max(2.0, 0.35 * canvas.px_per_mm)
        marks.draw_marker(canvas, one.mark, one.x, one.y, small + one.width / 2)
    else:
        corners = outline_of(one.mark) * one.radius + (one.x, one.y)
        canvas.line(corners, marks.NIGHT, one.width + 2, closed=True)
        canvas.line(corners, one.mark.colour, one.width, closed=True)


def outline_of(mark: Mark) -> NDArray[np.float64]:
    """Return the corners of a shape drawn round a disc of radius 1."""
    if mark.shape == "triangle":
        return np.array([[0.0, -2], [np.sqrt(3), 1], [-np.sqrt(3), 1]])
    return np.sqrt(2) * np.array([[0.0, -1], [1, 0], [0, 1], [-1, 0]])


def _draw_numbers(canvas: Canvas, drawn: list[Drawn]) -> None:
    image = Image.fromarray(canvas.rgb)
    pen = ImageDraw.Draw(image)
    font = font_of(max(12, round(2.4 * canvas.px_per_mm)))
    for number, one in reversed(list(enumerate(drawn, start=1))):
        away = 0.5 * canvas.px_per_mm if one.mark.shape in SMALL else 0.75 * one.radius
        at = one.x + away + 1, one.y - away
        pen.text(
            at, str(number), marks.WHITE, font, anchor="ls", stroke_width=2, stroke_fill=marks.NIGHT
        )
    canvas.rgb[:] = np.asarray(image)


def _legend(canvas: Canvas, advice: NextPass, units: Units) -> Image.Image:
    size, wide = text_px(canvas), max(NARROWEST_PX, canvas.shape[1])
    entries = [scale_entry(*scale_bar(canvas, units), size)]
    taken = advice.to_take["why"]
    for why, mark in TAKEN.items():
        if count := int((taken == why).sum()):
            entries.append(legend_entry(mark, f"{mark.name} ({count})", size))
    if later := int((advice.points["what"] == "later").sum()):
        entries.append(legend_entry(LATER, f"{LATER.name} ({later})", size))
    if advice.leave.any() and not advice.halt:
        entries.append(legend_entry(SPARSE, "bare or bears too little: leave", size))
    if len(taken):
        rest = ", then heavy before thin lines" if len(taken) > NUMBERED else ""
        entries.append(text_entry(f"numbers: the order{rest}", size))
    return strip(entries, wide, size)


def _wrapped(text: str, width_px: int, size_px: int) -> list[str]:
    font, lines = font_of(size_px), [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        fits = font.getlength(longer) <= width_px - size_px
        lines = [*lines[:-1], longer] if fits else [*lines, word]
    return lines
