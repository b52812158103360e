"""How near found points come to known ones."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

LEAST_REACH_MM = 0.8
REACH_OF_RADIUS = 0.7


def f1_score(found_mm: NDArray[np.float64], known_mm: NDArray[np.float64]) -> float:
    """Return the F1 score, each known point matched once, nearest pairs first.

    Parameters
    ----------
    found_mm : (m, 2) float
        Centres found.
    known_mm : (n, 3) float
        Centre and area of the known points. A found one matches within 0.7 of the known one's
        radius, or 0.8 mm where that is more.

    Returns
    -------
    float
        2 matches / (m + n); 1 where there is nothing to find and nothing was found.
    """
    if len(found_mm) == 0 or len(known_mm) == 0:
        return float(len(found_mm) == len(known_mm))
    centres, areas = known_mm[:, :2], known_mm[:, 2]
    reach = np.maximum(LEAST_REACH_MM, REACH_OF_RADIUS * np.sqrt(areas / np.pi))
    near = cKDTree(found_mm).query_ball_point(centres, reach)
    pairs = np.array([(i, j) for i, js in enumerate(near) for j in js], dtype=int).reshape(-1, 2)
    distances = np.hypot(*(centres[pairs[:, 0]] - found_mm[pairs[:, 1]]).T)
    matched_known: set[int] = set()
    matched_found: set[int] = set()
    for i, j in pairs[np.argsort(distances, kind="stable")].tolist():
        if i not in matched_known and j not in matched_found:
            matched_known.add(i)
            matched_found.add(j)
    return 2 * len(matched_known) / (len(found_mm) + len(known_mm))
