"""Faces larger than a sheet, with points to take at known places, and sheets read back."""

import dataclasses
from ctypes import byref, c_float
from types import SimpleNamespace

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium

from scrapeview.columns import table
from scrapeview.judge.compare.laid import FaceGrid
from scrapeview.judge.next.next_pass import NextPass
from scrapeview.judge.next.stage import Stage

MM_PER_POINT = 25.4 / 72
KINDS = ("hollow", "merged", "large", "crowded", "largest")


def face_of(base, *regions_mm, openings_mm=()):
    """A reading whose face is made of these polygons."""
    return dataclasses.replace(
        base,
        regions_mm=tuple(np.array(region, dtype=float) for region in regions_mm),
        openings_mm=tuple(np.array(hole, dtype=float) for hole in openings_mm),
    )


def box(x, y, width, height):
    return np.array([[x, y], [x + width, y], [x + width, y + height], [x, y + height]], float)


def advice_for(places_mm, across_mm, *, why="large", later=0):
    """Advice to take points at these places, the last ones later."""
    places, n = np.asarray(places_mm, dtype=float), len(places_mm)
    points = table(
        "to_take",
        {
            "rank": np.arange(1, n + 1), "number": np.arange(1, n + 1),
            "x_mm": places[:, 0], "y_mm": places[:, 1], "diameter_mm": across_mm,
            "what": ["take"] * (n - later) + ["later"] * later,
            "why": [why] * n if isinstance(why, str) else why, "caution": [""] * n,
            "around_ppsi": np.full(n, 10.0), "around_contact_percent": np.full(n, 20.0),
        },
    )  # fmt: skip
    grid = FaceGrid(0.5, (1.0, 1.0), (100, 200))
    leave = np.zeros(grid.shape, dtype=bool)
    leave[20:50, 30:80] = True
    stage = Stage(name="finish", why="nearly there", figure=18.0, limit=20.0)
    return NextPass(
        halt="", points=points, bare=table("places"), sparse=table("places"), leave=leave,
        grid=grid, stage=stage, stroke=None, most_percent=100 / 3, large_mm=4.0,
    )  # fmt: skip


def read_back(pdf):
    """Pages of a PDF: size, text, and every path as points (mm from the page's top left)."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [_page(document[at]) for at in range(len(document))]


def _page(page):
    width, height = page.get_size()
    paths, pictures = [], 0
    for item in page.get_objects():
        if item.type == pdfium.FPDF_PAGEOBJ_IMAGE:
            pictures += 1
        if item.type != pdfium.FPDF_PAGEOBJ_PATH:
            continue
        points = np.array(list(_points(item.raw))) * MM_PER_POINT
        points[:, 1] = height * MM_PER_POINT - points[:, 1]
        paths.append(points)
    text = page.get_textpage().get_text_range()
    size = width * MM_PER_POINT, height * MM_PER_POINT
    return SimpleNamespace(size_mm=size, text=text, paths=paths, pictures=pictures)


def _points(path):
    for at in range(pdfium.FPDFPath_CountSegments(path)):
        x, y = c_float(), c_float()
        pdfium.FPDFPathSegment_GetPoint(
            pdfium.FPDFPath_GetPathSegment(path, at), byref(x), byref(y)
        )
        yield x.value, y.value


def circles(page, radius_mm):
    """Middles of all circles of a radius."""
    found = []
    for points in page.paths:
        low, high = points.min(axis=0), points.max(axis=0)
        if len(points) > 9 and np.allclose((high - low) / 2, radius_mm, atol=0.02):
            found.append((low + high) / 2)
    return np.array(found).reshape(-1, 2)
