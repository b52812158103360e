"""Strips of text and legend that run round an overlay."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from scrapeview.charts import marks
from scrapeview.charts.canvas import Canvas

GROUND = (24, 26, 32)
INK = (240, 242, 246)
MUTED = (176, 182, 192)
Font = ImageFont.FreeTypeFont | ImageFont.ImageFont


@dataclass(frozen=True)
class Entry:
    """An item of a strip: its width and what draws it with its top left at x, y."""

    width: int
    draw: Callable[[Image.Image, int, int], None]


def font_of(size_px: int) -> Font:
    """Return the font that Pillow brings along, so that an overlay looks the same everywhere."""
    return ImageFont.load_default(size_px)


def text_entry(
    text: str, size_px: int, ink: tuple[int, int, int] = INK, *, line_px: int | None = None
) -> Entry:
    """Return a piece of text; texts of different sizes in one line share its baseline."""
    font = font_of(size_px)
    baseline = round(0.84 * (line_px or size_px))

    def draw(image: Image.Image, x: int, y: int) -> None:
        ImageDraw.Draw(image).text((x, y + baseline), text, ink, font, anchor="ls")

    return Entry(round(font.getlength(text)), draw)


def joined(first: Entry, second: Entry, gap_px: int) -> Entry:
    """Return two entries as one that is not parted at the end of a line."""

    def draw(image: Image.Image, x: int, y: int) -> None:
        first.draw(image, x, y)
        second.draw(image, x + first.width + gap_px, y)

    return Entry(first.width + gap_px + second.width, draw)


def legend_entry(mark: marks.Mark, label: str, size_px: int) -> Entry:
    """Return a swatch of a mark, in its own colour and line or shape, with its name."""
    text = text_entry(label, size_px)
    swatch = _swatch(mark, size_px)
    reach = swatch.shape[1] + size_px // 2

    def draw(image: Image.Image, x: int, y: int) -> None:
        image.paste(Image.fromarray(swatch), (x, y))
        text.draw(image, x + reach, y)

    return Entry(reach + text.width, draw)


def scale_entry(length_px: float, label: str, size_px: int) -> Entry:
    """Return a scale bar with its length."""
    text = text_entry(label, size_px)
    bar = round(length_px)

    def draw(image: Image.Image, x: int, y: int) -> None:
        pen = ImageDraw.Draw(image)
        middle, tick, width = y + size_px // 2, size_px // 3, max(2, size_px // 9)
        pen.line((x, middle, x + bar, middle), INK, width)
        for end in (x, x + bar):
            pen.line((end, middle - tick, end, middle + tick), INK, width)
        text.draw(image, x + bar + size_px // 2, y)

    return Entry(bar + size_px // 2 + text.width, draw)


def strip(entries: Sequence[Entry], width: int, line_px: int) -> Image.Image:
    """Lay entries out in lines as words are, and return the strip they fill."""
    pad, gap = line_px // 2, round(line_px * 1.1)
    places: list[tuple[int, int]] = []
    x, y = pad, pad
    for entry in entries:
        if x > pad and x + entry.width > width - pad:
            x, y = pad, y + round(line_px * 1.45)
        places.append((x, y))
        x += entry.width + gap
    image = Image.new("RGB", (width, y + line_px + pad if entries else 0), GROUND)
    for entry, (left, top) in zip(entries, places, strict=True):
        entry.draw(image, left, top)
    return image


def stacked(pictures: Sequence[Image.Image]) -> Image.Image:
    """Return pictures one below the other, narrower ones in the middle."""
    width = max(picture.width for picture in pictures)
    image = Image.new("RGB", (width, sum(picture.height for picture in pictures)), GROUND)
    top = 0
    for picture in pictures:
        image.paste(picture, ((width - picture.width) // 2, top))
        top += picture.height
    return image


def _swatch(mark: marks.Mark, size_px: int) -> NDArray[np.uint8]:
    wide = round(size_px * 1.5) if mark.shape in ("line", "dashes", "hatch") else size_px
    rgb = np.full((size_px, wide, 3), GROUND, np.uint8)
    canvas = Canvas(rgb, 1.0, (0.0, 0.0))
    middle, thick = size_px / 2, max(2, size_px // 9)
    ends = np.array([[thick * 2, middle], [wide - thick * 2, middle]])
    if mark.shape == "hatch":
        stripe = (np.indices(rgb.shape[:2]).sum(axis=0) // thick) % 2
        rgb[size_px // 6 : -size_px // 6] = np.where(stripe[..., None], marks.WHITE, marks.NIGHT)[
            size_px // 6 : -size_px // 6
        ]
    elif mark.shape in ("line", "dashes"):
        if mark.cased:
            canvas.line(ends, mark.cased, 2 * thick + 2)
        dash = thick * 3.0 if mark.shape == "dashes" else 0.0
        canvas.line(ends, mark.colour, thick, dash_px=dash)
    else:
        marks.draw_marker(canvas, mark, wide / 2, middle, size_px / 3.5)
    return rgb
