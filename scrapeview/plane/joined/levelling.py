"""Light and contrast of photographs levelled where they overlap, all overlaps at once.

Film adds in the logarithm of light, so photographs of one print differ there by an offset (light,
exposure, white balance) and a factor (the camera's tone curve), channel by channel: what is sought
are a and b of log I' = a + b log I, with a slope of a along and across each photograph for lamps
that stay with the camera. As every solution may be made darker or brighter as a whole, and a chain
of overlaps adds up its errors, all are drawn a little towards a = 0 and b = 1.
"""

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.sparse import lil_matrix

from scrapeview.plane.joined.levels import FLOOR, LIGHT, Levels
from scrapeview.plane.joined.warped import Warped

_SAMPLE_CELLS = 2
"""Light is compared in squares of this many cells: wider than photographs lie apart."""
_FEWEST_SAMPLES = 60
_BLOCKS = 5
"""Offsets and slopes come from medians in blocks of a tenth of a photograph's width."""
_BROAD_SAMPLES, _VEIL_SAMPLES = 3, 8
"""Glare wider than about 4 mm veils what lies within about 12 mm of it; ours, no source."""
_SPREAD_OF_MEDIAN = 1.4826
"""Standard deviation of normal errors over their median absolute value."""
_QUANTILES = np.linspace(0.02, 0.98, 33)
_NOISE = 0.03
"""Log light two photographs of one spot differ by, after levelling; ours, no source."""
_OFFSET_PRIOR, _CONTRAST_PRIOR, _SLOPE_PRIOR = 0.5, 0.15, 0.15
"""How far exposures, tone curves and light across a photograph usually differ, log light."""


class _Pair(NamedTuple):
    """Squares that two photographs show: their log light and where in each photograph they lie."""

    first: int
    second: int
    first_log: NDArray[np.float32]
    second_log: NDArray[np.float32]
    first_u: NDArray[np.float64]
    second_u: NDArray[np.float64]


class _Small(NamedTuple):
    log_light: NDArray[np.float32]
    usable: NDArray[np.bool_]
    column: int
    row: int


def level_photos(
    warped: Sequence[Warped], washed_out: Sequence[NDArray[np.bool_]], cell_px: int
) -> Levels:
    """Find what levels photographs that overlap.

    Parameters
    ----------
    warped : sequence of Warped
    washed_out : sequence of (h, w) bool arrays
        Where glare has left nothing in each of them.
    cell_px : int
        Side of a cell of the map's grid, px.
    """
    small = [_shrunk(w, out, cell_px) for w, out in zip(warped, washed_out, strict=True)]
    pairs = [
        pair
        for first, second in combinations(range(len(small)), 2)
        if (pair := _shared(small, first, second)) is not None
    ]
    contrast = _contrasts(pairs, len(small))
    offset, slope = _offsets(pairs, contrast)
    return Levels(offset, contrast, slope)


def _shrunk(warped: Warped, washed_out: NDArray[np.bool_], cell_px: int) -> _Small:
    step = cell_px * _SAMPLE_CELLS
    height, width = (side // step for side in warped.valid.shape)
    light = cv2.LUT(warped.rgb, LIGHT)
    light = cv2.resize(light, (width, height), interpolation=cv2.INTER_AREA)
    glare, beyond = (
        cv2.resize(mask.astype(np.float32), (width, height), interpolation=cv2.INTER_AREA)
        for mask in (washed_out, ~warped.valid)
    )
    usable = (glare + beyond == 0) & ~_veiled(glare > 0.5)
    log_light = np.log(light + np.float32(FLOOR))
    return _Small(log_light, usable, warped.column // step, warped.row // step)


def _veiled(washed_out: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """What lies so near to broad glare that it is brightened by it."""
    broad = cv2.morphologyEx(washed_out.astype(np.uint8), cv2.MORPH_OPEN, _disc(_BROAD_SAMPLES))
    return np.asarray(cv2.dilate(broad, _disc(2 * _VEIL_SAMPLES + 1))) > 0


def _disc(across: int) -> NDArray[np.uint8]:
    shape = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (across, across))
    return np.asarray(shape, np.uint8)


def _shared(small: Sequence[_Small], first: int, second: int) -> _Pair | None:
    one, two = small[first], small[second]
    left, top = max(one.column, two.column), max(one.row, two.row)
    right = min(one.column + one.usable.shape[1], two.column + two.usable.shape[1])
    foot = min(one.row + one.usable.shape[0], two.row + two.usable.shape[0])
    if right <= left or foot <= top:
        return None
    cuts = [
        (slice(top - s.row, foot - s.row), slice(left - s.column, right - s.column))
        for s in (one, two)
    ]
    both = one.usable[cuts[0]] & two.usable[cuts[1]]
    if both.sum() < _FEWEST_SAMPLES:
        return None
    rows, columns = np.nonzero(both)
    at = np.column_stack((columns + left, rows + top))
    return _Pair(
        first, second, one.log_light[cuts[0]][both], two.log_light[cuts[1]][both],
        _in_photo(at, one), _in_photo(at, two),
    )  # fmt: skip


def _in_photo(at: NDArray[np.intp], small: _Small) -> NDArray[np.float64]:
    """Places (N, 2) from -1 to 1 over the photograph's part of the map."""
    size = np.array(small.usable.shape[::-1])
    return 2 * (at - (small.column, small.row) + 0.5) / size - 1


def _contrasts(pairs: Sequence[_Pair], count: int) -> NDArray[np.float64]:
    """Factors (K, 3) of log light, from the spread of what both photographs of a pair show.

    Quantiles of the two are compared, not pixels: what lies a little apart has the same spread,
    while a regression of pixel on pixel would flatten the one it predicts.
    """
    if not pairs:
        return np.ones((count, 3))
    rows, due, weights = [], [], []
    for pair in pairs:
        first, second = (np.quantile(log, _QUANTILES, axis=0) for log in pair[2:4])
        spread = np.minimum(first.std(axis=0), second.std(axis=0))
        ratio = np.log(second.std(axis=0) + 1e-3) - np.log(first.std(axis=0) + 1e-3)
        row = np.zeros(count)
        row[pair.first], row[pair.second] = 1, -1
        rows.append(row)
        due.append(ratio)
        weights.append(1 / np.hypot(0.02, _NOISE / np.maximum(spread, 1e-3)))
    matrix, wanted, weight = np.array(rows), np.array(due), np.array(weights)
    logs = [
        _solved(matrix, wanted[:, c], weight[:, c], np.full(count, 1 / _CONTRAST_PRIOR))
        for c in range(3)
    ]
    return np.exp(np.column_stack(logs))


def _offsets(
    pairs: Sequence[_Pair], contrast: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Offsets (K, 3) and slopes (K, 3, 2) from the light that remains different."""
    count = len(contrast)
    offset, slope = np.zeros((count, 3)), np.zeros((count, 3, 2))
    blocks = [_differences(pair, contrast) for pair in pairs]
    if not blocks:
        return offset, slope
    matrix = lil_matrix((sum(len(block.wanted) for block in blocks), 3 * count))
    done = 0
    for block in blocks:
        rows = slice(done, done + len(block.wanted))
        for photo, sign, u in ((block.first, 1, block.first_u), (block.second, -1, block.second_u)):
            matrix[rows, 3 * photo] = np.full((len(u), 1), sign)
            matrix[rows, 3 * photo + 1 : 3 * photo + 3] = sign * u
        done += len(block.wanted)
    dense = matrix.toarray()
    wanted = np.concatenate([block.wanted for block in blocks])
    weight = np.concatenate([block.weight for block in blocks]) / _NOISE
    prior = np.tile([1 / _OFFSET_PRIOR, 1 / _SLOPE_PRIOR, 1 / _SLOPE_PRIOR], count)
    for channel in range(3):
        found = _solved(dense, wanted[:, channel], weight, prior)
        left = np.abs(dense @ found - wanted[:, channel])
        # where glare, not exposure, makes photographs differ, what usually holds weighs more
        trust = min(1.0, _NOISE / max(1e-9, _SPREAD_OF_MEDIAN * float(np.median(left))))
        found = _solved(dense, wanted[:, channel], trust * weight, prior).reshape(count, 3)
        offset[:, channel], slope[:, channel] = found[:, 0], found[:, 1:]
    return offset, slope


class _Differences(NamedTuple):
    first: int
    second: int
    wanted: NDArray[np.float64]
    weight: NDArray[np.float64]
    first_u: NDArray[np.float64]
    second_u: NDArray[np.float64]


def _differences(pair: _Pair, contrast: NDArray[np.float64]) -> _Differences:
    """Median difference of two photographs in blocks of what both show."""
    difference = contrast[pair.second] * pair.second_log - contrast[pair.first] * pair.first_log
    spot = np.floor(pair.first_u * _BLOCKS).astype(int)
    _, block = np.unique(spot, axis=0, return_inverse=True)
    order = np.argsort(block.ravel(), kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(block.ravel()[order])) + 1)
    return _Differences(
        pair.first,
        pair.second,
        np.array([np.median(difference[g], axis=0) for g in groups]),
        np.sqrt(np.array([len(g) for g in groups]) / len(order) * len(groups)),
        np.array([pair.first_u[g].mean(axis=0) for g in groups]),
        np.array([pair.second_u[g].mean(axis=0) for g in groups]),
    )


def _solved(
    matrix: NDArray[np.float64],
    wanted: NDArray[np.float64],
    weight: NDArray[np.float64],
    prior: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Robust least squares, drawn to zero by the prior."""
    start = np.zeros(matrix.shape[1])
    weighted = matrix * weight[:, None]

    def residuals(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.concatenate((weighted @ x - wanted * weight, prior * x))

    jacobian = np.vstack((weighted, np.diag(prior)))
    fit = least_squares(residuals, start, jac=lambda _: jacobian, loss="soft_l1")
    return np.asarray(fit.x)
