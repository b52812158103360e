"""The figures of a whole face from the prints of its placements."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing import Interval
from scrapeview.confidence import (
    DOUBT,
    contact_interval,
    enough_fields,
    points_interval,
)
from scrapeview.judge.compare.laid import FaceGrid, Mask, grid_for, lay
from scrapeview.judge.inline.blocks import Values
from scrapeview.judge.inline.chains import Stretch, chains_of, in_a_row, last_pass, meetings_of
from scrapeview.judge.inline.estimates import PlacedPrint
from scrapeview.judge.verdict.parts import ground_of
from scrapeview.units import SQUARES_25MM_PER_SQUARE_INCH, per_square_inch


@dataclass(frozen=True)
class StretchFigures:
    """Figures of a face, or of one stretch of it.

    Parameters
    ----------
    name : str
        Of the placement; "" for the whole face.
    from_mm, to_mm : float
        Along the face, from the middle of one overlap to the middle of the next.
    area_mm2 : float
    contact_percent : float
    contact_interval : Interval
    points_per_square_inch : float
    ppsi_interval : Interval
    """

    name: str
    from_mm: float
    to_mm: float
    area_mm2: float
    contact_percent: float
    contact_interval: Interval
    points_per_square_inch: float
    ppsi_interval: Interval

    @property
    def points_per_25mm_square(self) -> float:
        """Points per 25 mm x 25 mm square."""
        return self.points_per_square_inch / SQUARES_25MM_PER_SQUARE_INCH


@dataclass(frozen=True, eq=False)
class JoinedFigures:
    """A whole face, each place judged by the placements that covered it.

    Parameters
    ----------
    pass_number : int
    whole : StretchFigures
    stretches : tuple of StretchFigures
        From left to right; those of the far and the near side after each other.
    grid : FaceGrid
    contact : (h, w) float64
        Share of the placements that covered a place which marked it, 0-1; NaN where none did.
    covered : (h, w) int8
        How many placements covered it.
    """

    pass_number: int
    whole: StretchFigures
    stretches: tuple[StretchFigures, ...]
    grid: FaceGrid
    contact: Values
    covered: NDArray[np.int8]

    @property
    def known(self) -> Mask:
        """Where at least one placement shows the face."""
        return self.covered > 0


@dataclass(frozen=True, eq=False)
class _Sheet:
    """All that stretches are cut from."""

    grid: FaceGrid
    contact: Values
    covered: NDArray[np.int8]
    points: pd.DataFrame
    edge_percent: float
    scale_error: float
    cell_mm: float
    confidence: float


def joined_figures(prints: Sequence[PlacedPrint]) -> JoinedFigures:
    """Join the prints of all placements of the last pass.

    Where several placements covered a place, its contact is their mean, and a point there counts
    as one over their number. Their union would read too much: what either marks by a thicker film
    or a lean would all count.

    Parameters
    ----------
    prints : sequence of PlacedPrint
        Of one face; of several prints of one stretch the last counts, and those that show no
        print are left out.

    Raises
    ------
    ReadingError
        Where there is no print.
    """
    last = last_pass(prints)
    chains = chains_of(last)
    stretches = [one for chain in chains for one in chain]
    sheet = _sheet(stretches)
    every = _figures(sheet, "", min(one.from_mm for one in stretches),
                     max(one.to_mm for one in stretches))  # fmt: skip
    cut = tuple(
        _figures(sheet, *named, top_foot=_breadth(chain))
        for chain in chains
        for named in _between_joints(in_a_row(chain))
    )
    number = last[0].printed.pass_number
    return JoinedFigures(number, every, cut, sheet.grid, sheet.contact, sheet.covered)


def _sheet(stretches: Sequence[Stretch]) -> _Sheet:
    readings = [one.reading for one in stretches]
    grid = grid_for(readings)
    covered = np.zeros(grid.shape, dtype=np.int8)
    marked = np.zeros(grid.shape, dtype=np.int8)
    for one in stretches:
        laid = lay(one.reading, grid)
        reached = _reached(one, grid)
        covered += laid.known & reached
        marked += laid.contact & reached
    contact = np.full(grid.shape, np.nan)
    np.divide(marked, covered, out=contact, where=covered > 0)
    grounds = [ground_of(reading) for reading in readings]
    areas = np.array([reading.area_mm2 for reading in readings])
    edge, scale = (
        float(np.average(values, weights=areas))
        for values in ([g.edge_percent for g in grounds], [g.scale_error for g in grounds])
    )
    settings = readings[0].settings
    points = pd.concat([_points(one, grid, covered) for one in stretches], ignore_index=True)
    return _Sheet(
        grid, contact, covered, points, edge, scale, settings.cell_mm, settings.confidence
    )


def _reached(one: Stretch, grid: FaceGrid) -> Mask:
    """Columns of the grid that a placement covered."""
    x = np.arange(grid.shape[1]) / grid.px_per_mm + grid.origin_mm[0]
    return np.asarray((x >= one.from_mm) & (x < one.to_mm))[None, :]


def _points(one: Stretch, grid: FaceGrid, covered: NDArray[np.int8]) -> pd.DataFrame:
    """Points of a placement by what each counts: 1 over how many placements covered its place."""
    points = one.reading.points
    x, y = (points[name].to_numpy(dtype=float) for name in ("x_mm", "y_mm"))
    column, row = np.rint(grid.to_px(np.column_stack((x, y)))).astype(int).T
    rows, columns = grid.shape
    count = covered[row.clip(0, rows - 1), column.clip(0, columns - 1)]
    weight = np.where((x >= one.from_mm) & (x < one.to_mm), 1 / np.maximum(count, 1), 0.0)
    table = pd.DataFrame({"x_mm": x, "y_mm": y, "weight": weight})
    for flag in DOUBT:
        table[flag] = points[flag].to_numpy(dtype=float) * weight
    return table[weight > 0]


def _between_joints(chain: Sequence[Stretch]) -> list[tuple[str, float, float]]:
    joints = [meeting.at_mm for meeting in meetings_of(chain)]
    starts, ends = [chain[0].from_mm, *joints], [*joints, chain[-1].to_mm]
    return [(one.name, a, b) for one, a, b in zip(chain, starts, ends, strict=True)]


def _breadth(chain: Sequence[Stretch]) -> tuple[float, float]:
    corners = np.concatenate([np.concatenate(one.reading.regions_mm) for one in chain])
    return float(corners[:, 1].min()), float(corners[:, 1].max())


def _figures(
    sheet: _Sheet,
    name: str,
    from_mm: float,
    to_mm: float,
    *,
    top_foot: tuple[float, float] = (-np.inf, np.inf),
) -> StretchFigures:
    grid = sheet.grid
    x = np.arange(grid.shape[1]) / grid.px_per_mm + grid.origin_mm[0]
    y = np.arange(grid.shape[0]) / grid.px_per_mm + grid.origin_mm[1]
    rows, columns = (
        np.flatnonzero((at >= low) & (at < high))
        for at, low, high in ((y, *top_foot), (x, from_mm, to_mm))
    )
    points = sheet.points
    inside = (points["x_mm"] >= from_mm) & (points["x_mm"] < to_mm)
    inside &= (points["y_mm"] >= top_foot[0]) & (points["y_mm"] <= top_foot[1])
    points = points[inside]
    fields = enough_fields(
        lambda side_mm: _squares(sheet, (rows, columns), points, side_mm), sheet.cell_mm
    )
    area_mm2 = float(fields["area_mm2"].sum())
    held = float(fields["area_mm2"].to_numpy() @ fields["contact_percent"].to_numpy())
    contact = held / area_mm2 if area_mm2 > 0 else 0.0
    ppsi = per_square_inch(float(points["weight"].sum()), area_mm2)
    return StretchFigures(
        name, from_mm, to_mm, area_mm2, contact,
        contact_interval(contact, fields, sheet.edge_percent, sheet.confidence),
        ppsi,
        points_interval(ppsi, points, fields, area_mm2, sheet.scale_error, sheet.confidence),
    )  # fmt: skip


def _squares(
    sheet: _Sheet,
    at: tuple[NDArray[np.intp], NDArray[np.intp]],
    points: pd.DataFrame,
    side_mm: float,
) -> pd.DataFrame:
    grid, (rows, columns) = sheet.grid, at
    if not len(rows) or not len(columns):
        return pd.DataFrame({"area_mm2": [0.0], "contact_percent": [0.0], "points": [0.0]})
    shape = tuple(int(len(n) / grid.px_per_mm // side_mm) + 1 for n in at)
    known = sheet.covered[np.ix_(rows, columns)] > 0
    share = np.nan_to_num(sheet.contact[np.ix_(rows, columns)])
    down, across = (((n - n[0]) / grid.px_per_mm // side_mm).astype(int) for n in at)
    number = (down[:, None] * shape[1] + across[None, :]).ravel()
    count = shape[0] * shape[1]
    area = np.bincount(number, known.ravel(), count) * grid.square_mm2
    held = np.bincount(number, share.ravel(), count) * grid.square_mm2
    place = grid.to_px(points[["x_mm", "y_mm"]].to_numpy())
    column, row = (
        np.clip((place[:, i] - n[0]) / grid.px_per_mm // side_mm, 0, most - 1).astype(int)
        for i, n, most in ((0, columns, shape[1]), (1, rows, shape[0]))
    )
    found = np.bincount(row * shape[1] + column, points["weight"].to_numpy(), count)
    kept = area > 0
    return pd.DataFrame({
        "area_mm2": area[kept],
        "contact_percent": 100 * held[kept] / area[kept],
        "points": found[kept],
    })  # fmt: skip
