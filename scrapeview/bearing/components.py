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
    areas_px : (count + 1,) int
        Pixels of each label; 0 for what is bare.
    """

    labels: Labels
    areas_px: NDArray[np.int64]

    @property
    def count(self) -> int:
        """How many marks there are."""
        return len(self.areas_px) - 1


def connected_marks(mask: Mask) -> Marks:
    """Return the connected marks of a mask."""
    labels, areas = label(mask, MARKS)
    areas[0] = 0
    return Marks(labels, areas)


def keep_marks(marks: Marks, keep: NDArray[np.bool_]) -> Marks:
    """Return the marks whose label (0..n) is to be kept, numbered anew."""
    keep = keep.copy()
    keep[0] = False
    number = np.cumsum(keep).astype(np.int32)
    number[~keep] = 0
    areas = np.concatenate(([0], marks.areas_px[keep]))
    return Marks(marks.labels if keep[1:].all() else number[marks.labels], areas)
