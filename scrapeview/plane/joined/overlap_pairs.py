"""Two photographs laid on each other by features of the print, or not at all."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined.overlap_agree import LEAST_SHARED, agreement
from scrapeview.plane.joined.overlap_looks import Look
from scrapeview.plane.projective import apply_homography, jacobian

Floats = NDArray[np.float64]
_RATIO = 0.85
"""A match must be nearer than the next best by this factor (D. Lowe, 2004)."""
_OFF_PX = 3.0
"""How far off, on the reduced copies, a match may lie; lens distortion is not yet taken out."""
_LEAST_MATCHES = 30
"""Features of unlike prints agree by chance in at most 7 or so of some 150 matches."""
_LEAST_AGREEING = 0.15
"""Share of the matches that must agree."""
_LEAST_ALIKE = 0.5
_MOST_ELSEWHERE = 0.5
"""Correlations of prints that are the same, and that differ; ours, no source."""
_SCALES = 2.5
"""Greatest change of scale from photograph to photograph."""
_UNEVEN = 4.0
"""Greatest change of area within one photograph, as a camera sees a plane of another."""


@dataclass(frozen=True, eq=False)
class Pair:
    """What two photographs share.

    Attributes
    ----------
    first, second : int
        The photographs.
    here, there : (N, 2) float arrays
        The same places in the first and in the second, from the middle in halves of the diagonal.
    shared : float
        Share of a photograph that the other shows too.
    doubt : str
        Why they cannot be laid on each other; "" where they can.
    """

    first: int
    second: int
    here: Floats
    there: Floats
    shared: float = 0.0
    doubt: str = ""


def pair_of(first: int, second: int, looks: list[Look]) -> Pair:
    """Return what two photographs share; its `doubt` says why it is not enough."""
    one, other = looks[first], looks[second]
    i, j = _matches(one, other)
    nothing = Pair(first, second, np.zeros((0, 2)), np.zeros((0, 2)), 0.0, "too little")
    if len(i) < _LEAST_MATCHES:
        return nothing
    p, q = one.xy[i], other.xy[j]
    cv2.setRNGSeed(0)
    found, agreeing = cv2.findHomography(
        p, q, cv2.USAC_MAGSAC, _OFF_PX, maxIters=3000, confidence=0.9999
    )
    if found is None:
        return nothing
    used = np.asarray(agreeing).ravel() > 0
    if used.sum() < max(_LEAST_MATCHES, _LEAST_AGREEING * len(i)):
        return nothing
    homography = np.asarray(found, dtype=float)
    if not _plausible(homography, p[used]):
        return nothing
    alike = agreement(one, other, homography)
    pair = (one.from_middle(p[used]), other.from_middle(q[used]), alike.shared)
    if alike.shared < LEAST_SHARED or alike.here < _LEAST_ALIKE:
        return Pair(first, second, *pair, "too little")
    if alike.elsewhere > _MOST_ELSEWHERE:
        return Pair(first, second, *pair, "repeats")
    return Pair(first, second, *pair)


def _matches(one: Look, other: Look) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return features that are each other's nearest, and clearly nearer than the next."""
    if min(len(one.told), len(other.told)) < 2:
        none = np.zeros(0, dtype=np.intp)
        return none, none
    alike = one.told @ other.told.T
    best, nearest, next_best = _two_best(alike)
    back = alike.argmax(axis=0)
    # of unit vectors, distance squared is 2 - 2 x product
    clear = 1 - nearest < _RATIO**2 * (1 - next_best)
    kept = np.flatnonzero(clear & (back[best] == np.arange(len(best))))
    return kept, best[kept]


def _two_best(alike: NDArray[np.float32]) -> tuple[NDArray[np.intp], Floats, Floats]:
    best = alike.argmax(axis=1)
    rows = np.arange(len(alike))
    nearest = alike[rows, best].astype(float)
    others = alike.copy()
    others[rows, best] = -1
    return best, nearest, others.max(axis=1).astype(float)


def _plausible(homography: Floats, places: Floats) -> bool:
    """Whether a homography is what two cameras see of one plane: unmirrored, hardly stretched."""
    box = np.array([places.min(axis=0), places.max(axis=0)])
    corners = np.array([(x, y) for x in box[:, 0] for y in box[:, 1]])
    depth = corners @ homography[2, :2] + homography[2, 2]
    if not (np.isfinite(homography).all() and (depth * depth[0] > 0).all()):
        return False
    areas = np.linalg.det(jacobian(homography, np.vstack([corners, places.mean(axis=0)])))
    if not (areas > 0).all() or not np.isfinite(apply_homography(homography, corners)).all():
        return False
    within = 1 / _SCALES**2 < areas[-1] < _SCALES**2
    return bool(within and areas.max() / areas.min() < _UNEVEN)
