"""Whether paper is longer one way than other, as far as one photograph of it can tell.

A camera of square pixels that looks through the photo's middle with focal length f sees two
perpendicular directions of equal length as columns h1, h2 of the homography with equal
h' diag(1/f^2, 1/f^2, 1) h (Z. Zhang, A flexible new technique for camera calibration, 2000). The
focal length is not known, so only a stretch that no focal length in use explains is certain.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_FOCAL_LENGTHS = (0.5, 4.0)
"""Shortest and longest in use, by the photo's longer side: 18 to 144 mm on 36 mm film."""


def least_stretch(
    mm_to_px: Array, covariance: Array, photo_size_px: tuple[int, int]
) -> tuple[float, float]:
    """Return the least stretch along x over that along y that explains a homography.

    Parameters
    ----------
    mm_to_px : (3, 3) float array
        As fitted to what was drawn.
    covariance : (9, 9) float array
        Of its elements.
    photo_size_px : (int, int)

    Returns
    -------
    stretch, error : float
        Relative, 0 where a focal length in use explains the view; its standard error.
    """
    elements = mm_to_px.ravel()
    limits = [
        focal * max(photo_size_px) for focal in _FOCAL_LENGTHS
    ]  # between them the stretch changes one way only
    found = [_stretch(elements, focal, photo_size_px) for focal in limits]
    if min(found) <= 0 <= max(found):
        return 0.0, 0.0
    nearest = int(np.argmin(np.abs(found)))
    by_element = np.zeros(9)
    for i in range(9):
        step = max(1e-12, 1e-6 * abs(elements[i]))
        moved = [elements + sign * step * np.eye(9)[i] for sign in (1, -1)]
        high, low = (_stretch(one, limits[nearest], photo_size_px) for one in moved)
        by_element[i] = (high - low) / (2 * step)
    variance = float(by_element @ covariance @ by_element)
    return found[nearest], float(np.sqrt(max(0.0, variance)))


def _stretch(elements: Array, focal_px: float, photo_size_px: tuple[int, int]) -> float:
    middle = (np.array(photo_size_px) - 1) / 2
    homography = elements.reshape(3, 3).copy()
    homography[:2] -= middle[:, None] * homography[2]
    along, down = (
        float(np.sum((homography[:2, i] / focal_px) ** 2) + homography[2, i] ** 2) for i in (0, 1)
    )
    return float(np.sqrt(along / down)) - 1
