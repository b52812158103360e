"""Touching points told apart at the necks between them."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from skimage.segmentation import watershed

from scrapeview.bearing.components import MARKS, Labels, Mask, label

SMOOTHING_MM = 0.2
"""Smoothing of the distance transform: outlines are rough, necks are not."""
NECK_SHARE = 0.15
"""A neck is also at least this share narrower than the smaller of its two points."""


@dataclass(frozen=True, eq=False)
class Split:
    """Marks told apart into points.

    Parameters
    ----------
    labels : (h, w) int32
        0 where bare, else 1..n.
    count : int
        How many labels there are.
    mark_of : (n + 1,) int
        Which connected mark each label is part of.
    """

    labels: Labels
    count: int
    mark_of: NDArray[np.int64]


def split_at_necks(marks: Mask, px_per_mm: float, neck_depth_mm: float) -> Split:
    """Split marks where they narrow to a neck.

    Each mark's distance transform is smoothed and flooded from its maxima (watershed); basins are
    joined again where the pass between them lies less than `neck_depth_mm` below the lower of
    their two maxima (the maxima's dynamics), or less than a share of it.

    Parameters
    ----------
    marks : (h, w) bool
        Marks, hollow points filled.
    px_per_mm, neck_depth_mm : float
    """
    mark_labels, areas = label(marks, MARKS)
    marks_n = len(areas) - 1
    depth = cv2.distanceTransform(marks.view(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5)
    depth = cv2.GaussianBlur(depth, (0, 0), SMOOTHING_MM * px_per_mm)
    several, seeds = _seeds(marks, depth, mark_labels, marks_n, px_per_mm)
    if not several.any():
        return Split(mark_labels, marks_n, np.arange(marks_n + 1))
    basins = watershed(-depth, markers=seeds, mask=several)
    joined = _join_shallow(basins, depth, neck_depth_mm * px_per_mm)
    return _renumbered(mark_labels, several, joined[basins])


def _seeds(
    marks: Mask, depth: NDArray[np.float32], mark_labels: Labels, marks_n: int, px_per_mm: float
) -> tuple[Mask, Labels]:
    """Marks with more than one maximum of depth, and their maxima as seeds."""
    size = 2 * max(1, round(0.3 * px_per_mm)) + 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    peaks = (depth >= cv2.dilate(depth, kernel)) & marks
    peak_labels = label(peaks, MARKS)[0]
    rows_columns = np.flatnonzero(peak_labels)
    first = np.unique(peak_labels.ravel()[rows_columns], return_index=True)[1]
    owner = mark_labels.ravel()[rows_columns[first]]
    maxima = np.bincount(owner, minlength=marks_n + 1)
    several = (maxima > 1)[mark_labels] & marks
    return several, np.where(several, peak_labels, 0).astype(np.int32)


def _join_shallow(basins: Labels, depth: NDArray[np.float32], neck_px: float) -> NDArray[np.int64]:
    """Return for each basin the basin it is joined to."""
    n = int(basins.max())
    held = np.flatnonzero(basins)
    peak = np.zeros(n + 1)
    np.maximum.at(peak, basins.ravel()[held], depth.ravel()[held])
    pairs, passes = _passes(basins, depth, n)
    root = np.arange(n + 1)

    def find(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    for (a, b), height in zip(pairs[np.argsort(-passes)], np.sort(passes)[::-1], strict=True):
        low, high = sorted((find(int(a)), find(int(b))), key=lambda i: peak[i])
        if low != high and peak[low] - height < max(neck_px, NECK_SHARE * peak[low]):
            root[low] = high
    return np.array([find(i) for i in range(n + 1)])


def _passes(
    basins: Labels, depth: NDArray[np.float32], n: int
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Neighbouring basins (m, 2) and the height of the highest pass between each two."""
    keys, heights = [], []
    for here, there in (
        (np.s_[:, :-1], np.s_[:, 1:]),
        (np.s_[:-1], np.s_[1:]),
        (np.s_[:-1, :-1], np.s_[1:, 1:]),
        (np.s_[:-1, 1:], np.s_[1:, :-1]),
    ):
        a, b = basins[here], basins[there]
        border = np.flatnonzero((a != b) & (a > 0) & (b > 0))
        a, b = a.ravel()[border].astype(np.int64), b.ravel()[border].astype(np.int64)
        keys.append(np.minimum(a, b) * (n + 1) + np.maximum(a, b))
        heights.append(np.minimum(depth[here].ravel()[border], depth[there].ravel()[border]))
    key, index = np.unique(np.concatenate(keys), return_inverse=True)
    highest = np.full(len(key), -np.inf)
    np.maximum.at(highest, index, np.concatenate(heights))
    return np.stack(np.divmod(key, n + 1), axis=1), highest


def _renumbered(mark_labels: Labels, several: Mask, basins: NDArray[np.int64]) -> Split:
    """One run of labels over whole marks and split ones."""
    raw = np.where(several, basins + int(mark_labels.max()), mark_labels)
    held = np.flatnonzero(mark_labels)
    used, first, index = np.unique(raw.ravel()[held], return_index=True, return_inverse=True)
    labels = np.zeros(mark_labels.size, dtype=np.int32)
    labels[held] = index + 1
    mark_of = np.concatenate(([0], mark_labels.ravel()[held[first]]))
    return Split(labels.reshape(mark_labels.shape), len(used), mark_of.astype(np.int64))
