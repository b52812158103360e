"""Which way the common millimetres run: along the row of tiles, from its left end."""

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined.bundle_start import square_corners
from scrapeview.plane.projective import jacobian

Floats = NDArray[np.float64]
_ELONGATED = 1.5
"""Spread of the tiles along over across, from which they lie in a row; ours, no source."""
_RIGHT = np.array([1.0, 0.5])
"""What counts as to the right in the first photograph; a row that runs down runs to the foot."""


def natural_frame(poses: Floats, sides_mm: Floats, first_to_px: Floats) -> Floats:
    """Return the rigid motion (3, 3) from the adjustment's millimetres to the natural ones.

    x runs along the row of the tiles' middles where they lie in a row, else along an edge of the
    tile with the lowest number, to the right as the first photograph is held; y runs down; the
    origin is the corner of the rectangle round all markers.

    Parameters
    ----------
    poses : (T, 3) float array
        Tiles in the order of their numbers.
    sides_mm : (T,) float array
    first_to_px : (3, 3) float array
        From the adjustment's millimetres to the first photograph.
    """
    middle = poses[:, :2].mean(axis=0)
    _, spread, axes = np.linalg.svd(poses[:, :2] - middle, full_matrices=False)
    in_a_row = len(poses) > 1 and spread[0] > _ELONGATED * spread[1]
    turn = np.arctan2(axes[0, 1], axes[0, 0]) if in_a_row else poses[0, 2]
    turns = turn + np.pi / 2 * np.arange(4)[:: 2 if in_a_row else 1]
    directions = np.column_stack((np.cos(turns), np.sin(turns)))
    shown = directions @ jacobian(first_to_px, middle[None])[0].T @ _RIGHT
    cos, sin = directions[int(shown.argmax())]
    motion = np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0, 0, 1.0]])
    corners = square_corners(poses, sides_mm).reshape(-1, 2) @ motion[:2, :2].T
    motion[:2, 2] = -corners.min(axis=0)
    return motion
