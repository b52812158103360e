"""Undercoat: a thin warm colour between metal and marking, rubbed through here and there."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.film.levels import METAL_REACH_MM
from scrapeview.film.light import FloatImage
from scrapeview.film.local import local_mean

BROAD_MM = 25.0
"""Warm light changes over the whole face, undercoat within a hand's breadth."""
LEAST_TAKEN = 0.4
"""Log light that undercoat takes from the blue channel."""
MOST_RED_CHANGE = 0.35
"""Undercoat leaves red as it is; haze of marking takes red and leaves blue."""

YELLOW_BELOW, RED_FROM = 0.15, 0.7
"""Green taken, of the blue taken: yellow leaves green, red takes both."""


@dataclass(frozen=True, eq=False)
class Undercoat:
    """Undercoat on a face.

    Parameters
    ----------
    colour : str
        "red", "orange", "yellow", or "" where there is none.
    shift : (3,) float
        What it adds to log light (red, green, blue), zeros where there is none.
    """

    colour: str
    shift: NDArray[np.float64]


NO_UNDERCOAT = Undercoat("", np.zeros(3))


def find_undercoat(log_rgb: FloatImage, bare: NDArray[np.bool_], px_per_mm: float) -> Undercoat:
    """Compare the warmest with the coolest bare places of a shrunk picture.

    Parameters
    ----------
    log_rgb : (h, w, 3) float32
    bare : (h, w) bool
        Pixels of the face without marking.
    px_per_mm : float
    """
    if bare.sum() < 100:
        return NO_UNDERCOAT
    weight = bare.astype(np.float32)
    fine = np.stack(
        [_varying(log_rgb[..., c], weight, bare, px_per_mm)[bare] for c in range(3)], axis=1
    )
    warmth = fine[:, 0] - fine[:, 2]
    coolest, warmest = np.percentile(warmth, [8, 80])
    clean, coated = warmth <= coolest, warmth >= warmest
    shift = fine[coated].mean(axis=0) - fine[clean].mean(axis=0)
    taken = -shift[2]
    if taken < LEAST_TAKEN or abs(shift[0]) > MOST_RED_CHANGE * taken:
        return NO_UNDERCOAT
    share = -shift[1] / taken
    colour = "yellow" if share < YELLOW_BELOW else "orange" if share < RED_FROM else "red"
    return Undercoat(colour, shift.astype(np.float64))


def _varying(
    channel: FloatImage, weight: FloatImage, bare: NDArray[np.bool_], px_per_mm: float
) -> FloatImage:
    mean = float(channel[bare].mean())
    broad = local_mean(channel, weight, BROAD_MM * px_per_mm, 0.02, mean)
    return local_mean(channel - broad, weight, METAL_REACH_MM / 2 * px_per_mm, 0.05, 0.0)
