"""A page of paper drawn in millimetres: from its top left, x to the right and y down."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas

from scrapeview.sheet.layout import Paper
from scrapeview.units import MM_PER_INCH

POINTS_PER_MM = 72 / MM_PER_INCH
Grey = float
Ink = tuple[float, float, float] | Grey
FONTS = {"plain": "Vera", "bold": "VeraBd"}
"""Brought along by reportlab; embedded, so that a sheet looks the same everywhere."""
QUALITY = 80


class Page:
    """The page that is being drawn of a PDF.

    Parameters
    ----------
    pdf : reportlab canvas
    paper : Paper
        Turned the way it is used.
    """

    def __init__(self, pdf: Any, paper: Paper) -> None:
        self.pdf = pdf
        self.paper = paper
        pdf.setPageSize((paper.width_mm * POINTS_PER_MM, paper.height_mm * POINTS_PER_MM))

    def polygon(
        self,
        lines_mm: Sequence[ArrayLike],
        *,
        stroke: Ink | None = None,
        fill: Ink | None = None,
        width_mm: float = 0.2,
        dash_mm: float = 0.0,
    ) -> None:
        """Draw closed lines (N, 2) as one shape: what lies in an even number of them is a hole."""
        self._pen(stroke, fill, width_mm, dash_mm)
        self.pdf.drawPath(
            self._path(lines_mm, closed=True), stroke=int(stroke is not None),
            fill=int(fill is not None), fillMode=FILL_EVEN_ODD,
        )  # fmt: skip

    def line(self, line_mm: ArrayLike, *, stroke: Ink = 0.0, width_mm: float = 0.2) -> None:
        """Draw an open line (N, 2)."""
        self._pen(stroke, None, width_mm, 0.0)
        self.pdf.drawPath(self._path([line_mm], closed=False), stroke=1, fill=0)

    def circle(
        self, x_mm: float, y_mm: float, radius_mm: float, *, stroke: Ink | None = None,
        fill: Ink | None = None, width_mm: float = 0.2,
    ) -> None:  # fmt: skip
        """Draw a circle or a disc."""
        self._pen(stroke, fill, width_mm, 0.0)
        (x, y), radius = self._points([[x_mm, y_mm]])[0], radius_mm * POINTS_PER_MM
        self.pdf.circle(x, y, radius, stroke=int(stroke is not None), fill=int(fill is not None))

    def text(
        self, x_mm: float, y_mm: float, told: str, size_mm: float, *, font: str = "plain",
        ink: Ink = 0.0, at: str = "left", most_mm: float = np.inf,
    ) -> float:  # fmt: skip
        """Write a line with its baseline at y, cut to `most_mm`; return its width in mm."""
        told = fitted(told, size_mm, font, most_mm)
        wide = text_mm(told, size_mm, font)
        left = x_mm - {"left": 0.0, "middle": wide / 2, "right": wide}[at]
        self._pen(None, ink, 0.2, 0.0)
        self.pdf.setFont(_font(font), size_mm * POINTS_PER_MM)
        self.pdf.drawString(*self._points([[left, y_mm]])[0], told)
        return wide

    def picture(
        self, rgb: NDArray[np.uint8], x_mm: float, y_mm: float, width_mm: float, height_mm: float
    ) -> None:
        """Draw pixels with their top left at x, y."""
        held = BytesIO()
        Image.fromarray(rgb).save(held, "JPEG", quality=QUALITY)
        x, y = self._points([[x_mm, y_mm + height_mm]])[0]
        size = width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM
        self.pdf.drawImage(ImageReader(BytesIO(held.getvalue())), x, y, *size)

    @contextmanager
    def within(self, lines_mm: Sequence[ArrayLike]) -> Iterator[None]:
        """Draw only inside closed lines."""
        self.pdf.saveState()
        self.pdf.clipPath(
            self._path(lines_mm, closed=True), stroke=0, fill=0, fillMode=FILL_EVEN_ODD
        )
        try:
            yield
        finally:
            self.pdf.restoreState()

    def _path(self, lines_mm: Sequence[ArrayLike], *, closed: bool) -> Any:
        path = self.pdf.beginPath()
        for line in lines_mm:
            first, *rest = self._points(line)
            path.moveTo(*first)
            for point in rest:
                path.lineTo(*point)
            if closed:
                path.close()
        return path

    def _points(self, xy_mm: ArrayLike) -> list[list[float]]:
        places = np.asarray(xy_mm, dtype=float).reshape(-1, 2)
        turned = np.column_stack((places[:, 0], self.paper.height_mm - places[:, 1]))
        points: list[list[float]] = (turned * POINTS_PER_MM).tolist()
        return points

    def _pen(self, stroke: Ink | None, fill: Ink | None, width_mm: float, dash_mm: float) -> None:
        self.pdf.setLineWidth(width_mm * POINTS_PER_MM)
        dash = dash_mm * POINTS_PER_MM
        self.pdf.setDash([dash, dash / 1.5] if dash else [])
        for ink, choose in ((stroke, self.pdf.setStrokeColorRGB), (fill, self.pdf.setFillColorRGB)):
            if ink is not None:
                choose(*((ink,) * 3 if isinstance(ink, float) else ink))


def new_pdf(held: BytesIO, title: str) -> Any:
    """Return an empty PDF that says the same bytes for the same drawing: no time is written."""
    pdf = Canvas(held, invariant=1)
    pdf.setTitle(title)
    pdf.setCreator("Scrapeview")
    return pdf


def text_mm(told: str, size_mm: float, font: str = "plain") -> float:
    """Return how wide a line of text is."""
    return float(pdfmetrics.stringWidth(told, _font(font), size_mm))


def fitted(told: str, size_mm: float, font: str, most_mm: float) -> str:
    """Return a text with "?" for what the font cannot show, cut where there is no more room."""
    known = pdfmetrics.getFont(_font(font)).face.charToGlyph
    told = "".join(letter if ord(letter) in known else "?" for letter in " ".join(told.split()))
    if text_mm(told, size_mm, font) <= most_mm:
        return told
    while told and text_mm(f"{told} ...", size_mm, font) > most_mm:
        told = told[:-1]
    return f"{told.rstrip()} ..."


@cache
def _font(name: str) -> str:
    pdfmetrics.registerFont(TTFont(FONTS[name], f"{FONTS[name]}.ttf"))
    return FONTS[name]
