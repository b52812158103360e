"""Parts of a face with their points, contact and small squares: what zones and pairs rest on."""

from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing import Interval, sums_of
from scrapeview.bearing.cells import measure_cells
from scrapeview.bearing.intervals import ratio_half_width
from scrapeview.confidence import (
    COUNT_ERROR,
    DOUBT,
    SMALLEST_FIELD_MM,
    contact_interval,
    fields_for,
    points_interval,
)
from scrapeview.judge.compare.laid import Mask, known_mask
from scrapeview.judge.verdict.bounds import level_for, spread_out
from scrapeview.judge.verdict.clumped import EVENLY, Clumped, clumped_in
from scrapeview.plane.polygons import polygon_mask
from scrapeview.result import Reading
from scrapeview.units import per_square_inch

Box = tuple[float, float, float, float]
"""x0, y0, x1, y1, mm."""
EVERYWHERE: Box = (-np.inf, -np.inf, np.inf, np.inf)


@dataclass(frozen=True, eq=False)
class Part:
    """One part of a face, or several taken together.

    Parameters
    ----------
    name, kind : str
        As of `Zone`.
    points : DataFrame
        Those whose middle lies in it.
    fields : DataFrame
        Its squares, with area_mm2 (what glare took is off), points and contact_percent.
    edge_percent : float
        What the edge of the film leaves open of the contact.
    scale_error : float
        Relative error of an area from the picks.
    clumped : Clumped
        Whether its squares tell less than as many apart would.
    """

    name: str
    kind: str
    points: pd.DataFrame
    fields: pd.DataFrame
    edge_percent: float
    scale_error: float
    clumped: Clumped

    @cached_property
    def area_mm2(self) -> float:
        """Area read."""
        return float(self.fields["area_mm2"].sum())

    @cached_property
    def points_per_square_inch(self) -> float:
        """Points by area."""
        return per_square_inch(len(self.points), self.area_mm2)

    @cached_property
    def contact_percent(self) -> float:
        """Share of the area in contact; 0 where there is none."""
        area_mm2 = self.area_mm2
        contact = self.fields["contact_percent"].to_numpy()
        held = float(contact @ self.fields["area_mm2"].to_numpy())
        return held / area_mm2 if area_mm2 > 0 else 0.0

    def ppsi_bounds(self, risk: float) -> Interval:
        """Return both one-sided bounds of the points per square inch."""
        figure, level = self.points_per_square_inch, level_for(risk)
        interval = points_interval(
            figure, self.points, self.fields, self.area_mm2, self.scale_error, level
        )
        doubt = per_square_inch(count_doubt(self.points, self.scale_error), self.area_mm2)
        return spread_out(figure, interval, own=doubt, ratio=self.clumped.points)

    def contact_bounds(self, risk: float) -> Interval:
        """Return both one-sided bounds of the contact."""
        return self._contact_bounds(risk, self.edge_percent)

    def contact_spread(self, risk: float) -> Interval:
        """Return both bounds of the contact, were it known where film begins."""
        return self._contact_bounds(risk, 0.0)

    def _contact_bounds(self, risk: float, edge_percent: float) -> Interval:
        figure = self.contact_percent
        interval = contact_interval(figure, self.fields, edge_percent, level_for(risk))
        return spread_out(figure, interval, own=edge_percent, ratio=self.clumped.contact)


@dataclass(frozen=True, eq=False)
class Ground:
    """A reading with what it knows of its face: made once, cut into parts many times.

    Parameters
    ----------
    reading : Reading
    known : (h, w) bool
    kept : (rows, columns) float or None
        Share of each cell that glare has left; None where it took nothing.
    scale_error, edge_percent : float
    clumped : Clumped
        As of `Part`.
    """

    reading: Reading
    known: Mask
    kept: NDArray[np.float64] | None
    scale_error: float
    edge_percent: float = 0.0
    clumped: Clumped = EVENLY

    @cached_property
    def bounds_mm(self) -> Box:
        """Least and greatest x and y of the face."""
        corners = np.concatenate(self.reading.regions_mm)
        (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)


def ground_of(reading: Reading) -> Ground:
    """Return what a reading knows of its face."""
    known = known_mask(reading)
    ground = Ground(reading, known, None, 0.0)
    scale_error = reading.plane.area_error(reading.area_mm2, ground.bounds_mm)
    ground = replace(ground, scale_error=scale_error)
    if reading.washed_out_percent > 0:
        ground = replace(ground, kept=_kept_by_glare(ground))
    fields = whole(ground).fields
    return replace(ground, edge_percent=_edge_percent(reading, fields), clumped=clumped_in(fields))


def part(
    ground: Ground,
    box: Box,
    *,
    name: str = "",
    kind: str = "",
    region: int | None = None,
    grid: Box | None = None,
    side_mm: float | None = None,
) -> Part:
    """Cut a part out of a face.

    Parameters
    ----------
    ground : Ground
    box : (x0, y0, x1, y1)
        May be without end; points and pixels belong to it from its left and top side on.
    name, kind : str
    region : int, optional
        Number of the region it is of; all of them if left out.
    grid : (x0, y0, x1, y1), optional
        Where its squares are laid; the part of the box that is face if left out.
    side_mm : float, optional
        Side of its squares; small enough for there to be several if left out.
    """
    reading = ground.reading
    rows, columns = (_pixels(reading, box, axis) for axis in (1, 0))
    known = ground.known[rows, columns]
    if region is not None:
        outline = (reading.regions_mm[region - 1] - reading.origin_mm) * reading.px_per_mm
        known = known & polygon_mask(outline, ground.known.shape)[rows, columns]
    contact = np.ascontiguousarray(reading.contact_mask[rows, columns] & known)
    origin = tuple(
        reading.origin_mm[axis] + cut.start / reading.px_per_mm
        for axis, cut in ((0, columns), (1, rows))
    )
    points = _points_in(reading.points, box, region)
    laid = grid or _clipped(box, ground.bounds_mm)
    if known.size == 0:
        known = contact = np.zeros((1, 1), dtype=bool)
    sums = sums_of(np.ascontiguousarray(known), contact, reading.px_per_mm, origin)
    if side_mm is None:
        fields = fields_for(sums, points, laid, reading.settings.cell_mm)
    else:
        fields = measure_cells(sums, points, laid, side_mm)
    return Part(
        name, kind, points, _without_glare(fields, ground),
        ground.edge_percent, ground.scale_error, clumped_in(fields),
    )  # fmt: skip


def joined(name: str, kind: str, parts: Sequence[Part]) -> Part:
    """Return several parts of one face taken together."""
    return Part(
        name,
        kind,
        pd.concat([one.points for one in parts], ignore_index=True),
        pd.concat([one.fields for one in parts], ignore_index=True),
        parts[0].edge_percent,
        parts[0].scale_error,
        Clumped(*np.max([astuple(one.clumped) for one in parts], axis=0).tolist()),
    )


def whole(ground: Ground) -> Part:
    """Return all of a face as one part."""
    return part(ground, EVERYWHERE)


def count_doubt(points: pd.DataFrame, scale_error: float) -> float:
    """Return how many of some points may be too many or too few, the error of the area included.

    As `points_interval` has it.
    """
    doubtful = sum(share * float(points[flag].sum()) for flag, share in DOUBT.items())
    return float(np.linalg.norm((doubtful, len(points) * COUNT_ERROR, len(points) * scale_error)))


def _edge_percent(reading: Reading, fields: pd.DataFrame) -> float:
    """Half width that the contact's interval holds besides the spread between squares."""
    found, figure = reading.contact_interval, reading.contact_percent
    half = max(figure - found.low, found.high - figure)
    areas = fields["area_mm2"].to_numpy()
    spread = ratio_half_width(
        fields["contact_percent"].to_numpy() * areas, areas, reading.settings.confidence
    )
    if not (np.isfinite(half) and np.isfinite(spread)):
        return 0.0
    return float(np.sqrt(max(0.0, half**2 - spread**2)))


def _kept_by_glare(ground: Ground) -> NDArray[np.float64]:
    """Share that glare has left of each cell, by row and column: what the cells' areas tell."""
    cells = ground.reading.cells
    fields = part(ground, EVERYWHERE, side_mm=ground.reading.settings.cell_mm).fields
    rows, columns = (int(fields[name].max()) if len(fields) else 0 for name in ("row", "column"))
    shape = rows + 1, columns + 1
    seen, read = np.zeros(shape), np.zeros(shape)
    seen[fields["row"], fields["column"]] = fields["area_mm2"]
    on = (cells["row"] < shape[0]) & (cells["column"] < shape[1])
    read[cells["row"][on], cells["column"][on]] = cells["area_mm2"][on]
    return np.divide(read, seen, out=np.ones(shape), where=seen > 0).clip(0, 1)


def _without_glare(fields: pd.DataFrame, ground: Ground) -> pd.DataFrame:
    """Squares by the area that glare has left of them; their contact is all in it."""
    if ground.kept is None or not len(fields):
        return fields
    x0, y0, _, _ = ground.bounds_mm
    cell_mm = ground.reading.settings.cell_mm
    rows, columns = ground.kept.shape
    inner = SMALLEST_FIELD_MM / 2
    row = ((fields["y_mm"].to_numpy() + inner - y0) // cell_mm).clip(0, rows - 1).astype(int)
    column = ((fields["x_mm"].to_numpy() + inner - x0) // cell_mm).clip(0, columns - 1).astype(int)
    share = ground.kept[row, column]
    left = fields[share > 0]
    share = share[share > 0]
    return left.assign(
        area_mm2=left["area_mm2"] * share,
        contact_percent=(left["contact_percent"] / share).clip(upper=100.0),
    )


def _pixels(reading: Reading, box: Box, axis: int) -> slice:
    length = reading.contact_mask.shape[1 - axis]
    ends = (np.array([box[axis], box[axis + 2]]) - reading.origin_mm[axis]) * reading.px_per_mm
    first, last = np.clip(np.ceil(ends - 1e-9), 0, length).astype(int)
    return slice(int(first), int(last))


def _points_in(points: pd.DataFrame, box: Box, region: int | None) -> pd.DataFrame:
    x, y = points["x_mm"].to_numpy(), points["y_mm"].to_numpy()
    inside: NDArray[np.bool_] = (x >= box[0]) & (x < box[2]) & (y >= box[1]) & (y < box[3])
    if region is not None:
        inside &= points["region"].to_numpy() == region
    return points[inside]


def _clipped(box: Box, bounds: Box) -> Box:
    return (
        max(box[0], bounds[0]), max(box[1], bounds[1]),
        min(box[2], bounds[2]), min(box[3], bounds[3]),
    )  # fmt: skip
