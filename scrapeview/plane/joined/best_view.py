"""For every spot of the map the photograph that shows it best, in compact pieces.

What counts: how many pixels per mm the photograph holds along its coarser direction, how much
detail it shows (focus, motion and veils of glare take it), how far the spot lies from the
photograph's middle and from its border, and whether glare has washed it out. All are in steps of
a doubling, so that half the resolution weighs as much as half the detail. The weights are ours,
without a source.
"""

from collections.abc import Sequence
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined.map_grid import ALIGNED_CELLS, MapGrid
from scrapeview.plane.joined.warped import Warped

NOWHERE = -1
"""Label of cells that no photograph shows."""
_DETAIL_WEIGHT = 0.7
_SCALE_WEIGHT = 1.0
_MIDDLE_WEIGHT = 0.4
_BORDER_WEIGHT = 1.0
_BORDER_MM = 4.0
_WASHED_WEIGHT = 100.0
_BROAD_GLARE_MM = 4.0
_SCALE_OF_USE = 1.5
"""More pixels than this many times the map's show nothing more on it."""
_DETAIL_REACH_MM = 8.0
_LEAST_DETAIL = 0.5
"""Grey levels a pixel; less is noise."""
_EDGE_REACH_MM = 0.7
_MARK_LEVELS = 12.0
"""Range of grey around a spot where nothing but metal lies, at the most."""


class Candidate(NamedTuple):
    """One photograph, cell by cell.

    Attributes
    ----------
    valid : (h, w) bool array
        Cells that it shows wholly.
    washed_out : (h, w) bool array
        Cells that broad glare has washed out in it; a flash is left to the reading.
    cost : (h, w) float32 array
        How badly it shows each, in doublings of detail.
    grey : (h, w) float32 array
        Levelled grey of each, 0-255.
    marked : (h, w) float32 array
        Range of grey around it, in ranges of bare metal, less one; seams are to keep off it.
    column, row : int
        Its first cell on the map.
    """

    valid: NDArray[np.bool_]
    washed_out: NDArray[np.bool_]
    cost: NDArray[np.float32]
    grey: NDArray[np.float32]
    marked: NDArray[np.float32]
    column: int
    row: int


def candidate(
    warped: Warped, rgb: NDArray[np.uint8], washed_out: NDArray[np.bool_], grid: MapGrid
) -> Candidate:
    """Return what speaks for and against one photograph, cell by cell.

    Parameters
    ----------
    warped : Warped
    rgb : (h, w, 3) uint8 array
        Its pixels, levelled.
    washed_out : (h, w) bool array
    grid : MapGrid
    """
    height, width = (side // grid.cell_px for side in warped.valid.shape)
    size = (width, height)
    grey = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8)
    valid = _share(warped.valid, size) > 0.999
    washed = _broad(_share(washed_out, size) > 0.5, grid.cell_mm)
    scale = np.minimum(warped.scale, _SCALE_OF_USE * grid.px_per_mm)
    cost = -_SCALE_WEIGHT * np.log2(np.maximum(_enlarged(scale, size), 1e-3))
    cost -= _DETAIL_WEIGHT * np.log2(_detail(grey, warped.valid, size, grid))
    cost += _MIDDLE_WEIGHT * _enlarged(warped.off_middle, size) ** 2
    cost += _BORDER_WEIGHT * _near_border(valid, grid.cell_mm)
    cost += _WASHED_WEIGHT * washed
    return Candidate(
        valid,
        washed,
        np.asarray(cost, np.float32),
        cv2.resize(grey, size, interpolation=cv2.INTER_AREA).astype(np.float32),
        _marked(grey, size, grid),
        warped.column // grid.cell_px,
        warped.row // grid.cell_px,
    )


def best_labels(candidates: Sequence[Candidate], cells: tuple[int, int]) -> NDArray[np.int16]:
    """Return the photograph of least cost for every cell of the map, `NOWHERE` where there is none.

    Parameters
    ----------
    candidates : sequence of Candidate
    cells : (int, int)
        Rows and columns of the map.
    """
    labels = np.full(cells, NOWHERE, np.int16)
    least = np.full(cells, np.inf, np.float32)
    for number, each in enumerate(candidates):
        height, width = each.valid.shape
        part = np.s_[each.row : each.row + height, each.column : each.column + width]
        better = each.valid & (each.cost < least[part])
        least[part][better] = each.cost[better]
        labels[part][better] = number
    return labels


def _broad(washed_out: NDArray[np.bool_], cell_mm: float) -> NDArray[np.bool_]:
    across = 2 * round(_BROAD_GLARE_MM / cell_mm / 2) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (across, across))
    return np.asarray(cv2.morphologyEx(washed_out.astype(np.uint8), cv2.MORPH_OPEN, disc)) > 0


def _share(mask: NDArray[np.bool_], size: tuple[int, int]) -> NDArray[np.float32]:
    return np.asarray(cv2.resize(mask.astype(np.float32), size, interpolation=cv2.INTER_AREA))


def _enlarged(values: NDArray[np.float32], size: tuple[int, int]) -> NDArray[np.float32]:
    return np.asarray(cv2.resize(values, size, interpolation=cv2.INTER_LINEAR))


def _detail(
    grey: NDArray[np.uint8], valid: NDArray[np.bool_], size: tuple[int, int], grid: MapGrid
) -> NDArray[np.float32]:
    """Mean slope of grey around each cell, of what lies below the brightest flashes."""
    capped = np.minimum(grey, np.uint8(np.percentile(grey[::4, ::4], 90)))
    across, down = cv2.spatialGradient(capped)
    slope = cv2.magnitude(across.astype(np.float32), down.astype(np.float32)) / 8
    slope[~valid] = 0
    block = (size[0] // ALIGNED_CELLS, size[1] // ALIGNED_CELLS)
    sums = cv2.resize(slope, block, interpolation=cv2.INTER_AREA)
    shares = cv2.resize(valid.astype(np.float32), block, interpolation=cv2.INTER_AREA)
    reach = _DETAIL_REACH_MM / (grid.cell_mm * ALIGNED_CELLS)
    sums, shares = (cv2.GaussianBlur(each, (0, 0), reach) for each in (sums, shares))
    detail = np.maximum(sums / np.maximum(shares, 1e-3), _LEAST_DETAIL)
    return _enlarged(np.asarray(detail, np.float32), size)


def _near_border(valid: NDArray[np.bool_], cell_mm: float) -> NDArray[np.float32]:
    """Return 1 at the photograph's border, 0 from a few mm inside."""
    padded = cv2.copyMakeBorder(valid.astype(np.uint8), 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
    inside_mm = cv2.distanceTransform(padded, cv2.DIST_L2, 3)[1:-1, 1:-1] * cell_mm
    return np.asarray(np.maximum(0, 1 - inside_mm / _BORDER_MM))


def _marked(grey: NDArray[np.uint8], size: tuple[int, int], grid: MapGrid) -> NDArray[np.float32]:
    reach = 2 * max(1, round(_EDGE_REACH_MM * grid.px_per_mm)) + 1
    window = cv2.getStructuringElement(cv2.MORPH_RECT, (reach, reach))
    smooth = cv2.blur(grey, (3, 3))
    spread = cv2.morphologyEx(smooth, cv2.MORPH_GRADIENT, window).astype(np.float32)
    small = cv2.resize(spread, size, interpolation=cv2.INTER_AREA)
    return np.asarray(np.maximum(0, small / _MARK_LEVELS - 1), np.float32)
