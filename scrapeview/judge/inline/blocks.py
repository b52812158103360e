"""A face parted into blocks: how much of each is in contact, placement by placement."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.judge.compare.laid import FaceGrid, Mask, known_mask, shares
from scrapeview.plane.polygons import polygon_mask
from scrapeview.result import Reading

Values = NDArray[np.float64]
Numbers = NDArray[np.intp]

MOST_BLOCKS = 450
"""So many keep an estimate within a third of a second."""
FITTED_AT_ONCE = 4
"""Placements; more of them are fitted four at a time."""
SMALLEST_MM = 8.0
"""Side of a block that still holds several marks."""
LEAST_ROWS = 2
TELLING = (0.02, 0.98)
"""Shares of contact between which a block tells a height."""
TELLING_SHARE = 0.5
LEAST_KNOWN = 0.4
"""Share of a block that a print must show."""


@dataclass(frozen=True, eq=False)
class Blocks:
    """Blocks of a face, one row for each placement that shows one.

    Parameters
    ----------
    share : (n,) float64
        In contact, 0-1, of what is known.
    known : (n,) float64
        Share of the block that is known.
    x_mm, y_mm : (n,) float64
        Middle of the block.
    block, placement, way : (n,) int
        Number of the block, of the placement and of the region, each from 0; a block that two
        placements show has one number.
    side_mm : float
    """

    share: Values
    known: Values
    x_mm: Values
    y_mm: Values
    block: Numbers
    placement: Numbers
    way: Numbers
    side_mm: float

    def __len__(self) -> int:
        return len(self.share)

    def chosen(self, rows: Mask) -> "Blocks":
        """Return some of the rows."""
        return Blocks(
            self.share[rows], self.known[rows], self.x_mm[rows], self.y_mm[rows],
            self.block[rows], self.placement[rows], self.way[rows], self.side_mm,
        )  # fmt: skip


def blocks_of(
    readings: Sequence[Reading],
    spans_mm: Sequence[tuple[float, float]] | None = None,
    *,
    side_mm: float | None = None,
    each_region: bool = False,
) -> Blocks:
    """Part the face that some readings show into blocks.

    Parameters
    ----------
    readings : sequence of Reading
        One a placement, in millimetres of the same face.
    spans_mm : sequence of (float, float), optional
        From where to where along the face each placement reached; all that it shows if left out.
    side_mm : float, optional, keyword-only
        Side of a block; about as many blocks as can be handled soon if left out.
    each_region : bool, keyword-only
        Whether each region of a reading is a way; else those that lie in one line along the face
        are one.
    """
    spans = spans_mm or [(-np.inf, np.inf)] * len(readings)
    ways = _ways_of(readings, each_region=each_region)
    masks = [_region_masks(reading) for reading in readings]
    side = side_mm or _side_mm(readings, masks)
    rows: list[Values] = []
    first = 0
    for way in range(1 + max(number for numbers in ways for number in numbers)):
        shown = [i for i, numbers in enumerate(ways) if way in numbers]
        mine = [[k for k, number in enumerate(ways[i]) if number == way] for i in shown]
        outlines = [
            readings[i].regions_mm[k] for i, own in zip(shown, mine, strict=True) for k in own
        ]
        grid = _grid(outlines, side)
        for i, own in zip(shown, mine, strict=True):
            known = np.any([masks[i][k] for k in own], axis=0)
            rows.append(_rows(readings[i], known, grid, spans[i], (first, i, way)))
        first += grid.shape[0] * grid.shape[1]
    share, known_of, x, y, block, placement, way_of = np.concatenate(rows).T
    return Blocks(
        share, known_of, x, y, block.astype(int), placement.astype(int), way_of.astype(int), side
    )


def tells(share: Values, least: int) -> bool:
    """Whether at least so many blocks, and at least half of them, tell a height."""
    telling = int(((share > TELLING[0]) & (share < TELLING[1])).sum())
    return telling >= max(least, TELLING_SHARE * len(share))


def _ways_of(readings: Sequence[Reading], *, each_region: bool) -> list[list[int]]:
    """Number of the way of each region of each reading, from the far side."""
    if each_region:
        return [list(range(len(reading.regions_mm))) for reading in readings]
    lines = [
        [(float(r[:, 1].min()), float(r[:, 1].max())) for r in reading.regions_mm]
        for reading in readings
    ]
    ways: list[tuple[float, float]] = []
    for low, high in sorted({line for own in lines for line in own}, key=sum):
        if ways and low < (ways[-1][0] + ways[-1][1]) / 2:
            ways[-1] = min(ways[-1][0], low), max(ways[-1][1], high)
        else:
            ways.append((low, high))
    return [
        [
            next(i for i, way in enumerate(ways) if way[0] <= low and high <= way[1])
            for low, high in own
        ]
        for own in lines
    ]


def _region_masks(reading: Reading) -> list[Mask]:
    """What is known of each region."""
    known = known_mask(reading)
    if len(reading.regions_mm) == 1:
        return [known]
    outlines = ((r - reading.origin_mm) * reading.px_per_mm for r in reading.regions_mm)
    return [known & polygon_mask(outline, known.shape) for outline in outlines]


def _side_mm(readings: Sequence[Reading], masks: Sequence[Sequence[Mask]]) -> float:
    """Side that parts the narrowest way into whole rows."""
    area_mm2 = sum(
        float(mask.sum()) / reading.px_per_mm**2
        for reading, found in zip(readings, masks, strict=True)
        for mask in found
    )
    most = MOST_BLOCKS * max(1.0, len(readings) / FITTED_AT_ONCE)
    wished = max(SMALLEST_MM, float(np.sqrt(area_mm2 / most)))
    breadth = min(float(np.ptp(r[:, 1])) for reading in readings for r in reading.regions_mm)
    # rounded up, so that blocks do not become many more than wished
    return max(SMALLEST_MM / 2, breadth / max(LEAST_ROWS, int(breadth / wished)))


def _grid(outlines: Sequence[Values], side_mm: float) -> FaceGrid:
    corners = np.concatenate(outlines)
    low, high = corners.min(axis=0), corners.max(axis=0)
    columns, rows = (max(1, int(np.ceil(n - 1e-6))) for n in (high - low) / side_mm)
    x, y = low + side_mm / 2
    return FaceGrid(1 / side_mm, (float(x), float(y)), (rows, columns))


def _rows(
    reading: Reading,
    known: Mask,
    grid: FaceGrid,
    span_mm: tuple[float, float],
    numbers: tuple[int, int, int],
) -> Values:
    at = reading.px_per_mm, reading.origin_mm
    seen = shares(known, *at, grid)
    held = shares(reading.contact_mask & known, *at, grid)
    row, column = np.nonzero(seen >= LEAST_KNOWN)
    x, y = grid.to_mm(np.column_stack((column, row))).T
    half = 0.5 / grid.px_per_mm
    inside = (x - half >= span_mm[0] - 1e-6) & (x + half <= span_mm[1] + 1e-6)
    row, column, x, y = row[inside], column[inside], x[inside], y[inside]
    here = seen[row, column]
    share = np.clip(held[row, column] / here, 0, 1)
    first, placement, way = numbers
    block = first + row * grid.shape[1] + column
    same = np.ones(len(x))
    return np.column_stack((share, here, x, y, block, placement * same, way * same))
