"""Touching points told apart at the necks between them."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing.components import Labels, Marks

SMOOTHING_MM = 0.2
"""Smoothing of the distance transform: outlines are rough, necks are not."""
NECK_SHARE = 0.07
"""A neck is also at least this share narrower than the smaller of its two points."""


PEAK_REACH_MM = 0.3
"""Maxima nearer than this are one."""


@dataclass(frozen=True, eq=False)
class Split:
    """Marks told apart into points.

    Parameters
    ----------
    labels : (h, w) int32
        0 where bare, else 1..n.
    held : (m,) int
        Numbers of the pixels that carry a label.
    count : int
        How many labels there are.
    mark_of : (n + 1,) int
        Which connected mark each label is part of.
    """

    labels: Labels
    held: NDArray[np.intp]
    count: int
    mark_of: NDArray[np.int64]


def split_at_necks(marks: Marks, px_per_mm: float, neck_depth_mm: float) -> Split:
    """Split marks where they narrow to a neck.

    Each mark's distance transform is smoothed and every pixel follows the steepest ascent to a
    maximum (watershed by ascent); the basins of two maxima are joined again where the pass between
    them lies less than `neck_depth_mm` below the lower maximum (its dynamics), or less than a share
    of it.

    Parameters
    ----------
    marks : Marks
        Hollow points filled.
    px_per_mm, neck_depth_mm : float
    """
    held = np.flatnonzero(marks.labels)
    mark = marks.labels.ravel()[held].astype(np.int64)
    depth = _depth(marks, px_per_mm)
    peaks = _peaks(marks, depth, px_per_mm)
    maxima = np.bincount(marks.labels.ravel()[peaks], minlength=marks.count + 1)
    in_several = (maxima > 1)[mark]
    if not in_several.any():
        return Split(marks.labels, held, marks.count, np.arange(marks.count + 1))
    cut = held[in_several]
    basins, heights = _basins(depth, cut)
    joined = _join_shallow(basins, depth, cut, heights, neck_depth_mm * px_per_mm)
    basin = np.zeros(len(held), dtype=np.int64)
    basin[in_several] = joined[basins.ravel()[cut]]
    return _renumbered(marks, held, mark, basin)


def _depth(marks: Marks, px_per_mm: float) -> NDArray[np.float32]:
    mask = (marks.labels > 0).view(np.uint8)
    depth = cv2.distanceTransform(mask, cv2.DIST_L2, cv2.DIST_MASK_5)
    # the outline of a coarse mask is rough on the scale of its pixels
    sigma_px = max(SMOOTHING_MM * px_per_mm, 1.0)
    smooth = np.asarray(cv2.GaussianBlur(depth, (0, 0), sigma_px), np.float32)
    smooth[mask == 0] = -1
    return smooth


def _peaks(marks: Marks, depth: NDArray[np.float32], px_per_mm: float) -> NDArray[np.intp]:
    """Pixel numbers of the depth's maxima; equal neighbours are joined again as shallow."""
    size = 2 * max(1, round(PEAK_REACH_MM * px_per_mm)) + 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    return np.flatnonzero((depth >= cv2.dilate(depth, kernel)) & (marks.labels > 0))


def _basins(
    depth: NDArray[np.float32], cut: NDArray[np.intp]
) -> tuple[Labels, NDArray[np.float64]]:
    """Basin (1..n) of each pixel in `cut` by steepest ascent, and the heights of their maxima."""
    width = depth.shape[1]
    flat = depth.ravel()
    highest, target = flat[cut], cut.copy()
    in_cut = np.zeros(flat.size, dtype=bool)
    in_cut[cut] = True
    for step in (-width - 1, -width, -width + 1, -1, 1, width - 1, width, width + 1):
        beside = np.clip(cut + step, 0, flat.size - 1)
        # at the view's sides a step leads to the other side, perhaps into a mark that is not cut
        higher = (flat[beside] > highest) & in_cut[beside]
        target[higher] = beside[higher]
        highest[higher] = flat[beside[higher]]
    place = np.zeros(flat.size, dtype=np.int32)
    place[cut] = np.arange(len(cut))
    parent = place[target]
    while not np.array_equal(grandparent := parent[parent], parent):
        parent = grandparent
    maxima = np.flatnonzero(parent == np.arange(len(cut)))
    number = np.zeros(len(cut), dtype=np.int32)
    number[maxima] = np.arange(1, len(maxima) + 1)
    basins = np.zeros(flat.size, dtype=np.int32)
    basins[cut] = number[parent]
    return basins.reshape(depth.shape), flat[cut[maxima]].astype(np.float64)


def _join_shallow(
    basins: Labels,
    depth: NDArray[np.float32],
    cut: NDArray[np.intp],
    heights: NDArray[np.float64],
    neck_px: float,
) -> NDArray[np.int64]:
    """Return for each basin (0..n) the basin it is joined to."""
    peak = np.concatenate(([0.0], heights))
    pairs, passes = _passes(basins, depth, cut, len(peak))
    root = np.arange(len(peak))

    def find(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    order = np.argsort(-passes, kind="stable")
    for (a, b), height in zip(pairs[order], passes[order], strict=True):
        low, high = sorted((find(int(a)), find(int(b))), key=lambda i: peak[i])
        if low != high and peak[low] - height < max(neck_px, NECK_SHARE * peak[low]):
            root[low] = high
    return np.array([find(i) for i in range(len(peak))])


def _passes(
    basins: Labels, depth: NDArray[np.float32], cut: NDArray[np.intp], n: int
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Neighbouring basins (m, 2) and the height of the highest pass between each two."""
    width = basins.shape[1]
    flat, flat_depth = basins.ravel(), depth.ravel()
    keys, heights = [], []
    for step in (1, width, width + 1, width - 1):
        beyond = np.minimum(cut + step, flat.size - 1)
        a, b = flat[cut].astype(np.int64), flat[beyond].astype(np.int64)
        border = (a != b) & (a > 0) & (b > 0)
        a, b = a[border], b[border]
        keys.append(np.minimum(a, b) * n + np.maximum(a, b))
        heights.append(np.minimum(flat_depth[cut[border]], flat_depth[beyond[border]]))
    key, index = np.unique(np.concatenate(keys), return_inverse=True)
    highest = np.full(len(key), -np.inf)
    np.maximum.at(highest, index, np.concatenate(heights).astype(np.float64))
    return np.stack(np.divmod(key, n), axis=1), highest


def _renumbered(
    marks: Marks, held: NDArray[np.intp], mark: NDArray[np.int64], basin: NDArray[np.int64]
) -> Split:
    """One run of labels over whole marks and split ones."""
    raw = np.where(basin > 0, basin + marks.count, mark)
    used = np.flatnonzero(np.bincount(raw))
    number = np.zeros(int(used[-1]) + 1, dtype=np.int32)
    number[used] = np.arange(1, len(used) + 1)
    label = number[raw]
    labels = np.zeros(marks.labels.size, dtype=np.int32)
    labels[held] = label
    mark_of = np.zeros(len(used) + 1, dtype=np.int64)
    mark_of[label] = mark
    return Split(labels.reshape(marks.labels.shape), held, len(used), mark_of)
