"""The face on a coarser grid, where levels that vary slowly are found fast."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.film.light import FloatImage
from scrapeview.film.local import shrink


@dataclass(frozen=True, eq=False)
class Coarse:
    """A shrunk picture of the face.

    Parameters
    ----------
    log_rgb : (h, w, 3) float32
        Mean log light of each block of pixels.
    inside : (h, w) bool
        Blocks that lie wholly in the face.
    factor : int
        Side of a block in pixels.
    px_per_mm : float
        Resolution of the shrunk picture.
    """

    log_rgb: FloatImage
    inside: NDArray[np.bool_]
    factor: int
    px_per_mm: float


def coarse_picture(
    log_rgb: FloatImage, inside: NDArray[np.bool_], px_per_mm: float, wanted_px_per_mm: float
) -> Coarse:
    """Shrink a picture by a whole factor to at least the wanted resolution."""
    factor = max(1, int(px_per_mm / wanted_px_per_mm))
    wholly_inside = shrink(inside.astype(np.float32), factor) > 0.99
    return Coarse(shrink(log_rgb, factor), wholly_inside, factor, px_per_mm / factor)
