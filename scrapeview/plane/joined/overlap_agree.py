"""Whether two photographs, laid on each other, show the same print there and nowhere else."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import fft

from scrapeview.plane.joined.overlap_looks import Look
from scrapeview.plane.projective import apply_homography

Floats = NDArray[np.float64]
Image = NDArray[np.float32]
LEAST_SHARED = 0.12
"""Share of a photograph that another must show too."""
_COARSE_PX = 160
_SAME_PLACE = 0.05
"""Shifts within this share of the photograph's longer side are one place."""
_FARTHEST = 1.5
"""How far past the first photograph the second is compared, in sizes of the first."""


@dataclass(frozen=True)
class Agreement:
    """How alike two photographs are where they are laid on each other.

    Attributes
    ----------
    shared : share of the first, or of the second if that is less, that the other shows too.
    here : correlation of their contrast there, -1 to 1.
    elsewhere : the highest correlation at any other place that shares enough.
    """

    shared: float
    here: float
    elsewhere: float


def agreement(first: Look, second: Look, to_second: Floats) -> Agreement:
    """Return how alike two photographs are, and how alike in any other place.

    Parameters
    ----------
    first, second : Look
    to_second : (3, 3) float array
        Homography from pixels of the first's copy to those of the second's.
    """
    height, width = first.contrast.shape
    share = _COARSE_PX / max(height, width)
    shrink = np.diag([share, share, 1.0])
    size = (max(round(width * share), 1), max(round(height * share), 1))
    one, here = _laid(first, shrink, size)
    onto = shrink @ np.linalg.inv(to_second)
    left, top, box = _canvas(second, onto, size)
    moved = np.array([[1, 0, -left], [0, 1, -top], [0, 0, 1.0]]) @ onto
    other, there = _laid(second, moved, box)
    alike, common = _correlations(one, here, other, there)
    # the first lies at this pixel of the second's canvas
    row, column = (-top) % alike.shape[0], (-left) % alike.shape[1]
    shared = float(common[row, column]) / float(max(min(here.sum(), there.sum()), 1.0))
    at = float(alike[row, column])
    alike[common < LEAST_SHARED * here.sum()] = 0
    reach = max(round(_SAME_PLACE * _COARSE_PX), 2)
    rows = (np.arange(row - reach, row + reach + 1)) % alike.shape[0]
    columns = (np.arange(column - reach, column + reach + 1)) % alike.shape[1]
    alike[np.ix_(rows, columns)] = 0
    return Agreement(shared, at, float(alike.max()))


def _laid(look: Look, onto: Floats, size: tuple[int, int]) -> tuple[Image, Image]:
    """Return a photograph's contrast on a coarse canvas, and where it shows anything."""
    smooth = cv2.GaussianBlur(look.contrast, (0, 0), 0.4 * max(look.contrast.shape) / _COARSE_PX)
    shows = np.ones(look.contrast.shape, np.float32)
    picture = cv2.warpPerspective(smooth, onto, size, flags=cv2.INTER_LINEAR)
    cover = cv2.warpPerspective(shows, onto, size, flags=cv2.INTER_LINEAR)
    return np.asarray(picture, np.float32), np.asarray(cover, np.float32)


def _canvas(look: Look, onto: Floats, size: tuple[int, int]) -> tuple[int, int, tuple[int, int]]:
    """Return left, top and size of the box that holds a photograph, as far as it is near."""
    height, width = look.contrast.shape
    corners = apply_homography(onto, [(0, 0), (width, 0), (width, height), (0, height)])
    near = np.array(size)
    low = np.maximum(np.floor(corners.min(axis=0)), -_FARTHEST * near).astype(int)
    high = np.minimum(np.ceil(corners.max(axis=0)), (1 + _FARTHEST) * near).astype(int)
    box = np.maximum(high - low, 1)
    return int(low[0]), int(low[1]), (int(box[0]), int(box[1]))


def _correlations(one: Image, here: Image, other: Image, there: Image) -> tuple[Image, Image]:
    """Return the correlation, and the pixels in common, at every shift of the first.

    Normalised over what both show (D. Padfield, 2012), means taken as 0.
    """
    shape = [
        fft.next_fast_len(a + b, real=True) for a, b in zip(one.shape, other.shape, strict=True)
    ]

    def spectrum(image: Image) -> NDArray[np.complex64]:
        return np.asarray(fft.rfft2(image, s=shape))

    def back(product: NDArray[np.complex64]) -> Image:
        return np.asarray(fft.irfft2(product, s=shape), np.float32)

    one, other = one * here, other * there
    shows_here, shows_there = np.conj(spectrum(here)), spectrum(there)
    light = back(np.conj(spectrum(one)) * spectrum(other))
    first = back(np.conj(spectrum(one * one)) * shows_there)
    second = back(shows_here * spectrum(other * other))
    common = back(shows_here * shows_there)
    alike = light / np.sqrt(np.maximum(first, 1e-3) * np.maximum(second, 1e-3))
    return np.where(common > 1, np.clip(alike, -1, 1), 0).astype(np.float32), common
