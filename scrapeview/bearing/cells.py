"""Cells of the face and its worst square, found on the grid and by sliding a window."""

from dataclasses import dataclass

import cv2
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing.components import Mask
from scrapeview.columns import table
from scrapeview.units import per_25mm_square, per_square_inch

ENOUGH_AREA = 0.5
"""Share of a cell that must be face for its figures to be compared with others'."""
SLIDING_STEP_MM = 1.0
SLIDING_ENOUGH_AREA = 0.95
"""The sliding window finds whole squares nearly everywhere, so it can ask for more."""


@dataclass(frozen=True)
class Square:
    """One square of the face.

    Parameters
    ----------
    x_mm, y_mm, side_mm : float
        Its left top corner and side.
    area_mm2 : float
        Face inside it.
    points : int
    points_per_square_inch, points_per_25mm_square, contact_percent : float
    """

    x_mm: float
    y_mm: float
    side_mm: float
    area_mm2: float
    points: int
    points_per_square_inch: float
    points_per_25mm_square: float
    contact_percent: float


@dataclass(frozen=True, eq=False)
class Sums:
    """Summed-area tables of face and contact, for sums over any rectangle of pixels.

    Parameters
    ----------
    face, contact : (h + 1, w + 1) int32
    px_per_mm : float
    origin_mm : (x, y)
        Face coordinates of pixel (0, 0)'s centre.
    """

    face: NDArray[np.int32]
    contact: NDArray[np.int32]
    px_per_mm: float
    origin_mm: tuple[float, float]

    def edges(self, x_mm: NDArray[np.float64], axis: int) -> NDArray[np.intp]:
        """First pixel of the rectangle that starts at each position along an axis (0 x, 1 y)."""
        position = np.ceil((x_mm - self.origin_mm[axis]) * self.px_per_mm - 1e-9).astype(np.intp)
        return np.clip(position, 0, self.face.shape[1 - axis] - 1)


def sums_of(face: Mask, contact: Mask, px_per_mm: float, origin_mm: tuple[float, float]) -> Sums:
    """Return the summed-area tables of the face and its contact."""
    return Sums(
        np.asarray(cv2.integral(face.view(np.uint8), sdepth=cv2.CV_32S)),
        np.asarray(cv2.integral(contact.view(np.uint8), sdepth=cv2.CV_32S)),
        px_per_mm,
        origin_mm,
    )


def measure_cells(
    sums: Sums,
    points: pd.DataFrame,
    bounds_mm: tuple[float, float, float, float],
    cell_mm: float,
) -> pd.DataFrame:
    """Return the table of cells that hold any face, on a grid from the bounds' top left.

    Parameters
    ----------
    sums : Sums
    points : DataFrame
        With x_mm and y_mm.
    bounds_mm : (x0, y0, x1, y1)
    cell_mm : float
    """
    x0, y0, x1, y1 = bounds_mm
    columns = max(1, int(np.ceil((x1 - x0) / cell_mm - 1e-6)))
    rows = max(1, int(np.ceil((y1 - y0) / cell_mm - 1e-6)))
    x_lines = x0 + cell_mm * np.arange(columns + 1, dtype=np.float64)
    y_lines = y0 + cell_mm * np.arange(rows + 1, dtype=np.float64)
    columns_px, rows_px = sums.edges(x_lines, 0), sums.edges(y_lines, 1)
    # the last row and column take in the face's own edge
    columns_px[-1], rows_px[-1] = sums.face.shape[1] - 1, sums.face.shape[0] - 1
    columns_px[0], rows_px[0] = 0, 0
    face_px = _blocks(sums.face, rows_px, columns_px)
    contact_px = _blocks(sums.contact, rows_px, columns_px)
    counts = np.zeros((rows, columns), dtype=np.int64)
    column = np.clip((points["x_mm"].to_numpy() - x0) // cell_mm, 0, columns - 1).astype(int)
    row = np.clip((points["y_mm"].to_numpy() - y0) // cell_mm, 0, rows - 1).astype(int)
    np.add.at(counts, (row, column), 1)
    row, column = np.nonzero(face_px)
    area_mm2 = face_px[row, column] / sums.px_per_mm**2
    n = counts[row, column]
    return table(
        "cells",
        {
            "column": column,
            "row": row,
            "x_mm": x_lines[column],
            "y_mm": y_lines[row],
            "area_mm2": area_mm2,
            "points": n,
            "contact_percent": 100 * contact_px[row, column] / face_px[row, column],
            "points_per_square_inch": per_square_inch(n, area_mm2),
            "points_per_25mm_square": per_25mm_square(n, area_mm2),
            "enough_area": area_mm2 >= ENOUGH_AREA * cell_mm**2,
        },
    )


def sliding_squares(
    sums: Sums,
    points: pd.DataFrame,
    bounds_mm: tuple[float, float, float, float],
    side_mm: float,
) -> tuple[Square, Square] | None:
    """Return the worst and the best square of a side, wherever it lies.

    The worst has the fewest points per area and, among equals, the least contact; the best the
    most. Squares that are face for less than 95 % do not count; where the face is too narrow for
    such a square, those that hold nearly as much of it as any do.

    Parameters
    ----------
    sums : Sums
    points : DataFrame
    bounds_mm : (x0, y0, x1, y1)
    side_mm : float

    Returns
    -------
    (worst, best) or None
        None where the face has no area.
    """
    x0, y0, x1, y1 = bounds_mm
    x = np.arange(x0, max(x1 - side_mm, x0) + 1e-9, SLIDING_STEP_MM)
    y = np.arange(y0, max(y1 - side_mm, y0) + 1e-9, SLIDING_STEP_MM)
    face_px = _windows(sums.face, sums, x, y, side_mm)
    most = face_px.max(initial=0)
    if most == 0:
        return None
    enough = face_px >= SLIDING_ENOUGH_AREA * min(most, (side_mm * sums.px_per_mm) ** 2)
    area_mm2 = np.maximum(face_px, 1) / sums.px_per_mm**2
    contact = 100 * _windows(sums.contact, sums, x, y, side_mm) / np.maximum(face_px, 1)
    counts = _points_in_windows(points, x, y, side_mm)
    density = per_square_inch(counts, area_mm2)

    def square(index: int) -> Square:
        j, i = np.unravel_index(index, counts.shape)
        n, area = int(counts[j, i]), float(area_mm2[j, i])
        return Square(
            float(x[i]), float(y[j]), side_mm, area, n,
            per_square_inch(n, area), per_25mm_square(n, area), float(contact[j, i]),
        )  # fmt: skip

    # contact is below 100 %, so it only decides between equal densities
    rank = density + contact / 1e4
    worst = int(np.argmin(np.where(enough, rank, np.inf)))
    best = int(np.argmax(np.where(enough, rank, -np.inf)))
    return square(worst), square(best)


def _blocks(
    summed: NDArray[np.int32], rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> NDArray[np.int64]:
    at = summed[np.ix_(rows, columns)].astype(np.int64)
    return np.diff(np.diff(at, axis=0), axis=1)


def _windows(
    summed: NDArray[np.int32],
    sums: Sums,
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    side_mm: float,
) -> NDArray[np.int64]:
    left, right = sums.edges(x, 0), sums.edges(x + side_mm, 0)
    top, bottom = sums.edges(y, 1), sums.edges(y + side_mm, 1)

    def at(rows: NDArray[np.intp], columns: NDArray[np.intp]) -> NDArray[np.int64]:
        return summed[np.ix_(rows, columns)].astype(np.int64)

    return at(bottom, right) - at(top, right) - at(bottom, left) + at(top, left)


def _points_in_windows(
    points: pd.DataFrame, x: NDArray[np.float64], y: NDArray[np.float64], side_mm: float
) -> NDArray[np.int64]:
    """Count points in each half-open window [x, x + side) x [y, y + side)."""
    x_lines, x_first, x_last = _lines(x, side_mm)
    y_lines, y_first, y_last = _lines(y, side_mm)
    # the lines end with one beyond everything, so that the last bin is open there too
    counts = np.histogram2d(points["y_mm"], points["x_mm"], bins=(y_lines, x_lines))[0]
    summed = np.pad(counts.astype(np.int64).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    return np.asarray(
        summed[np.ix_(y_last, x_last)]
        - summed[np.ix_(y_first, x_last)]
        - summed[np.ix_(y_last, x_first)]
        + summed[np.ix_(y_first, x_first)]
    )


def _lines(
    start: NDArray[np.float64], side_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.intp]]:
    lines = np.unique(np.concatenate((start, start + side_mm)))
    first, last = np.searchsorted(lines, start), np.searchsorted(lines, start + side_mm)
    return np.append(lines, np.inf), first, last
