"""Where seams run on a map, and how far the photographs on either side of them disagree there."""

import math
from collections.abc import Sequence

import cv2
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.columns import table
from scrapeview.plane.joined.map_grid import MapGrid
from scrapeview.plane.joined.seam_cut import border_between, bordering
from scrapeview.plane.joined.warped import Warped

_LEAST_SEAM_MM = 3.0
"""Shorter seams are corners where three photographs meet."""
_STEP_CELLS = 16
"""Seams are looked at in steps of about 10 mm."""
_PATCH_MM = 12.0
_LEAST_BOTH_WAYS = 0.1
"""Slopes across the weaker direction as a share of those across the stronger; ours, no source."""
_ROUNDS = 3
_ALIKE = 0.75
"""Correlation of two pictures of the same marks at the least; ours, no source."""
_LEAST_SPREAD = 6.0
"""Grey levels; a flatter patch shows nothing to register by."""


def seams_table(
    labels: NDArray[np.int16],
    warped: Sequence[Warped],
    pictures: Sequence[NDArray[np.uint8]],
    grid: MapGrid,
) -> pd.DataFrame:
    """Return the table "seams", one row for each stretch of seam between two photographs.

    Parameters
    ----------
    labels : (h, w) int16 array
        Which photograph each cell comes from.
    warped : sequence of Warped
        Where each photograph lies.
    pictures : sequence of (h, w, 3) uint8 arrays
        Their pixels, levelled.
    grid : MapGrid
    """
    greys = [np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8) for rgb in pictures]
    rows = []
    for first, second in bordering(labels):
        border = border_between(labels, first, second).astype(np.uint8)
        count, stretches = cv2.connectedComponents(border, connectivity=8)
        for stretch in range(1, count):
            row = _seam(stretches == stretch, labels, first, second, warped, greys, grid)
            if row is not None:
                rows.append(row)
    if not rows:
        return table("seams")
    return table("seams", {name: [row[name] for row in rows] for name in rows[0]})


def _seam(
    cells: NDArray[np.bool_],
    labels: NDArray[np.int16],
    first: int,
    second: int,
    warped: Sequence[Warped],
    greys: Sequence[NDArray[np.uint8]],
    grid: MapGrid,
) -> dict[str, float] | None:
    steps = _steps(cells, labels, first, second)
    length_mm = grid.cell_mm * sum(length for _, length in steps)
    if length_mm < _LEAST_SEAM_MM:
        return None
    middles = np.array([middle for middle, _ in steps])
    places = grid.to_mm((middles + 0.5) * grid.cell_px - 0.5)
    middle = places[np.linalg.norm(places - places.mean(axis=0), axis=1).argmin()]
    pixels = np.rint(grid.to_px(places)).astype(int)
    pairs = [
        _patches(at, (warped[first], warped[second]), (greys[first], greys[second]), grid)
        for at in pixels
    ]
    shown = [pair for pair in pairs if pair is not None]
    apart = [far for pair in shown if (far := _apart_px(*pair)) is not None]
    apart_mm = np.array(apart or [np.nan]) / grid.px_per_mm
    light, contrast = _differences(shown)
    return {
        "first": first + 1, "second": second + 1,
        "x_mm": float(middle[0]), "y_mm": float(middle[1]), "length_mm": length_mm,
        "apart_mm": float(np.median(apart_mm)), "most_apart_mm": float(apart_mm.max()),
        "light_percent": light, "contrast_percent": contrast,
    }  # fmt: skip


def _steps(
    cells: NDArray[np.bool_], labels: NDArray[np.int16], first: int, second: int
) -> list[tuple[NDArray[np.float64], float]]:
    """Middle, in cells, and length, in cells, of each step of a seam."""
    rows, columns = np.nonzero(cells)
    found = []
    squares = np.column_stack((rows, columns)) // _STEP_CELLS
    for square in np.unique(squares, axis=0):
        here = (squares == square).all(axis=1)
        top, left = square * _STEP_CELLS
        part = labels[top : top + _STEP_CELLS + 1, left : left + _STEP_CELLS + 1]
        crossed = [
            _changes(part[:-1, :-1], beside[0], first, second)
            for beside in ((part[:-1, 1:],), (part[1:, :-1],))
        ]
        middle = np.array([columns[here].mean(), rows[here].mean()])
        found.append((middle, math.hypot(*crossed)))
    return found


def _changes(one: NDArray[np.int16], two: NDArray[np.int16], first: int, second: int) -> float:
    return float((((one == first) & (two == second)) | ((one == second) & (two == first))).sum())


def _patches(
    at: NDArray[np.intp],
    warped: tuple[Warped, Warped],
    greys: tuple[NDArray[np.uint8], NDArray[np.uint8]],
    grid: MapGrid,
) -> tuple[NDArray[np.float32], NDArray[np.float32]] | None:
    """What both photographs show around a pixel of the map; None where one does not."""
    half = round(_PATCH_MM * grid.px_per_mm / 2)
    patches = []
    for laid, grey in zip(warped, greys, strict=True):
        x, y = at[0] - laid.column, at[1] - laid.row
        part = np.s_[max(0, y - half) : y + half, max(0, x - half) : x + half]
        if grey[part].shape != (2 * half, 2 * half) or not laid.valid[part].all():
            return None
        smooth = cv2.GaussianBlur(grey[part].astype(np.float32), (3, 3), 0)
        patches.append(np.asarray(smooth, np.float32))
    return patches[0], patches[1]


def _apart_px(one: NDArray[np.float32], two: NDArray[np.float32]) -> float | None:
    """Distance of two pictures by phase correlation (C. D. Kuglin and D. C. Hines, 1975).

    None where they are not alike once they are laid on each other: there is nothing to go by.
    """
    inner = np.s_[
        one.shape[0] // 4 : -(one.shape[0] // 4), one.shape[1] // 4 : -(one.shape[1] // 4)
    ]
    if not (_has_marks(one[inner]) and _has_marks(two[inner])):
        return None
    window = cv2.createHanningWindow(one.shape[::-1], cv2.CV_32F)
    shift, laid = np.zeros(2), two
    for _ in range(_ROUNDS):
        # the window holds the pictures back: what is left shows once they lie on each other
        more, _ = cv2.phaseCorrelate(one - one.mean(), laid - laid.mean(), window)
        shift += more
        laid = _moved(two, shift)
    both = np.stack((one[inner].ravel(), laid[inner].ravel()))
    alike = np.asarray(np.corrcoef(both))[0, 1] if both.std(axis=1).min() > 0 else 0.0
    return math.hypot(*shift) if alike >= _ALIKE else None


def _moved(patch: NDArray[np.float32], shift: NDArray[np.float64]) -> NDArray[np.float32]:
    back = np.array([[1, 0, shift[0]], [0, 1, shift[1]]])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    moved = cv2.warpAffine(
        patch, back, patch.shape[::-1], flags=flags, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(moved, np.float32)


def _has_marks(patch: NDArray[np.float32]) -> bool:
    """Whether a patch can be placed both ways: along a straight edge alone it could slide."""
    if patch.std() < _LEAST_SPREAD:
        return False
    slopes = np.array([slope.ravel() for slope in np.gradient(patch)])
    weaker, stronger = np.linalg.eigvalsh(slopes @ slopes.T)
    return bool(weaker > _LEAST_BOTH_WAYS * stronger)


def _differences(
    shown: list[tuple[NDArray[np.float32], NDArray[np.float32]]],
) -> tuple[float, float]:
    """How much brighter, and how much richer in contrast, the second is along a seam, percent."""
    if not shown:
        return float("nan"), float("nan")
    light = [100 * (two.mean() / max(1.0, one.mean()) - 1) for one, two in shown]
    contrast = [100 * (two.std() / max(1.0, one.std()) - 1) for one, two in shown]
    return float(np.median(light)), float(np.median(contrast))
