"""What a photograph is recognised by: its contrast freed of light, and features of it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.photo import Photo

Floats = NDArray[np.float64]
LONGEST_PX = 800
"""Features are looked for on a copy reduced to this."""
MOST_FEATURES = 1500
_LIGHT_SHARE = 0.03
"""Light changes over more than this share of the photograph's longer side."""
_LEAST_CONTRAST = 0.08
"""Contrast, in natural logarithms, below which a surface counts as even."""
_DARK = 8
"""Grey level to which shadows are lifted before the logarithm."""


@dataclass(frozen=True, eq=False)
class Look:
    """A photograph as it is compared with others.

    Attributes
    ----------
    contrast : (h, w) float32 array
        Its reduced copy, freed of light: about mean 0 and deviation 1.
    scale : (float, float)
        Full-size pixels per pixel of `contrast`, along x and y.
    size_px : (int, int)
        Width and height at full size.
    xy : (N, 2) float array
        Where its features lie, pixels of `contrast`.
    told : (N, 128) float32 array
        Descriptors, square-rooted SIFT of length 1 (R. Arandjelovic and A. Zisserman, 2012).
    """

    contrast: NDArray[np.float32]
    scale: tuple[float, float]
    size_px: tuple[int, int]
    xy: Floats
    told: NDArray[np.float32]

    def full_px(self, xy: Floats) -> Floats:
        """Return full-size pixels (N, 2) of pixels (N, 2) of `contrast`."""
        return np.asarray((xy + 0.5) * self.scale - 0.5)

    def from_middle(self, xy: Floats) -> Floats:
        """Return pixels (N, 2) of `contrast` from the middle, in halves of the diagonal."""
        size = np.array(self.size_px, dtype=float)
        return np.asarray((self.full_px(xy) - (size - 1) / 2) / (np.hypot(*size) / 2))


def look_at(photo: Photo) -> Look:
    """Return what a photograph is recognised by."""
    height, width = photo.rgb.shape[:2]
    share = min(1.0, LONGEST_PX / max(height, width))
    small = (max(round(width * share), 16), max(round(height * share), 16))
    grey = cv2.cvtColor(photo.rgb, cv2.COLOR_RGB2GRAY)
    grey = cv2.resize(grey, small, interpolation=cv2.INTER_AREA)
    contrast = _freed_of_light(np.asarray(grey, dtype=np.float32))
    shown = np.clip(128 + 45 * contrast, 0, 255).astype(np.uint8)
    finder = cv2.SIFT.create(nfeatures=MOST_FEATURES, contrastThreshold=0.03)
    spots, told = finder.detectAndCompute(shown, None)
    scale = (photo.full_size_px[0] / small[0], photo.full_size_px[1] / small[1])
    if told is None:
        return Look(contrast, scale, photo.full_size_px, np.zeros((0, 2)), _none())
    told = np.asarray(told, dtype=np.float32)
    rooted = np.sqrt(told / np.maximum(told.sum(axis=1, keepdims=True), 1e-9))
    xy = np.array([spot.pt for spot in spots], dtype=float)
    return Look(contrast, scale, photo.full_size_px, xy, rooted.astype(np.float32))


def _none() -> NDArray[np.float32]:
    return np.zeros((0, 128), dtype=np.float32)


def _freed_of_light(grey: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the logarithm of grey, its slow part out, over its own deviation round about."""
    level = np.log(grey + _DARK)
    sigma = _LIGHT_SHARE * max(grey.shape)
    level = level - cv2.GaussianBlur(level, (0, 0), sigma)
    spread = cv2.GaussianBlur(level * level, (0, 0), sigma) + _LEAST_CONTRAST**2
    return np.asarray(level / np.sqrt(spread), dtype=np.float32)
