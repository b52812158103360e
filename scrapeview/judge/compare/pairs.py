"""Points of two prints paired one to one, nearest first, within a reach of their own."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Places = NDArray[np.float64]


def nearest_pairs(first: Places, second: Places, error_mm: float) -> NDArray[np.intp]:
    """Pair points one to one: of all pairs within reach the nearest first.

    Two points are within reach where they are no farther apart than the mean of their radii, the
    place where about half of the smaller one lies on the other, with the error of the picks added
    in quadrature.

    Parameters
    ----------
    first, second : (N, 3) and (M, 3) float
        x, y and diameter of points, mm.
    error_mm : float
        How far the same place may lie apart in the two because of the picks.

    Returns
    -------
    (K, 2) int
        Indices into both, nearest pair first.
    """
    if not (len(first) and len(second)):
        return np.empty((0, 2), dtype=np.intp)
    farthest = np.hypot((first[:, 2].max() + second[:, 2].max()) / 4, error_mm)
    near = cKDTree(first[:, :2]).sparse_distance_matrix(
        cKDTree(second[:, :2]), farthest, output_type="coo_matrix"
    )
    i, j = near.row.astype(np.intp), near.col.astype(np.intp)
    reach = np.hypot((first[i, 2] + second[j, 2]) / 4, error_mm)
    within = near.data <= reach
    i, j, apart = i[within], j[within], near.data[within]
    # where two pairs are as near, the one farther left and up, whichever print comes first
    middle = first[i, :2] + second[j, :2]
    return _one_to_one(i, j, np.lexsort((middle[:, 1], middle[:, 0], apart)))


def _one_to_one(
    i: NDArray[np.intp], j: NDArray[np.intp], order: NDArray[np.intp]
) -> NDArray[np.intp]:
    taken_i: set[int] = set()
    taken_j: set[int] = set()
    pairs = []
    for one, two in zip(i[order].tolist(), j[order].tolist(), strict=True):
        if one not in taken_i and two not in taken_j:
            taken_i.add(one)
            taken_j.add(two)
            pairs.append((one, two))
    return np.array(pairs, dtype=np.intp).reshape(-1, 2)
