"""Local means: what a kind of pixel looks like hereabouts, by normalized convolution."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.light import FloatImage


def shrink(picture: NDArray, factor: int) -> FloatImage:
    """Return `picture` as float32, each `factor` x `factor` block averaged into one pixel.

    Blocks at the far edges are filled up with the edge's own values.
    """
    h, w = picture.shape[:2]
    below, beside = -h % factor, -w % factor
    whole: NDArray = picture.astype(np.float32, copy=False)
    if below or beside:
        whole = cv2.copyMakeBorder(whole, 0, below, 0, beside, cv2.BORDER_REPLICATE)
    size = ((w + beside) // factor, (h + below) // factor)
    return np.asarray(cv2.resize(whole, size, interpolation=cv2.INTER_AREA), dtype=np.float32)


def grow(picture: FloatImage, shape: tuple[int, int], factor: int) -> FloatImage:
    """Return a shrunk `picture` at full size again, bilinear."""
    h, w = picture.shape[:2]
    whole = cv2.resize(picture, (w * factor, h * factor), interpolation=cv2.INTER_LINEAR)
    return np.asarray(whole[: shape[0], : shape[1]], dtype=np.float32)


def local_mean(
    values: FloatImage,
    weight: FloatImage,
    sigma_px: float,
    trust: FloatImage | float,
    fallback: FloatImage | float,
) -> FloatImage:
    """Return the weighted mean of `values` around each pixel (normalized convolution).

    Where little weight lies within about `sigma_px`, the answer leans on `fallback`: it counts as
    `trust` (a share of full weight).

    Parameters
    ----------
    values, weight : (h, w) float32
    sigma_px : float
        Standard deviation of the Gaussian neighbourhood.
    trust : (h, w) float32 or float
        Share of weight at which neighbourhood and fallback count the same.
    fallback : (h, w) float32 or float

    Returns
    -------
    (h, w) float32
    """
    factor = max(1, int(sigma_px / 1.5))
    small_weight = shrink(weight, factor)
    small_sum = shrink(values * weight, factor)
    sigma = sigma_px / factor
    shape = (values.shape[0], values.shape[1])
    total = grow(_blurred(small_sum, sigma), shape, factor)
    mass = grow(_blurred(small_weight, sigma), shape, factor)
    return np.asarray((total + trust * fallback) / (mass + trust), dtype=np.float32)


def _blurred(picture: FloatImage, sigma_px: float) -> FloatImage:
    # constant border: nothing is known beyond the picture
    blurred = cv2.GaussianBlur(picture, (0, 0), sigma_px, borderType=cv2.BORDER_CONSTANT)
    return np.asarray(blurred, dtype=np.float32)
