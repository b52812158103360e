"""What of a face a map does not show: gaps between photographs, and places washed out in all."""

from collections.abc import Iterable, Sequence

import cv2
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.columns import table
from scrapeview.plane.cards import TILES
from scrapeview.plane.joined.best_view import NOWHERE, Candidate
from scrapeview.plane.joined.map_grid import MapGrid
from scrapeview.plane.polygons import crosses_itself, polygon_mask

NO_PHOTOGRAPH, WASHED_OUT = "no photograph", "washed out"
_LEAST_MM2 = 10.0
_NARROWEST_MM = 2.0
_CORNER_CELLS = 1.0
"""Outlines are straightened by at most this much."""
_NOTCH = 0.3
"""A notch in the span's edge is less deep than this share of half its width; ours, no source."""
_AT_EDGE_CELLS = 1.5
_TILE_SHADOW_MM = 0.5
"""How far past a tile's own edge the face is taken as hidden by it; ours, no source."""


def washed_out_cells(
    labels: NDArray[np.int16], candidates: Sequence[Candidate]
) -> NDArray[np.bool_]:
    """Return the cells that even their best photograph shows washed out, (h, w) bool."""
    washed = np.zeros(labels.shape, bool)
    for number, each in enumerate(candidates):
        height, width = each.valid.shape
        part = np.s_[each.row : each.row + height, each.column : each.column + width]
        washed[part] |= each.washed_out & (labels[part] == number)
    return washed


def gaps_table(
    labels: NDArray[np.int16],
    washed_out: NDArray[np.bool_],
    grid: MapGrid,
    face_mm: NDArray[np.float64] | None = None,
) -> pd.DataFrame:
    """Return the table "gaps", the largest first: inside the face, else inside the convex span.

    Where the face is not known, notches that the borders of photographs leave along the outer edge
    of the span are no gaps.

    Parameters
    ----------
    labels : (h, w) int16 array
        Which photograph each cell comes from, -1 for none.
    washed_out : (h, w) bool array
    grid : MapGrid
    face_mm : (N, 2) float array, optional
        Outline of the face.
    """
    nowhere = labels == NOWHERE
    if face_mm is None:
        span = _convex_span(~nowhere)
        nowhere = _without_notches(nowhere & span, span)
    else:
        span = _in_cells(face_mm, grid)
    rows = []
    for reason, missing in ((NO_PHOTOGRAPH, nowhere), (WASHED_OUT, washed_out)):
        rows += _listed(missing & span, reason, grid)
    if not rows:
        return table("gaps")
    rows.sort(key=lambda row: (-row["area_mm2"], row["x0_mm"], row["y0_mm"]))
    return table("gaps", {name: [row[name] for row in rows] for name in rows[0]})


def hidden_by_gaps(
    labels: NDArray[np.int16], washed_out: NDArray[np.bool_], grid: MapGrid
) -> tuple[NDArray[np.float64], ...]:
    """Return outlines (N, 2), mm, round all that the map does not show, half a cell beyond it."""
    missing = ((labels == NOWHERE) | washed_out).astype(np.uint8)
    # one cell more all round, so that what is missing along the map's edge is enclosed too
    framed = cv2.copyMakeBorder(missing, 1, 1, 1, 1, cv2.BORDER_REPLICATE)
    grown = np.asarray(cv2.dilate(framed, np.ones((3, 3), np.uint8)), np.uint8)
    return tuple(
        grid.to_mm((outline + 0.5) * grid.cell_px - 0.5) for outline in _outlines(grown, (-1, -1))
    )


def hidden_by_tiles(
    markers_mm: Iterable[tuple[int, NDArray[np.float64]]],
) -> tuple[NDArray[np.float64], ...]:
    """Return outlines (4, 2), mm, of tiles whose markers' numbers and corners are given."""
    hidden = []
    for marker_id, corners in markers_mm:
        for tiles in TILES.values():
            if marker_id in tiles.ids:
                middle = corners.mean(axis=0)
                side = float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).mean())
                whole = tiles.tile_mm / tiles.marker_mm + 2 * _TILE_SHADOW_MM / side
                hidden.append(middle + whole * (corners - middle))
    return tuple(hidden)


def _convex_span(covered: NDArray[np.bool_]) -> NDArray[np.bool_]:
    rows, columns = np.nonzero(covered)
    span = np.zeros(covered.shape, np.uint8)
    if len(rows):
        hull = cv2.convexHull(np.column_stack((columns, rows)).astype(np.int32))
        cv2.fillConvexPoly(span, hull.reshape(-1, 2), 1)
    return span > 0


def _without_notches(missing: NDArray[np.bool_], span: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Leave out parts at the edge of the span that do not reach deep into it."""
    framed = cv2.copyMakeBorder(span.astype(np.uint8), 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
    depth = cv2.distanceTransform(framed, cv2.DIST_L2, 3)[1:-1, 1:-1]
    kept = np.zeros_like(missing)
    count, parts, stats, _ = cv2.connectedComponentsWithStats(
        missing.astype(np.uint8), connectivity=8
    )
    for number in range(1, count):
        left, top, width, height, _ = stats[number]
        box = np.s_[top : top + height, left : left + width]
        part = parts[box] == number
        inside = depth[box][part]
        if inside.min() > _AT_EDGE_CELLS or inside.max() > _NOTCH * depth.max():
            kept[box] |= part
    return kept


def _in_cells(outline_mm: NDArray[np.float64], grid: MapGrid) -> NDArray[np.bool_]:
    return polygon_mask((grid.to_px(outline_mm) + 0.5) / grid.cell_px - 0.5, grid.cells)


def _listed(missing: NDArray[np.bool_], reason: str, grid: MapGrid) -> list[dict[str, float]]:
    # odd, or what is opened would move by half a cell
    narrowest = 2 * round(_NARROWEST_MM / grid.cell_mm / 2) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (narrowest, narrowest))
    framed = cv2.copyMakeBorder(
        missing.astype(np.uint8), narrowest, narrowest, narrowest, narrowest, cv2.BORDER_REPLICATE
    )
    wide = cv2.morphologyEx(framed, cv2.MORPH_OPEN, disc)
    wide = np.ascontiguousarray(wide[narrowest:-narrowest, narrowest:-narrowest])
    count, _, stats, _ = cv2.connectedComponentsWithStats(wide, connectivity=8)
    rows = []
    for left, top, width, height, area in stats[1:count]:
        area_mm2 = float(area) * grid.cell_mm**2
        corners = np.array([[left, top], [left + width, top + height]]) * grid.cell_px - 0.5
        (x0, y0), (x1, y1) = grid.to_mm(corners)
        if area_mm2 >= _LEAST_MM2:
            rows.append(
                {"x0_mm": x0, "y0_mm": y0, "x1_mm": x1, "y1_mm": y1, "area_mm2": area_mm2,
                 "reason": reason}
            )  # fmt: skip
    return rows


def _outlines(mask: NDArray[np.uint8], offset: tuple[int, int]) -> list[NDArray[np.float64]]:
    """Outlines (N, 2), in cells, of all parts of a mask; parts with a hole in them are halved."""
    count, parts, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
    found = []
    for number in range(1, count):
        left, top, width, height, _ = (int(value) for value in stats[number])
        part = (parts[top : top + height, left : left + width] == number).astype(np.uint8)
        at = (offset[0] + left, offset[1] + top)
        contours, nested = cv2.findContours(part, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
        if len(contours) == 1:
            found += _polygon(contours[0].reshape(-1, 2), at)
        elif len(nested):
            # halves share a row or column, so that nothing between them is left out
            half = (max(width, height)) // 2
            if width >= height:
                found += _outlines(np.ascontiguousarray(part[:, : half + 1]), at)
                found += _outlines(np.ascontiguousarray(part[:, half:]), (at[0] + half, at[1]))
            else:
                found += _outlines(np.ascontiguousarray(part[: half + 1]), at)
                found += _outlines(np.ascontiguousarray(part[half:]), (at[0], at[1] + half))
    return found


def _polygon(contour: NDArray[np.int32], at: tuple[int, int]) -> list[NDArray[np.float64]]:
    straight = cv2.approxPolyDP(contour, _CORNER_CELLS, True).reshape(-1, 2)
    for outline in (straight, contour, cv2.convexHull(contour).reshape(-1, 2)):
        polygon = outline.astype(float)
        if len(polygon) >= 3 and not crosses_itself(polygon):
            return [polygon + at]
    return []
