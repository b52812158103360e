"""How far one print lies off another of the same face as a whole, found from their contact maps.

Picks wrong by a pixel or two, or a part laid differently, move all marks of a print alike. The
masked normalised cross-correlation of the two contact maps (D. Padfield, Masked object
registration in the Fourier domain, IEEE Trans. Image Processing 21 (2012) 2706; from memory) peaks
at that shift as long as enough marks are still there. A peak that does not stand out plainly from
all others is refused: nothing is moved then.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import fft

from scrapeview.bearing.components import BARE, label
from scrapeview.judge.compare.laid import FaceGrid, Mask, grid_for, known_mask, shares
from scrapeview.result import Reading

Field = NDArray[np.float64]

SEARCH_PX_PER_MM = 2.0
SEARCH_MOST_PX = 250_000
FORM_MM = 16.0
"""Slower changes of contact than this are the face's form, which says little about place."""
REACH_MM = 8.0
"""Farther than this picks of the same face do not lie off each other."""
COMPARED_WITH = 3
"""Peaks are looked for within the reach, and compared with what there is this many times as far."""
LEAST_OVERLAP = 0.5
CLEAR_RATIO = 1.4
"""A clear peak is this many times higher than the highest other one,"""
CLEAR_DEVIATIONS = 5.0
"""and lies this many standard deviations above what else there is."""
OWN_SLOPE = 0.5
"""The slope of a peak reaches down to this share of its height."""


@dataclass(frozen=True)
class Shift:
    """How far a later print lies off an earlier one as a whole.

    Parameters
    ----------
    x_mm, y_mm : float
        By how much places of the later print lie too far right and down; 0 where it is not clear.
    clear : bool
        Whether the shift is plain enough to be taken out.
    error_mm : float
        Standard error of the shift along one axis; infinite where it is not clear.
    correlation : float
        Correlation of the two contact maps at the best shift, form taken out.
    """

    x_mm: float
    y_mm: float
    clear: bool
    error_mm: float
    correlation: float

    @property
    def distance_mm(self) -> float:
        """Length of the shift."""
        return float(np.hypot(self.x_mm, self.y_mm))


NO_SHIFT = Shift(0.0, 0.0, False, float("inf"), 0.0)


def shift_between(
    before: Reading,
    after: Reading,
    *,
    washed_out: tuple[Mask | None, Mask | None] = (None, None),
) -> Shift:
    """Find how far the later print lies off the earlier one.

    Parameters
    ----------
    before, after : Reading
        Two readings of one face.
    washed_out : pair of (h, w) bool, optional
        What glare has emptied of each, on its own mask.

    Returns
    -------
    Shift
        Not clear where either print is blank or too few marks are still there.
    """
    if not (before.contact_mask.any() and after.contact_mask.any()):
        return NO_SHIFT
    grid = _search_grid(before, after)
    one = _without_form(*_laid(before, washed_out[0], grid), grid)
    two = _without_form(*_laid(after, washed_out[1], grid), grid)
    reach_px = _search_px(before, after, grid)
    return _peak(_correlations(one, two, COMPARED_WITH * reach_px), reach_px, grid)


def _search_grid(before: Reading, after: Reading) -> FaceGrid:
    grid = grid_for((before, after))
    rows, columns = grid.shape
    most = float(np.sqrt(SEARCH_MOST_PX / (rows * columns))) * grid.px_per_mm
    scale = min(grid.px_per_mm, SEARCH_PX_PER_MM, most)
    left, top = (middle - 0.5 / grid.px_per_mm + 0.5 / scale for middle in grid.origin_mm)
    shape = (
        max(1, int(np.ceil(rows * scale / grid.px_per_mm - 1e-6))),
        max(1, int(np.ceil(columns * scale / grid.px_per_mm - 1e-6))),
    )
    return FaceGrid(scale, (left, top), shape)


def _search_px(before: Reading, after: Reading, grid: FaceGrid) -> int:
    """How far to look, in squares: picks tie a face down, a length alone leaves it free."""
    tied = before.plane.face_mm and after.plane.face_mm
    reach_mm = REACH_MM if tied else LEAST_OVERLAP * min(grid.shape) / grid.px_per_mm
    return max(2, round(reach_mm * grid.px_per_mm))


def _laid(reading: Reading, washed_out: Mask | None, grid: FaceGrid) -> tuple[Field, Field]:
    known = known_mask(reading, washed_out)
    at = reading.px_per_mm, reading.origin_mm
    return shares(reading.contact_mask & known, *at, grid), shares(known, *at, grid)


def _without_form(contact: Field, known: Field, grid: FaceGrid) -> tuple[Field, Field]:
    """Contact less its slow mean, and its weight, 0 where nothing is known."""
    weight = np.where(known > 0.5, known, 0.0)
    contact = np.where(known > 0.5, contact, 0.0)
    size = (2 * max(1, round(FORM_MM * grid.px_per_mm / 2)) + 1,) * 2
    border = cv2.BORDER_CONSTANT
    around = np.maximum(cv2.blur(weight, size, borderType=border), 1e-9)
    slow = np.asarray(cv2.blur(contact, size, borderType=border) / around)
    return np.where(weight > 0, contact - slow * weight, 0.0), weight


def _correlations(one: tuple[Field, Field], two: tuple[Field, Field], far_px: int) -> Field:
    """Correlation coefficients by shift of the second over the first, none at the middle.

    They hold up to `far_px`; -1 where too little of the two lies over each other.
    """
    # what is shifted farther than this wraps round and is not looked at
    size = [fft.next_fast_len(n + min(n, far_px + 1), real=True) for n in one[0].shape]

    def spectrum(field: Field) -> NDArray[np.complex128]:
        return np.asarray(fft.rfft2(field, size))

    def over(first: NDArray[np.complex128], second: NDArray[np.complex128]) -> Field:
        return np.asarray(fft.fftshift(fft.irfft2(np.conj(first) * second, size)))

    (f, wf), (g, wg) = one, two
    F, WF, G, WG = (spectrum(field) for field in (f, wf, g, wg))
    overlap = np.maximum(over(WF, WG), 1e-6)
    mean_f, mean_g = over(F, WG), over(WF, G)
    both = over(F, G) - mean_f * mean_g / overlap
    spread_f = over(spectrum(f**2), WG) - mean_f**2 / overlap
    spread_g = over(WF, spectrum(g**2)) - mean_g**2 / overlap
    spread = np.sqrt(np.maximum(spread_f, 0) * np.maximum(spread_g, 0))
    enough = (overlap > LEAST_OVERLAP * overlap.max()) & (spread > 1e-6 * max(1.0, spread.max()))
    return np.where(enough, np.clip(both / np.maximum(spread, 1e-9), -1, 1), -1.0)


def _peak(correlations: Field, reach_px: int, grid: FaceGrid) -> Shift:
    middle = [n // 2 for n in correlations.shape]
    wide = [min(COMPARED_WITH * reach_px, m - 1) for m in middle]
    window = correlations[
        middle[0] - wide[0] : middle[0] + wide[0] + 1, middle[1] - wide[1] : middle[1] + wide[1] + 1
    ]
    y, x = (np.abs(np.arange(2 * w + 1) - w) <= min(reach_px, w - 1) for w in wide)
    inner = y[:, None] & x[None, :]
    row, column = np.unravel_index(int(np.argmax(np.where(inner, window, -2))), window.shape)
    best = float(window[row, column])
    others = (window > -1) & ~_own_slope(window, int(row), int(column))
    if best <= 0 or not others.any():
        return NO_SHIFT
    rest = window[others]
    deviations = (best - float(rest.mean())) / max(float(rest.std()), 1e-9)
    off, curvature = _vertex(window[row - 1 : row + 2, column - 1 : column + 2])
    if best < CLEAR_RATIO * rest.max() or deviations < CLEAR_DEVIATIONS or curvature <= 0:
        return Shift(0.0, 0.0, False, float("inf"), best)
    slopes = [np.asarray(along) for along in np.gradient(window)]
    slope = float(np.sqrt(np.mean([np.mean(s[others] ** 2) for s in slopes])))
    x_mm = (column - wide[1] + off[0]) / grid.px_per_mm
    y_mm = (row - wide[0] + off[1]) / grid.px_per_mm
    return Shift(float(x_mm), float(y_mm), True, slope / curvature / grid.px_per_mm, best)


def _own_slope(correlations: Field, row: int, column: int) -> Mask:
    """All that is joined to a peak without going down to half its height, and one square more."""
    high = correlations > OWN_SLOPE * correlations[row, column]
    labels, _ = label(np.ascontiguousarray(high), BARE)
    own = (labels == labels[row, column]).astype(np.uint8)
    return np.asarray(cv2.dilate(own, np.ones((3, 3), np.uint8)).astype(bool))


def _vertex(around: Field) -> tuple[tuple[float, float], float]:
    """Where a parabola through a peak and its neighbours is highest, x and y, and its curvature."""
    offs, bends = [], []
    for line in (around[1], around[:, 1]):
        bend = float(2 * line[1] - line[0] - line[2])
        offs.append(float(line[2] - line[0]) / (2 * bend) if bend > 0 else 0.0)
        bends.append(bend)
    return (offs[0], offs[1]), min(bends)


def shifts_to_last(steps: Sequence[Shift]) -> tuple[tuple[float, float], ...]:
    """Return by how much each of several prints lies off the last one.

    Parameters
    ----------
    steps : sequence of Shift
        From each print to the next: one less than there are prints. What is not clear, or no more
        than its own error, counts as none, so that errors do not add up over many prints.

    Returns
    -------
    tuple of (x, y)
        mm, one a print; (0, 0) for the last.
    """
    off = [(0.0, 0.0)]
    for step in reversed(steps):
        moved = step.clear and step.distance_mm > 2 * step.error_mm
        x, y = (step.x_mm, step.y_mm) if moved else (0.0, 0.0)
        off.append((off[-1][0] - x, off[-1][1] - y))
    return tuple(reversed(off))
