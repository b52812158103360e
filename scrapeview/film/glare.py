"""Glare: reflected light that lies over metal and film alike and washes the contrast out."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.levels import BARE_BELOW, Levels, otsu_threshold, robust_spread
from scrapeview.film.light import FloatImage

CLIPPED = 250
"""A pixel whose darkest channel reaches this sRGB value has lost its colour."""
LEAST_WASHED_MM = 0.5
"""Narrower specks of glare are bridged by what lies around them."""
TILE_MM = 10.0
BRIGHTER = 0.1
"""Glare adds light: log light above the face's middle metal from which to look for it."""
LEAST_EXPLAINED = 0.72
LEAST_DISTANCE = 6.0
"""A tile with washed-out film still shows two things, plainly apart; one of bare metal does not."""
LEAST_LEFT = 0.08


def washed_out_mask(rgb: NDArray[np.uint8], px_per_mm: float) -> NDArray[np.bool_]:
    """Return where all channels are clipped, in patches wider than half a millimetre.

    Parameters
    ----------
    rgb : (h, w, 3) uint8
    px_per_mm : float

    Returns
    -------
    (h, w) bool
    """
    red, green, blue = cv2.split(rgb)
    darkest = cv2.min(cv2.min(red, green), blue)
    clipped = (darkest >= CLIPPED).astype(np.uint8)
    if not clipped.any():
        return clipped.astype(bool)
    size = max(1, round(LEAST_WASHED_MM * px_per_mm))
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    return np.asarray(cv2.morphologyEx(clipped, cv2.MORPH_OPEN, kernel)).astype(bool)


def contrast_left(
    light: FloatImage, inside: NDArray[np.bool_], levels: Levels, px_per_mm: float
) -> FloatImage:
    """Return what share of the print's typical contrast glare leaves around each pixel.

    A veil of white light adds the same to film and metal, so their ratio shrinks and the
    difference that is left has to do: in tiles brighter than the face's middle the two are told
    apart anew, and where they are plainly two, their own contrast counts.

    Parameters
    ----------
    light : (h, w) float32
        Log light of a channel the film lets through, shrunk picture.
    inside : (h, w) bool
    levels : Levels
        Found without regard to glare.
    px_per_mm : float

    Returns
    -------
    (h, w) float32, LEAST_LEFT to 1
    """
    bare = inside & (levels.contrast < BARE_BELOW * levels.film)
    h, w = light.shape
    if not bare.any():
        return np.ones_like(light)
    bright = float(np.median(light[bare])) + BRIGHTER
    rows, columns = (max(1, round(n / (TILE_MM * px_per_mm))) for n in (h, w))
    left = np.ones((rows, columns), np.float32)
    for j in range(rows):
        for i in range(columns):
            tile = np.s_[
                j * h // rows : (j + 1) * h // rows, i * w // columns : (i + 1) * w // columns
            ]
            held = inside[tile]
            if held.sum() >= 100 and np.median(light[tile][held]) > bright:
                left[j, i] = _left(levels.contrast[tile][held], levels.typical_film)
    if (left == 1).all():
        return np.ones_like(light)
    return np.asarray(cv2.resize(left, (w, h), interpolation=cv2.INTER_LINEAR))


def _left(contrast: NDArray[np.float32], typical_film: float) -> float:
    threshold, explained = otsu_threshold(contrast)
    above, below = contrast[contrast > threshold], contrast[contrast <= threshold]
    film = float(np.median(above)) - float(np.median(below))
    if explained < LEAST_EXPLAINED or film < LEAST_DISTANCE * robust_spread(below):
        return 1.0
    return float(np.clip(film / typical_film, LEAST_LEFT, 1.0))
