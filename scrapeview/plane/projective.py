"""Projective arithmetic in double precision: apply a homography, and how it stretches locally."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def apply_homography(homography: NDArray[np.floating], xy: ArrayLike) -> NDArray[np.float64]:
    """Map points (N, 2) by a (3, 3) homography."""
    points = np.asarray(xy, dtype=float).reshape(-1, 2)
    mapped = points @ homography[:, :2].T + homography[:, 2]
    return mapped[:, :2] / mapped[:, 2:]


def inverse(homography: NDArray[np.float64]) -> NDArray[np.float64]:
    """Inverse (3, 3) of a homography."""
    return np.asarray(np.linalg.inv(homography), dtype=np.float64)


def jacobian(homography: NDArray[np.float64], xy: ArrayLike) -> NDArray[np.float64]:
    """Return the derivative (N, 2, 2) of the mapped point by the point, at points (N, 2)."""
    points = np.asarray(xy, dtype=float).reshape(-1, 2)
    mapped = points @ homography[:, :2].T + homography[:, 2]
    depth = mapped[:, 2, None, None]
    ratio = (mapped[:, :2] / mapped[:, 2:])[:, :, None]
    return (homography[None, :2, :2] - ratio * homography[None, 2:, :2]) / depth


def singular_values(
    matrices: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Larger and smaller singular values, (N,) each, of (N, 2, 2) matrices."""
    values = np.asarray(np.linalg.svd(matrices, compute_uv=False), dtype=np.float64)
    return values[:, 0], values[:, 1]
