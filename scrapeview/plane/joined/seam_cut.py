"""Seams laid anew between two photographs at a time, round marks, as a minimum cut.

Within a band along the border between two photographs each cell may come from either. The cut
that costs least (maximum flow; Y. Boykov, O. Veksler and R. Zabih, Fast approximate energy
minimization via graph cuts, 2001, the swap move) is short, keeps off marks and places where the
two pictures differ, and yet respects which photograph shows a place better.
"""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, maximum_flow

from scrapeview.plane.joined.best_view import Candidate

_BAND_MM = 8.0
_MOST_CELLS = 60_000
"""In a larger band seams stay where they are: they are long enough to be nobody's single mark."""
_QUALITY_PER_MM2 = 1.5
_PER_MM = 1.0
_PER_MARK = 4.0
_MOST_MARKED = 4.0
_DIFFERENT_LEVELS = 12.0
_UNITS = 50
"""Capacities are whole numbers."""
_HOLDS = 2_000_000


def cut_seams(
    labels: NDArray[np.int16], candidates: Sequence[Candidate], cell_mm: float
) -> NDArray[np.int16]:
    """Return labels whose borders are moved round marks.

    Parameters
    ----------
    labels : (h, w) int16 array
        Which photograph each cell comes from.
    candidates : sequence of Candidate
    cell_mm : float
    """
    moved = labels.copy()
    for first, second in bordering(labels):
        _cut_between(moved, first, second, candidates, cell_mm)
    return moved


def bordering(labels: NDArray[np.int16]) -> list[tuple[int, int]]:
    """Return all pairs of photographs that lie side by side, the lower number first."""
    pairs = set()
    for one, two in ((labels[:, :-1], labels[:, 1:]), (labels[:-1], labels[1:])):
        apart = (one != two) & (one >= 0) & (two >= 0)
        lower, upper = np.minimum(one, two)[apart], np.maximum(one, two)[apart]
        pairs |= set(zip(lower.tolist(), upper.tolist(), strict=True))
    return sorted(pairs)


def border_between(labels: NDArray[np.int16], first: int, second: int) -> NDArray[np.bool_]:
    """Return the cells of either photograph that have a cell of the other beside them."""
    one, two = (labels == first).astype(np.uint8), (labels == second).astype(np.uint8)
    cross = cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3))
    return np.asarray((one & cv2.dilate(two, cross)) | (two & cv2.dilate(one, cross))) > 0


def _cut_between(
    labels: NDArray[np.int16],
    first: int,
    second: int,
    candidates: Sequence[Candidate],
    cell_mm: float,
) -> None:
    """Move the border between two photographs, in place."""
    part = _shared_part(candidates[first], candidates[second])
    if part is None:
        return
    here = labels[part]
    one, two = (_in_part(candidates[n], part) for n in (first, second))
    border = border_between(here, first, second).astype(np.uint8)
    reach = round(_BAND_MM / cell_mm)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    free = (cv2.dilate(border, disc) > 0) & one.valid & two.valid
    free &= (here == first) | (here == second)
    if not 0 < free.sum() <= _MOST_CELLS:
        return
    to_cross = _cost_to_cross(one, two, cell_mm)
    prefers_second = _QUALITY_PER_MM2 * cell_mm**2 * (one.cost - two.cost)
    keeps_first = _minimum_cut(free, here, first, second, to_cross, prefers_second)
    here[free] = np.where(keeps_first, first, second)


def _shared_part(one: Candidate, two: Candidate) -> tuple[slice, slice] | None:
    top, left = max(one.row, two.row), max(one.column, two.column)
    foot = min(one.row + len(one.valid), two.row + len(two.valid))
    right = min(one.column + one.valid.shape[1], two.column + two.valid.shape[1])
    return (slice(top, foot), slice(left, right)) if foot > top and right > left else None


def _in_part(each: Candidate, part: tuple[slice, slice]) -> Candidate:
    rows, columns = part
    cut = np.s_[
        rows.start - each.row : rows.stop - each.row,
        columns.start - each.column : columns.stop - each.column,
    ]
    return Candidate(
        each.valid[cut], each.washed_out[cut], each.cost[cut], each.grey[cut], each.marked[cut],
        columns.start, rows.start,
    )  # fmt: skip


def _cost_to_cross(one: Candidate, two: Candidate, cell_mm: float) -> NDArray[np.float32]:
    """What a seam costs that runs through each cell."""
    marked = np.minimum(np.maximum(one.marked, two.marked), _MOST_MARKED)
    different = np.minimum(np.abs(one.grey - two.grey) / _DIFFERENT_LEVELS, _MOST_MARKED)
    return np.asarray(cell_mm * (_PER_MM + _PER_MARK * (marked + different)), np.float32)


def _minimum_cut(
    free: NDArray[np.bool_],
    labels: NDArray[np.int16],
    first: int,
    second: int,
    to_cross: NDArray[np.float32],
    prefers_second: NDArray[np.float32],
) -> NDArray[np.bool_]:
    """Return which of the free cells, in their order, are the first photograph's."""
    count = int(free.sum())
    number = np.full(free.shape, -1)
    number[free] = np.arange(count)
    number[~free & (labels == first)] = count
    number[~free & (labels == second)] = count + 1
    # whole numbers would round a slight preference off: it is summed up in fine steps
    leaning = np.rint(_UNITS * prefers_second[free]).astype(np.int64)
    cells = np.arange(count)
    tails = [np.full(count, count), cells]
    heads = [cells, np.full(count, count + 1)]
    capacities = [np.maximum(-leaning, 0), np.maximum(leaning, 0)]
    for one, two in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1], np.s_[1:])):
        tail, head = number[one].ravel(), number[two].ravel()
        cost = np.rint(_UNITS * (to_cross[one] + to_cross[two]).ravel() / 2).astype(np.int64)
        joined = (tail >= 0) & (head >= 0) & (np.minimum(tail, head) < count)
        tails += [tail[joined], head[joined]]
        heads += [head[joined], tail[joined]]
        capacities += [cost[joined], cost[joined]]
    tail, head = np.concatenate(tails), np.concatenate(heads)
    # nothing flows into the source or out of the sink
    used = (head != count) & (tail != count + 1)
    capacity = np.minimum(np.concatenate(capacities), _HOLDS)
    graph = csr_array(
        (capacity[used].astype(np.int32), (tail[used], head[used])), shape=(count + 2, count + 2)
    )
    flow = maximum_flow(graph, count, count + 1).flow
    left = csr_array(graph - flow)
    left.data = np.maximum(left.data, 0)
    left.eliminate_zeros()
    reached = breadth_first_order(left, count, return_predecessors=False)
    keeps = np.zeros(count + 2, bool)
    keeps[reached] = True
    return keeps[:count]
