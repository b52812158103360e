"""Sheets of cards and tiles as pixels, and what is found on them, in mm of the page."""

import struct
from dataclasses import dataclass
from io import BytesIO

import cv2
import numpy as np
import pypdfium2
from PIL import Image

from scrapeview.plane.cards import DICTIONARY, MARKER_CELLS

MM_PER_POINT = 25.4 / 72
DPI = 300


@dataclass
class Seen:
    """Grey pixels of a page, 255 white, its size in mm and its markers' corners in mm."""

    grey: np.ndarray
    size_mm: tuple
    text: str = ""
    numbers: dict | None = None

    def __post_init__(self):
        self.per_mm = np.array(self.grey.shape[::-1]) / self.size_mm
        self.markers = self._markers()

    def _markers(self):
        wanted = cv2.aruco.DetectorParameters()
        wanted.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
        # paper is evenly lit: one threshold will do
        wanted.adaptiveThreshWinSizeMin = wanted.adaptiveThreshWinSizeMax = 23
        detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(DICTIONARY), wanted)
        corners, ids, _ = detector.detectMarkers(self.grey)
        found = [
            (int(number), (each.reshape(4, 2) + 0.5) / self.per_mm)
            for number, each in zip(np.ravel(ids), corners, strict=True)
        ]
        return sorted(found, key=lambda each: (each[0], tuple(each[1][0])))

    def part(self, x0, y0, x1, y1):
        """Whole pixels inside a box of the page, mm."""
        low = np.ceil(np.array([x0, y0]) * self.per_mm - 1e-6).astype(int)
        high = np.floor(np.array([x1, y1]) * self.per_mm + 1e-6).astype(int)
        return self.grey[low[1] : high[1], low[0] : high[0]]

    def ink_box(self):
        """Box round all that is printed, mm."""
        rows, columns = ((self.grey < 250).any(axis=axis).nonzero()[0] for axis in (1, 0))
        low = np.array([columns[0], rows[0]]) / self.per_mm
        high = np.array([columns[-1] + 1, rows[-1] + 1]) / self.per_mm
        return *low, *high

    def bar_mm(self):
        """Length of the longest black run near the foot, its grey ends counted by their share."""
        foot = self.grey[-round(60 * self.per_mm[1]) :]
        runs = [longest_run(row < 60) for row in foot]
        lengths = np.array([stop - start for start, stop in runs])
        # the rows at its upper and lower edge are grey
        y = int(np.median(np.flatnonzero(lengths >= lengths.max() - 2)))
        start, stop = runs[y]
        ink = 1 - foot[y, start - 3 : stop + 3] / 255
        return float(ink.sum() / self.per_mm[0])


def longest_run(row):
    ends = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    if not len(ends):
        return 0, 0
    at = np.argmax(ends[1::2] - ends[::2])
    return ends[2 * at], ends[2 * at + 1]


def of_pdf(pdf, page=0, dpi=DPI):
    with pypdfium2.PdfDocument(pdf) as document:
        opened = document[page]
        size_mm = tuple(side * MM_PER_POINT for side in opened.get_size())
        pixels = opened.render(scale=dpi / 72, grayscale=True).to_numpy()
        textpage = opened.get_textpage()
        seen = Seen(pixels.reshape(pixels.shape[:2]).copy(), size_mm, textpage.get_text_range())
        seen.numbers = {
            number: _below(textpage, corners, size_mm) for number, corners in seen.markers
        }
        return seen


def _below(textpage, corners, size_mm):
    """Text printed less than a fifth of a marker below it."""
    (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
    left, right, top, low = x0, x1, size_mm[1] - y1, size_mm[1] - y1 - 0.22 * (y1 - y0)
    box = (value / MM_PER_POINT for value in (left, low, right, top))
    return textpage.get_text_bounded(*box).strip()


def of_png(png):
    with Image.open(BytesIO(png)) as image:
        grey = np.array(image)
    across, down, unit = struct.unpack(">IIB", png[(at := png.index(b"pHYs") + 4) : at + 9])
    assert unit == 1
    return Seen(grey, (1000 * grey.shape[1] / across, 1000 * grey.shape[0] / down))


def quiet_rings(seen):
    """Least brightness of the cell of white round each marker; half a pixel at the edge is not."""
    for number, corners in seen.markers:
        (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
        cell, off = (x1 - x0) / MARKER_CELLS, 1.2 / seen.per_mm[0]
        bands = (
            (x0 - cell, y0 - cell, x1 + cell, y0 - off),
            (x0 - cell, y1 + off, x1 + cell, y1 + cell),
            (x0 - cell, y0, x0 - off, y1),
            (x1 + off, y0, x1 + cell, y1),
        )
        yield number, min(int(seen.part(*band).min()) for band in bands)


def moved_only(found, wanted):
    """Largest distance left where points may be moved together, but not turned or stretched."""
    found, wanted = (np.reshape(each, (-1, 2)) for each in (found, wanted))
    off = found - wanted
    return float(np.linalg.norm(off - off.mean(axis=0), axis=1).max())
