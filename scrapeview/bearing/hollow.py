"""Hollow points: rings of marking whose rubbed-bright middle is contact too.

A bare island inside a merged network is enclosed by marking just as well, but it is no middle.
What tells them apart is the ring: a middle has a rim of about even width around it and bare metal
outside the rim most of the way round; an island has marking running off in all directions.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing.components import BARE, Labels, Mask, label

RAYS = 32
LEAST_RIM_SHARE = 0.6
"""Share of the way round in which the rim must end in bare metal."""
WIDEST_RIM = 1.2
WIDEST_RIM_MM = 0.5
"""A rim is at most WIDEST_RIM times the middle's radius plus WIDEST_RIM_MM wide."""
LARGEST_MIDDLE = 0.7
"""Diameter of the largest middle, of the largest point's diameter."""
LARGEST_PINHOLE = 0.25
"""Area of a pinhole in the film, of the smallest point's area: grain, not bare metal."""


def fill_middles(
    marks: Mask,
    closed_off: Mask,
    px_per_mm: float,
    smallest_point_mm: float,
    largest_point_mm: float,
) -> tuple[Mask, Mask]:
    """Return the marks with pinholes and the middles of hollow points filled, and the middles.

    Parameters
    ----------
    marks : (h, w) bool
    closed_off : (h, w) bool
        Pixels that cannot be bare metal: outside the face and the print around it.
    px_per_mm, smallest_point_mm, largest_point_mm : float

    Returns
    -------
    filled, middles : (h, w) bool
    """
    labels, areas = label(~marks & ~closed_off, BARE)
    pinhole_px = LARGEST_PINHOLE * np.pi / 4 * (smallest_point_mm * px_per_mm) ** 2
    largest_px = np.pi / 4 * (LARGEST_MIDDLE * largest_point_mm * px_per_mm) ** 2
    enclosed = areas <= largest_px
    enclosed[0] = False
    enclosed[_labels_beside(labels, closed_off)] = False
    pinholes = enclosed & (areas <= pinhole_px)
    candidates = np.flatnonzero(enclosed & ~pinholes)
    is_middle = np.zeros(len(areas), dtype=bool)
    if candidates.size:
        held = np.flatnonzero(enclosed[labels])
        centres = _centres(labels.ravel()[held], held, marks.shape[1], areas)[candidates]
        radii = np.sqrt(areas[candidates] / np.pi)
        is_middle[candidates] = _rims_end(marks, centres, radii, px_per_mm)
    middles = np.asarray(is_middle[labels])
    return marks | np.asarray((pinholes | is_middle)[labels]), middles


def _labels_beside(labels: Labels, closed_off: Mask) -> Labels:
    """Labels that touch the picture's border or what is closed off."""
    beside = cv2.dilate(closed_off.view(np.uint8), np.ones((3, 3), np.uint8)).view(bool)
    border = (labels[0], labels[-1], labels[:, 0], labels[:, -1])
    return np.unique(np.concatenate((labels[beside], *border)))


def _centres(
    held_labels: Labels, held: NDArray[np.intp], width: int, areas: NDArray[np.int64]
) -> NDArray[np.float64]:
    n = len(areas)
    y, x = np.divmod(held, width)
    sums = [np.bincount(held_labels, weights=v, minlength=n) for v in (x, y)]
    return np.stack(sums, axis=1) / np.maximum(areas, 1)[:, None]


def _rims_end(
    marks: Mask, centres: NDArray[np.float64], radii: NDArray[np.float64], px_per_mm: float
) -> Mask:
    """Whether the rim around each enclosed spot ends in bare metal most of the way round."""
    widest = WIDEST_RIM * radii + WIDEST_RIM_MM * px_per_mm
    reach = int(np.ceil((2.5 * radii + widest).max())) + 1
    angles = np.arange(RAYS) * (2 * np.pi / RAYS)
    steps = np.arange(reach)
    x = centres[:, 0, None, None] + np.cos(angles)[:, None] * steps
    y = centres[:, 1, None, None] + np.sin(angles)[:, None] * steps
    columns = np.clip(np.rint(x).astype(np.intp), 0, marks.shape[1] - 1)
    rows = np.clip(np.rint(y).astype(np.intp), 0, marks.shape[0] - 1)
    along = marks[rows, columns]
    starts = along.argmax(axis=2)
    after = along.copy()
    after[steps < starts[..., None]] = True
    ends = np.where(after.all(axis=2), reach * 10, (~after).argmax(axis=2))
    rim_ends = along.any(axis=2) & (ends - starts <= widest[:, None])
    return np.asarray(rim_ends.mean(axis=1) >= LEAST_RIM_SHARE)
