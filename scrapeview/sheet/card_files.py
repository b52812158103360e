"""Sheets of cards and tiles as files of exact size: PDF, and PNG that tells its resolution."""

from collections.abc import Sequence
from functools import cache
from io import BytesIO
from pathlib import Path

import numpy as np
import reportlab
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from scrapeview.plane.cards import Box
from scrapeview.sheet.card_drawing import CardSheet, Filled, Written
from scrapeview.sheet.layout import Paper
from scrapeview.sheet.page import FONTS, Page, new_pdf, text_mm
from scrapeview.units import MM_PER_INCH

PX_PER_MM = 20
"""508 dpi: every edge of cards and tiles falls between two pixels."""
WHITE = 255


def card_pdf(sheets: Sequence[CardSheet]) -> bytes:
    """Return sheets as a PDF, a page each; the same sheets give the same bytes.

    Parameters
    ----------
    sheets : sequence of CardSheet
        One or more.
    """
    held = BytesIO()
    pdf = new_pdf(held, sheets[0].title)
    # asks the viewer's print dialogue to begin with the true size (ISO 32000-1, 12.2)
    pdf.setViewerPreference("PrintScaling", "None")
    for sheet in sheets:
        page = Page(pdf, sheet.paper)
        for shape in sheet.shapes:
            boxes = [_corners(_drawn(box, sheet)) for box in shape.boxes_mm]
            page.polygon(boxes, fill=float(shape.ink))
        for text in sheet.texts:
            x, y, _, _ = _drawn((text.x_mm, text.y_mm, 0, 0), sheet)
            size = text.size_mm * sheet.correction
            page.text(x, y, text.told, size, font=text.font, ink=float(text.ink), at=text.at)
        pdf.showPage()
    pdf.save()
    return held.getvalue()


def card_png(sheet: CardSheet) -> bytes:
    """Return a sheet as a grey PNG of 20 px/mm; edges that cut a pixel make it grey by its share.

    Parameters
    ----------
    sheet : CardSheet
    """
    grey = blank(sheet.paper)
    for shape in sheet.shapes:
        fill(grey, Filled(tuple(_drawn(box, sheet) for box in shape.boxes_mm), shape.ink))
    image = Image.fromarray(grey)
    draw = ImageDraw.Draw(image)
    for text in sheet.texts:
        _write(draw, text, sheet)
    held = BytesIO()
    dots_per_inch = PX_PER_MM * MM_PER_INCH
    image.save(held, "PNG", dpi=(dots_per_inch, dots_per_inch))
    return held.getvalue()


def blank(paper: Paper) -> NDArray[np.uint8]:
    """Return white paper, 20 px/mm."""
    width, height = (round(side * PX_PER_MM) for side in (paper.width_mm, paper.height_mm))
    return np.full((height, width), WHITE, np.uint8)


def fill(grey: NDArray[np.uint8], shape: Filled) -> None:
    """Draw a shape's boxes into a picture: each pixel by the share of it they cover.

    Parameters
    ----------
    grey : (H, W) uint8 array
        Drawn into.
    shape : Filled
        Its boxes do not overlap, so that shares add up and no seam shows between neighbours.
    """
    boxes = np.array(shape.boxes_mm) * PX_PER_MM
    x0, y0 = np.floor(boxes[:, :2].min(axis=0) + 1e-6).astype(int)
    x1, y1 = np.ceil(boxes[:, 2:].max(axis=0) - 1e-6).astype(int)
    covered = np.zeros((y1 - y0, x1 - x0), np.float32)
    for left, top, right, low in boxes - (x0, y0, x0, y0):
        covered += np.outer(_share(top, low, y1 - y0), _share(left, right, x1 - x0))
    part = grey[y0:y1, x0:x1]
    ink = np.float32(WHITE * shape.ink)
    part[:] = np.rint(part + np.clip(covered, 0, 1) * (ink - part)).astype(np.uint8)


def _share(low: float, high: float, count: int) -> NDArray[np.float32]:
    """Share (N,) of each of `count` unit steps that lies between two places."""
    at = np.arange(count)
    return np.clip(np.minimum(high, at + 1) - np.maximum(low, at), 0, 1).astype(np.float32)


def _drawn(box: Box, sheet: CardSheet) -> Box:
    """Return a box as it has to be drawn to come out where it should be."""
    middle = sheet.paper.width_mm / 2, sheet.paper.height_mm / 2
    x0, y0, x1, y1 = (
        middle[i % 2] + sheet.correction * (value - middle[i % 2]) for i, value in enumerate(box)
    )
    return x0, y0, x1, y1


def _corners(box: Box) -> list[tuple[float, float]]:
    x0, y0, x1, y1 = box
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _write(draw: ImageDraw.ImageDraw, text: Written, sheet: CardSheet) -> None:
    x, y, _, _ = _drawn((text.x_mm, text.y_mm, 0, 0), sheet)
    size = text.size_mm * sheet.correction
    left = x - (text_mm(text.told, size, text.font) / 2 if text.at == "middle" else 0.0)
    draw.text(
        (left * PX_PER_MM, y * PX_PER_MM), text.told, fill=round(WHITE * text.ink),
        font=_font(text.font, size * PX_PER_MM), anchor="ls",
    )  # fmt: skip


@cache
def _font(name: str, size_px: float) -> ImageFont.FreeTypeFont:
    file = Path(reportlab.__file__).parent / "fonts" / f"{FONTS[name]}.ttf"
    return ImageFont.truetype(file, size_px)
