"""A layer as plain numbers: lines in micrometres of the face, markers, and how they are drawn."""

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.charts.canvas import Colour
from scrapeview.charts.marks import Mark

SMOOTHED_PX = 0.6
"""How far an outline may be from the border of its pixels: unseen, and a third of the numbers."""

Line = list[int]


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One layer, with how it is drawn and what the legend says.

    Parameters
    ----------
    key : str
        Short name that stays the same from reading to reading.
    label : str
        Words of the legend.
    kind : {"points", "lines", "cells", "places"}
        points: markers at points of the table; lines: outlines or open lines; cells: as lines,
        with the numbers of the cells; places: markers at places of their own.
    colour, cased : str
        "#rrggbb"; "" where no wider line lies below.
    shape : str
        As in `scrapeview.charts.marks.Mark`, or "diamond".
    at : list of int
        Rows of the points.
    lines_um : list of flat lists
        x, y, x, y ... in micrometres of the face.
    places : list of (x, y)
        mm.
    closed : bool
        Whether each line ends where it began.
    fill : float
        How strongly the inside is coloured, 0-1.
    thick : float
        Width of the line, px.
    shown : bool
        Whether it is switched on to begin with.
    larger : bool
        Whether its markers lie round those of other layers.
    """

    key: str
    label: str
    kind: Literal["points", "lines", "cells", "places"]
    colour: str
    shape: str
    cased: str = ""
    at: list[int]
    lines_um: list[Line]
    places: list[tuple[float, float]]
    closed: bool = True
    fill: float = 0.0
    thick: float = 1.5
    shown: bool = True
    larger: bool = False


def lines_layer(
    key: str,
    mark: Mark,
    lines_um: list[Line],
    label: str = "",
    *,
    kind: Literal["lines", "cells"] = "lines",
    closed: bool = True,
    fill: float = 0.0,
    thick: float = 1.5,
) -> Layer:
    """Return a layer of lines drawn as a mark is; its name is the label unless another is given."""
    shape = "line" if mark.shape == "tick" else mark.shape
    return Layer(
        key=key, label=label or mark.name, kind=kind, colour=hex_of(mark.colour), shape=shape,
        cased=hex_of(mark.cased) if mark.cased else "", at=[], lines_um=lines_um, places=[],
        closed=closed, fill=fill, thick=thick,
    )  # fmt: skip


def places_layer(
    key: str, label: str, places: list[tuple[float, float]], colour: Colour, shape: str
) -> Layer:
    """Return a layer of markers at places of their own, mm."""
    return Layer(
        key=key, label=label, kind="places", colour=hex_of(colour), shape=shape, at=[],
        lines_um=[], places=places,
    )  # fmt: skip


def hex_of(colour: Colour) -> str:
    """Return a colour as "#rrggbb"."""
    red, green, blue = colour
    return f"#{red:02x}{green:02x}{blue:02x}"


def contours_um(
    mask: NDArray[np.bool_], px_per_mm: float, origin_mm: tuple[float, float]
) -> list[Line]:
    """Return the borders of a mask and of its holes as closed lines in micrometres.

    Parameters
    ----------
    mask : (h, w) bool
    px_per_mm : float
    origin_mm : (float, float)
        Face point of pixel (0, 0)'s centre.
    """
    found, _ = cv2.findContours(mask.view(np.uint8), cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    lines = []
    for contour in found:
        border = np.asarray(cv2.approxPolyDP(contour, SMOOTHED_PX, True), float).reshape(-1, 2)
        if len(border) > 2:
            lines.append(line_um(border / px_per_mm + np.array(origin_mm)))
    return lines


def line_um(line_mm: NDArray[np.float64]) -> Line:
    """Return points (N, 2) in mm as x, y, x, y ... in micrometres."""
    return [int(value) for value in np.round(np.asarray(line_mm) * 1000).ravel()]
