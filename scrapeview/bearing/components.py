"""Connected components of a mask, and sums over labels.

Marks are connected over edges and corners (8-connectivity), bare metal over edges only
(4-connectivity), so that a mark and the metal around it never cross.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]
Labels = NDArray[np.int32]

MARKS = 8
BARE = 4


def label(mask: Mask, connectivity: int) -> tuple[Labels, NDArray[np.int64]]:
    """Return labels (0 outside, 1..n) and pixel counts by label, index 0 for outside."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(
        mask.view(np.uint8), connectivity=connectivity, ltype=cv2.CV_32S
    )
    areas = np.asarray(stats[:count, cv2.CC_STAT_AREA], dtype=np.int64)
    return np.asarray(labels, dtype=np.int32), areas


def count_by_label(labels: NDArray[np.int32] | NDArray[np.int16], n: int) -> NDArray[np.int64]:
    """Return how often each of the labels 0..n occurs in an array of labels."""
    return np.bincount(labels.ravel(), minlength=n + 1)[: n + 1]


@dataclass(frozen=True, eq=False)
class Marks:
    """Connected marks.

    Parameters
    ----------
    labels : (h, w) int32
        0 where bare, else 1..count.
    count : int
    """

    labels: Labels
    count: int


def connected_marks(mask: Mask) -> Marks:
    """Return the connected marks of a mask."""
    labels, areas = label(mask, MARKS)
    return Marks(labels, len(areas) - 1)


def keep_labels(labels: Labels, keep: NDArray[np.bool_]) -> Marks:
    """Return the marks whose label (0..n) is to be kept, numbered anew."""
    number = np.cumsum(keep).astype(np.int32)
    number[~keep] = 0
    return Marks(number[labels], int(keep.sum()))
