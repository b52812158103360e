"""Hollow points: rings of marking whose rubbed-bright middle is contact too.

A bare island inside a merged network is enclosed by marking just as well, but it is no middle.
What tells them apart is the ring: a middle has a rim of about even width around it and bare metal
outside the rim most of the way round; an island has marking running off in all directions.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing.components import BARE, Labels, Marks, Mask, label

RAYS = 32
LEAST_RIM_SHARE = 0.6
"""Share of the way round in which the rim must end in bare metal."""
LEAST_RIM_SHARE_IN_NETWORK = 0.85
"""The same in a mark larger than a point can be: most of what it encloses are bare islands."""
WIDEST_RIM = 1.2
WIDEST_RIM_MM = 0.5
"""A rim is at most WIDEST_RIM times the middle's radius plus WIDEST_RIM_MM wide."""
LARGEST_MIDDLE = 0.7
"""Diameter of the largest middle, of the largest point's diameter."""
LEAST_COMPACT = 0.93
"""Area of a mark, of the ellipse with its second moments (1 for any ellipse, 0.82 for three discs
that touch around a gap): as compact a mark is one point, and what it encloses its middle."""
LARGEST_PINHOLE = 0.25
"""Area of a pinhole in the film, of the smallest point's area: grain, not bare metal."""


def fill_middles(
    marks: Marks,
    closed_off: Mask,
    px_per_mm: float,
    smallest_point_mm: float,
    largest_point_mm: float,
) -> tuple[Marks, Mask]:
    """Return the marks with pinholes and the middles of hollow points filled, and the middles.

    Parameters
    ----------
    marks : Marks
    closed_off : (h, w) bool
        Pixels that cannot be bare metal: openings and what lies outside the photo.
    px_per_mm, smallest_point_mm, largest_point_mm : float

    Returns
    -------
    filled : Marks
        With the same numbers.
    middles : (h, w) bool
    """
    bare = (marks.labels == 0) & ~closed_off
    holes, areas = label(bare, BARE)
    pinhole_px = LARGEST_PINHOLE * np.pi / 4 * (smallest_point_mm * px_per_mm) ** 2
    largest_px = np.pi / 4 * (largest_point_mm * px_per_mm) ** 2
    enclosed = areas <= LARGEST_MIDDLE**2 * largest_px
    enclosed[0] = False
    enclosed[_labels_beside(holes, closed_off)] = False
    if not enclosed.any():
        return marks, np.zeros_like(closed_off)
    held = np.flatnonzero(enclosed[holes])
    hole = holes.ravel()[held]
    pinholes = enclosed & (areas <= pinhole_px)
    candidates = np.flatnonzero(enclosed & ~pinholes)
    owner = _owners(hole, held, marks, len(areas))
    is_middle = np.zeros(len(areas), dtype=bool)
    if candidates.size:
        centres = _centres(hole, held, marks.labels.shape[1], areas)[candidates]
        radii = np.sqrt(areas[candidates] / np.pi)
        in_network = marks.areas_px[owner[candidates]] > largest_px
        least = np.where(in_network, LEAST_RIM_SHARE_IN_NETWORK, LEAST_RIM_SHARE)
        whole = marks.labels.copy()
        whole.ravel()[held] = owner[hole]
        one_point = ~in_network & (_compactness(whole, owner[candidates], marks) >= LEAST_COMPACT)
        rim_ends = _rim_share(marks, centres, radii, px_per_mm) >= least
        is_middle[candidates] = one_point | rim_ends
    filled = held[(pinholes | is_middle)[hole]]
    labels = marks.labels.copy()
    filled_by = owner[holes.ravel()[filled]]
    labels.ravel()[filled] = filled_by
    grown = marks.areas_px + np.bincount(filled_by, minlength=marks.count + 1)
    middles = np.zeros(labels.shape, dtype=bool)
    middles.ravel()[held[is_middle[hole]]] = True
    return Marks(labels, grown), middles


def _labels_beside(labels: Labels, closed_off: Mask) -> Labels:
    """Labels that touch the picture's border or what is closed off."""
    beside = cv2.dilate(closed_off.view(np.uint8), np.ones((3, 3), np.uint8)).view(bool)
    border = (labels[0], labels[-1], labels[:, 0], labels[:, -1])
    return np.unique(np.concatenate((labels[beside], *border)))


def _owners(hole: Labels, held: NDArray[np.intp], marks: Marks, n: int) -> Labels:
    """The mark around each enclosed hole: what lies left of its first pixel in reading order."""
    first = np.full(n, -1, dtype=np.intp)
    first[hole[::-1]] = held[::-1]
    owner = np.zeros(n, dtype=np.int32)
    known = first > 0
    owner[known] = marks.labels.ravel()[first[known] - 1]
    return owner


def _centres(
    hole: Labels, held: NDArray[np.intp], width: int, areas: NDArray[np.int64]
) -> NDArray[np.float64]:
    n = len(areas)
    y, x = np.divmod(held, width)
    sums = [np.bincount(hole, weights=v, minlength=n) for v in (x, y)]
    return np.stack(sums, axis=1) / np.maximum(areas, 1)[:, None]


def _compactness(whole: Labels, owners: Labels, marks: Marks) -> NDArray[np.float64]:
    """Area of each owner, holes filled, of the ellipse with the same second moments."""
    wanted = np.zeros(marks.count + 1, dtype=bool)
    wanted[owners] = True
    wanted[0] = False
    pixels = np.flatnonzero(wanted[whole])
    label = whole.ravel()[pixels]
    y, x = np.divmod(pixels.astype(np.float64), whole.shape[1])

    def mean(values: NDArray[np.float64]) -> NDArray[np.float64]:
        sums = np.bincount(label, weights=values, minlength=marks.count + 1)
        return sums / np.maximum(areas, 1)

    areas = np.bincount(label, minlength=marks.count + 1)
    dx, dy = x - mean(x)[label], y - mean(y)[label]
    # a pixel is a square, not a point: it has a variance of 1/12 of its own
    xx, yy, xy = mean(dx * dx) + 1 / 12, mean(dy * dy) + 1 / 12, mean(dx * dy)
    ellipse = 4 * np.pi * np.sqrt(np.maximum(xx * yy - xy * xy, 1e-12))
    return np.asarray((areas / ellipse)[owners])


def _rim_share(
    marks: Marks, centres: NDArray[np.float64], radii: NDArray[np.float64], px_per_mm: float
) -> NDArray[np.float64]:
    """Share of the way round in which the rim about each enclosed spot ends in bare metal."""
    shape = marks.labels.shape
    widest = WIDEST_RIM * radii + WIDEST_RIM_MM * px_per_mm
    reach = int(np.ceil((2.5 * radii + widest).max())) + 1
    angles = np.arange(RAYS) * (2 * np.pi / RAYS)
    steps = np.arange(reach)
    x = centres[:, 0, None, None] + np.cos(angles)[:, None] * steps
    y = centres[:, 1, None, None] + np.sin(angles)[:, None] * steps
    columns = np.clip(np.rint(x).astype(np.intp), 0, shape[1] - 1)
    rows = np.clip(np.rint(y).astype(np.intp), 0, shape[0] - 1)
    along = marks.labels[rows, columns] > 0
    starts = along.argmax(axis=2)
    after = along | (steps < starts[..., None])
    ends = np.where(after.all(axis=2), reach * 10, (~after).argmax(axis=2))
    rim_ends = along.any(axis=2) & (ends - starts <= widest[:, None])
    return np.asarray(rim_ends.mean(axis=1))
