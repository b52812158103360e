"""One stretch of a reading, with figures of its own: what a page shows when it looks closer."""

import dataclasses

import numpy as np
import pandas as pd

from scrapeview.bearing import (
    largest_bare_patch,
    measure_evenness,
    size_classes,
    sliding_squares,
    sums_of,
)
from scrapeview.charts.picture import face_of
from scrapeview.columns import table
from scrapeview.confidence import contact_interval, points_interval
from scrapeview.errors import ReadingError
from scrapeview.judge.verdict.parts import Box, Ground, Part, ground_of, part
from scrapeview.plane.polygons import clipped, polygon_area
from scrapeview.result import Reading
from scrapeview.units import per_25mm_square

LEAST_MM = 5.0
"""A shorter stretch shows no figure that means anything."""


def stretch_reading(reading: Reading, from_mm: float, to_mm: float) -> Reading:
    """Return a reading as if only a stretch of its face had been read.

    Points, contact and marks are those that were read; figures, intervals, squares and bare
    patches are of the stretch alone.

    Parameters
    ----------
    reading : Reading
    from_mm, to_mm : float
        Along the face, from its left end.

    Raises
    ------
    ReadingError
        Where the reading shows less than 5 mm of the stretch.
    """
    x0, y0, x1, y1 = face_of(reading).bounds_mm
    low, high = max(x0, from_mm), min(x1, to_mm)
    if high - low < LEAST_MM:
        raise ReadingError(
            f"This print shows nothing from {from_mm:.0f} to {to_mm:.0f} mm: choose another "
            "stretch, or another print."
        )
    if low <= x0 and high >= x1:
        return reading
    return _cut(reading, ground_of(reading), (low, y0, high, y1))


def _cut(reading: Reading, ground: Ground, bounds_mm: Box) -> Reading:
    low, _, high, _ = bounds_mm
    box = (low, -np.inf, high, np.inf)
    cut, side_mm = part(ground, box), reading.settings.cell_mm
    known = ground.known.copy()
    first, last = _columns(reading, low, high)
    known[:, :first], known[:, last:] = False, False
    contact = reading.contact_mask & known
    scale, origin = reading.px_per_mm, reading.origin_mm
    numbers = _regions_in(reading, bounds_mm)
    points = _renumbered(cut.points, numbers)
    cells = part(ground, box, grid=bounds_mm, side_mm=side_mm).fields
    squares = sliding_squares(sums_of(known, contact, scale, origin), points, bounds_mm, side_mm)
    confidence = reading.settings.confidence
    ppsi = cut.points_per_square_inch
    return dataclasses.replace(
        reading,
        contact_percent=cut.contact_percent,
        points_per_square_inch=ppsi,
        contact_interval=contact_interval(
            cut.contact_percent, cut.fields, cut.edge_percent, confidence
        ),
        ppsi_interval=points_interval(
            ppsi, points, cut.fields, cut.area_mm2, cut.scale_error, confidence
        ),
        area_mm2=cut.area_mm2,
        merged_percent=_merged_percent(points, float(contact.sum()) / scale**2),
        points=points,
        cells=cells.reset_index(drop=True),
        regions=_regions_table([part(ground, box, region=number) for number in numbers]),
        sizes=size_classes(points),
        worst_square=squares[0] if squares else None,
        best_square=squares[1] if squares else None,
        bare_patch=largest_bare_patch(known, contact, scale, origin),
        evenness=measure_evenness(points, cells, cut.area_mm2),
        contact_mask=contact,
        regions_mm=tuple(clipped(reading.regions_mm[number - 1], bounds_mm) for number in numbers),
    )


def _columns(reading: Reading, low_mm: float, high_mm: float) -> tuple[int, int]:
    """First pixel of a stretch and the first beyond it: those whose middles lie in it."""
    ends = (np.array([low_mm, high_mm]) - reading.origin_mm[0]) * reading.px_per_mm
    first, last = np.clip(np.ceil(ends - 1e-9), 0, reading.contact_mask.shape[1]).astype(int)
    return int(first), int(last)


def _regions_in(reading: Reading, bounds_mm: Box) -> list[int]:
    """Numbers of the regions that reach into a stretch."""
    parts = [clipped(region, bounds_mm) for region in reading.regions_mm]
    return [n for n, one in enumerate(parts, start=1) if len(one) > 2 and polygon_area(one) > 0]


def _renumbered(points: pd.DataFrame, numbers: list[int]) -> pd.DataFrame:
    new = {number: at for at, number in enumerate(numbers, start=1)}
    region = points["region"].map(new).fillna(1).astype(points["region"].dtype)
    return points.assign(region=region).reset_index(drop=True)


def _regions_table(parts: list[Part]) -> pd.DataFrame:
    ppsi = np.array([one.points_per_square_inch for one in parts])
    return table("regions", {
        "region": np.arange(1, len(parts) + 1),
        "area_mm2": np.array([one.area_mm2 for one in parts]),
        "contact_percent": np.array([one.contact_percent for one in parts]),
        "points": np.array([len(one.points) for one in parts]),
        "points_per_square_inch": ppsi,
        "points_per_25mm_square": per_25mm_square(
            np.array([len(one.points) for one in parts]),
            np.array([one.area_mm2 for one in parts]),
        ),
    })  # fmt: skip


def _merged_percent(points: pd.DataFrame, contact_mm2: float) -> float:
    """Share of the contact in merged patches; a patch that the ends cut counts as a whole."""
    if contact_mm2 <= 0:
        return 0.0
    merged_mm2 = float(points.loc[points["merged"], "area_mm2"].sum())
    return min(100.0, 100 * merged_mm2 / contact_mm2)
