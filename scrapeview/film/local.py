"""Local means: what a kind of pixel looks like hereabouts, by normalized convolution."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.light import FloatImage


def shrink(picture: NDArray, factor: int) -> FloatImage:
    """Return `picture` as float32, each `factor` x `factor` block averaged into one pixel."""
    h, w = picture.shape[:2]
    size = (max(1, w // factor), max(1, h // factor))
    cropped = picture[: size[1] * factor, : size[0] * factor]
    return np.asarray(
        cv2.resize(cropped.astype(np.float32, copy=False), size, interpolation=cv2.INTER_AREA)
    )


def grow(picture: FloatImage, shape: tuple[int, int], factor: int) -> FloatImage:
    """Return a shrunk `picture` at full size again: bilinear, edge values carried on."""
    h, w = picture.shape[:2]
    # a warp with the exact factor: resizing would stretch by the cropped remainder
    to_small = np.array([[1 / factor, 0, 0.5 / factor - 0.5], [0, 1 / factor, 0.5 / factor - 0.5]])
    if (h * factor, w * factor) == shape:
        return np.asarray(cv2.resize(picture, (shape[1], shape[0]), interpolation=cv2.INTER_LINEAR))
    return np.asarray(
        cv2.warpAffine(
            picture,
            to_small,
            (shape[1], shape[0]),
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            borderMode=cv2.BORDER_REPLICATE,
        )
    )


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
    total = cv2.GaussianBlur(small_sum, (0, 0), sigma, borderType=cv2.BORDER_CONSTANT)
    mass = cv2.GaussianBlur(small_weight, (0, 0), sigma, borderType=cv2.BORDER_CONSTANT)
    shape = (values.shape[0], values.shape[1])
    total, mass = grow(total, shape, factor), grow(mass, shape, factor)
    return np.asarray((total + trust * fallback) / (mass + trust), dtype=np.float32)
