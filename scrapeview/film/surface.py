"""Smooth surfaces through scattered values: how light and its colour drift over a face."""

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.film.light import FloatImage

MOST_VALUES = 1500
MOST_DRAWN = 48
REWEIGHTINGS = 4
RIDGE = 1e-9


def smooth_surface(
    values: FloatImage,
    known: NDArray[np.bool_],
    shape: tuple[int, int],
    *,
    outliers_above: bool,
) -> FloatImage:
    """Fit a quadratic surface and return it on a grid of another shape.

    Iteratively reweighted least squares with Cauchy weights; where outliers lie above, values
    above the surface lose weight twice as fast.

    Parameters
    ----------
    values : (h, w) float32
    known : (h, w) bool
        Which of them to fit; at least one.
    shape : (rows, columns)
        Grid to return the surface on, laid over the same extent.
    outliers_above : bool
    """
    rows, columns = np.nonzero(known)
    step = max(1, len(rows) // MOST_VALUES)
    rows, columns = rows[::step], columns[::step]
    held = values[rows, columns].astype(np.float64)
    # too few values carry no curvature
    order = 6 if len(held) >= 24 else 3 if len(held) >= 8 else 1
    h, w = values.shape
    terms = _quadratic((columns + 0.5) / w, (rows + 0.5) / h)[:, :order]
    weight = np.ones(len(held))
    for _ in range(REWEIGHTINGS):
        weighted = terms * weight[:, None]
        # normal equations of six terms in 0-1: well conditioned, and no threads to wait for
        fit = np.linalg.solve(weighted.T @ terms + RIDGE * np.eye(order), weighted.T @ held)
        above = held - terms @ fit
        scale = 1.4826 * float(np.median(np.abs(above))) + 1e-3
        below_scale = 2 * scale if outliers_above else scale
        weight = 1 / (1 + (above / np.where(above > 0, scale, below_scale)) ** 2)
    # a quadratic is drawn exactly enough by straight lines between so many places
    rows_drawn, columns_drawn = (min(n, MOST_DRAWN) for n in shape)
    y, x = np.mgrid[0:rows_drawn, 0:columns_drawn]
    grid = _quadratic((x.ravel() + 0.5) / columns_drawn, (y.ravel() + 0.5) / rows_drawn)
    drawn = (grid[:, :order] @ fit).reshape(rows_drawn, columns_drawn).astype(np.float32)
    return np.asarray(cv2.resize(drawn, shape[::-1], interpolation=cv2.INTER_LINEAR))


def _quadratic(x: ArrayLike, y: ArrayLike) -> NDArray[np.float64]:
    x, y = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=1)
