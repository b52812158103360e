"""How a face lies on sheets of paper at 1:1: which way they are turned, and where they overlap."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import SettingsError

EDGE_MM = 8.0
"""Most printers leave up to 6 mm of the paper's edge white."""
HEAD_MM = 14.0
FOOT_MM = 22.0
OVERLAP_MM = 20.0
"""Neighbouring sheets show the same strip of the face, so that their crosses can be laid over."""
AROUND_MM = 2.0
"""Shown of what lies round the face, so that its outline is not at the very border."""
MOST_SHEETS = 400
COARSE_MM = 1.0


@dataclass(frozen=True)
class Paper:
    """A size of paper, upright."""

    name: str
    width_mm: float
    height_mm: float

    def turned(self) -> "Paper":
        """Return the paper lying on its side."""
        return Paper(self.name, self.height_mm, self.width_mm)


PAPERS = {
    "a4": Paper("A4", 210.0, 297.0),
    "letter": Paper("Letter", 215.9, 279.4),
}


@dataclass(frozen=True)
class Tile:
    """One sheet: its place in the grid of sheets, and the part of the face it shows.

    Parameters
    ----------
    row, column : int
        From 0, from the top and from the left.
    x_mm, y_mm, width_mm, height_mm : float
        Of the face.
    """

    row: int
    column: int
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    @property
    def name(self) -> str:
        """Name of the sheet: rows are letters, columns numbers."""
        return f"{row_letters(self.row)}{self.column + 1}"


@dataclass(frozen=True)
class Layout:
    """The sheets a face lies on.

    Parameters
    ----------
    paper : Paper
        Turned the way it is used.
    rows, columns : int
    tiles : tuple of Tile
        Row by row; sheets that would show nothing of the face are left out.
    """

    paper: Paper
    rows: int
    columns: int
    tiles: tuple[Tile, ...]

    def crosses(self) -> tuple[tuple[float, float], ...]:
        """Return the face points (mm) of the registration crosses, in the strips two sheets share.

        There are two between every pair of neighbours.
        """
        found: set[tuple[float, float]] = set()
        for tile in self.tiles:
            right, low = tile.x_mm + tile.width_mm, tile.y_mm + tile.height_mm
            if tile.column + 1 < self.columns:
                x = right - OVERLAP_MM / 2
                found |= {(x, tile.y_mm + share * tile.height_mm) for share in (0.25, 0.75)}
            if tile.row + 1 < self.rows:
                y = low - OVERLAP_MM / 2
                found |= {(tile.x_mm + share * tile.width_mm, y) for share in (0.25, 0.75)}
        return tuple(sorted(found))


def layout_for(regions_mm: Sequence[NDArray[np.float64]], paper: Paper) -> Layout:
    """Return the sheets a face lies on, turned so that they are fewest.

    Parameters
    ----------
    regions_mm : sequence of (N, 2) arrays
        The face.
    paper : Paper
        Upright.

    Raises
    ------
    SettingsError
        Where the face needs more than 400 sheets.
    """
    corners = np.concatenate([np.asarray(region, dtype=float) for region in regions_mm])
    low, high = corners.min(axis=0) - AROUND_MM, corners.max(axis=0) + AROUND_MM
    wide = (high - low)[0] > (high - low)[1]
    turnings = (paper.turned(), paper) if wide else (paper, paper.turned())
    found = [_laid_out(low, high, turned, regions_mm) for turned in turnings]
    # the first where both need as many
    return min(found, key=lambda layout: len(layout.tiles))


def row_letters(row: int) -> str:
    """Return A to Z, then AA, AB and so on."""
    letters = chr(ord("A") + row % 26)
    return letters if row < 26 else row_letters(row // 26 - 1) + letters


def window_mm(paper: Paper) -> tuple[float, float]:
    """Return width and height of what a sheet shows of the face."""
    return paper.width_mm - 2 * EDGE_MM, paper.height_mm - 2 * EDGE_MM - HEAD_MM - FOOT_MM


def _laid_out(
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    paper: Paper,
    regions_mm: Sequence[NDArray[np.float64]],
) -> Layout:
    window = np.array(window_mm(paper))
    step = window - OVERLAP_MM
    counts = np.maximum(1, np.ceil((high - low - OVERLAP_MM) / step - 1e-9)).astype(int)
    columns, rows = int(counts[0]), int(counts[1])
    if rows * columns > MOST_SHEETS:
        raise SettingsError(
            f"At 1:1 this face needs {rows * columns} sheets of {paper.name}, and "
            f"{MOST_SHEETS} is the most: write a picture (.png) instead."
        )
    start = low - (counts * step + OVERLAP_MM - (high - low)) / 2
    tiles = [
        Tile(row, column, *(float(v) for v in start + step * (column, row)), *map(float, window))
        for row, column in product(range(rows), range(columns))
    ]
    held = _holder(low, high, regions_mm)
    return Layout(paper, rows, columns, tuple(tile for tile in tiles if held(tile)))


def _holder(
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    regions_mm: Sequence[NDArray[np.float64]],
) -> Callable[[Tile], bool]:
    """Return what tells whether a tile shows any of the face, by a coarse raster of it."""
    width, height = (int(np.ceil(side / COARSE_MM)) + 1 for side in high - low)
    raster = np.zeros((height, width), np.uint8)
    for region in regions_mm:
        corners = np.rint((np.asarray(region, dtype=float) - low) / COARSE_MM)
        cv2.fillPoly(raster, [corners.astype(np.int32)], (1,))

    def held(tile: Tile) -> bool:
        x, y = ((np.array([tile.x_mm, tile.y_mm]) - low) / COARSE_MM).astype(int)
        right, down = (
            start + int(side / COARSE_MM) + 1
            for start, side in ((x, tile.width_mm), (y, tile.height_mm))
        )
        return bool(raster[max(0, y) : down, max(0, x) : right].any())

    return held
