"""Points at the edge of the face: seen whole where the print runs on, judged where it is cut."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing.components import Mask

NEIGHBOURHOOD_MM = 12.0
MOST_MARKED_BEYOND = 0.9
"""Beyond the edge a print has bare metal between its marks; what is film through and through is a
bench or a shadow of the film's colour."""


def print_beyond(marked: Mask, face: Mask, seen: Mask, px_per_mm: float) -> Mask:
    """Return the marks beyond the face's edge that belong to a print running on there.

    Parameters
    ----------
    marked : (h, w) bool
        Film on the whole view.
    face, seen : (h, w) bool
        The face; pixels that lie in the photo.
    px_per_mm : float
    """
    beyond = seen & ~face
    size = 2 * round(NEIGHBOURHOOD_MM * px_per_mm) + 1
    share = cv2.blur((marked & beyond).astype(np.float32), (size, size))
    area = cv2.blur(beyond.astype(np.float32), (size, size))
    return np.asarray(marked & beyond & (share < MOST_MARKED_BEYOND * area))


def edge_pixels(marks: Mask, face: Mask) -> Mask:
    """Return the marks' pixels that lie on the face's edge."""
    cross = cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3))
    return np.asarray(cv2.dilate((~face).view(np.uint8), cross).view(bool) & face & marks)


def cut_labels(labels: NDArray[np.int32], count: int, edge: Mask, face: Mask) -> NDArray[np.bool_]:
    """Which labels (count + 1,) the face's edge cuts off: most of what lies on it ends there."""
    beyond = cv2.dilate(((labels > 0) & ~face).view(np.uint8), np.ones((3, 3), np.uint8))
    on_edge = np.bincount(labels[edge], minlength=count + 1)
    ending = np.bincount(labels[edge & (beyond == 0)], minlength=count + 1)
    cut = 2 * ending > on_edge
    cut[0] = False
    return np.asarray(cut)


def centre_inside(
    areas_px: NDArray[np.float64],
    labels: NDArray[np.int32],
    edge: Mask,
    cut: Mask,
) -> Mask:
    """Whether the centre of each cut point lies inside the face, for labels 0..n.

    Of a disc cut by a straight edge, what is left is more than the half disc on the cut as its
    diameter exactly when the disc's centre lies inside: area > pi c^2 / 8 for a cut of length c.
    A point that is not cut has its centre inside.

    Parameters
    ----------
    areas_px : (n + 1,) float
        Area of each label inside the face.
    labels : (h, w) int32
    edge : (h, w) bool
        See `edge_pixels`.
    cut : (n + 1,) bool
        See `cut_labels`.
    """
    n = len(areas_px)
    held = np.flatnonzero(edge)
    held = held[cut[labels.ravel()[held]]]
    inside = np.ones(n, dtype=bool)
    if held.size == 0:
        return inside
    y, x = np.divmod(held, labels.shape[1])
    label = labels.ravel()[held]
    lows, highs = np.full((2, n), np.inf), np.full((2, n), -np.inf)
    for axis, value in enumerate((x, y)):
        np.minimum.at(lows[axis], label, value)
        np.maximum.at(highs[axis], label, value)
    extent = np.where(np.isfinite(lows), highs - lows, -1.0)
    chord = np.hypot(extent[0], extent[1]) + 1
    inside[cut] = areas_px[cut] > np.pi / 8 * chord[cut] ** 2
    return inside
