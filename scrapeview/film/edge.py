"""Where film begins: at half its thickness, or a little before where the photograph is blurred."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.light import FloatImage

INNER, OUTER = 0.75, 0.25
"""Shares of full film between which the profile of an edge is compared with its mirror image."""
EVEN_SKEW = 1.15
"""Skew up to which the taper of the film itself accounts for the profile."""
SHARE_PER_SKEW = 0.5
LOWEST_SHARE = 0.3
FEWEST_PIXELS = 200
REACH_MM = 0.6


def edge_share(
    share: FloatImage, inside: NDArray[np.bool_], film_share: float, px_per_mm: float
) -> float:
    """Return the share of full film at which contact begins in this photograph.

    Film that thins out evenly shows an edge profile that is symmetric in log light. Blur mixes
    light and not film: a blurred edge trails off on the metal's side and moves into the mark. The
    skew of the profile tells the two apart; a straight edge of film that takes nine tenths of the
    light, blurred by a Gaussian, has a skew of 1.43 and its true place at a share of 0.26 (closed
    form). Small points are skewed a little without blur, so the correction goes half that way.

    Parameters
    ----------
    share : (h, w) float32
        Film thickness as a share of the full film around it.
    inside : (h, w) bool
    film_share : float
        Share at which contact begins in a sharp photograph.
    px_per_mm : float
    """
    near = _near_edges(share > film_share, px_per_mm)
    held = share[::2, ::2][inside[::2, ::2] & near]
    outer = np.count_nonzero((held > film_share - (0.5 - OUTER)) & (held <= film_share))
    inner = np.count_nonzero((held > film_share) & (held <= film_share + (INNER - 0.5)))
    if inner < FEWEST_PIXELS or outer < FEWEST_PIXELS:
        return film_share
    moved = SHARE_PER_SKEW * max(0.0, outer / inner - EVEN_SKEW)
    return min(film_share, max(LOWEST_SHARE, film_share - moved))


def _near_edges(marked: NDArray[np.bool_], px_per_mm: float) -> NDArray[np.bool_]:
    """Every second pixel each way: whether an edge of film is near; inside, film may be thin."""
    half = marked[::2, ::2].astype(np.uint8)
    size = 2 * max(1, round(REACH_MM * px_per_mm / 2)) + 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    return np.asarray(cv2.dilate(half, kernel) > cv2.erode(half, kernel))
