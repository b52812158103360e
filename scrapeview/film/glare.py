"""Glare: reflected light that lies over metal and film alike and washes the contrast out."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.levels import Levels
from scrapeview.film.light import FloatImage
from scrapeview.film.tiles import sorted_tiles, two_classes

CLIPPED = 250
"""A pixel whose darkest channel reaches this sRGB value has lost its colour."""
LEAST_WASHED_MM = 0.5
"""Narrower specks of glare are bridged by what lies around them."""
TILE_MM = 10.0
BRIGHTER = 0.1
"""Glare adds light: log light above the face's middle metal from which to look for it."""
LEAST_EXPLAINED = 0.72
LEAST_DISTANCE = 3.8
"""A tile with washed-out film still shows two things; bare metal alone, a Gaussian cut in two,
explains 0.64 and lies 2.7 apart."""
LEAST_LEFT = 0.08
"""What is left of the contrast must be more than the tints of bare metal."""


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
    bare = levels.plainly_bare(inside)
    shape = (light.shape[0], light.shape[1])
    if not bare.any():
        return np.ones(shape, np.float32)
    bright = float(np.median(light[bare])) + BRIGHTER
    tile_px = max(4, round(TILE_MM * px_per_mm))
    found = two_classes(sorted_tiles(levels.contrast, inside, tile_px))
    lit = sorted_tiles(light, inside, tile_px)
    plainly_two = (found.explained >= LEAST_EXPLAINED) & (
        found.distance >= LEAST_DISTANCE * found.spread
    )
    share = found.distance / levels.typical_film
    bright_tiles = lit.known & (lit.quantile(0.5) > bright)
    washed = bright_tiles & plainly_two & (share > LEAST_LEFT)
    left = np.where(washed, np.minimum(share, 1.0), 1.0).astype(np.float32)
    # glare rises within a tile: bright tiles beside a washed-out one are judged as strictly
    weakest_around = cv2.erode(left, np.ones((3, 3), np.uint8))
    left = np.where(bright_tiles, weakest_around, left).astype(np.float32)
    return np.asarray(cv2.resize(left, shape[::-1], interpolation=cv2.INTER_LINEAR))
