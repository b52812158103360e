"""Whether there is a print at all: film and metal must be two things, not one cut in two."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.film.levels import Levels, otsu_threshold

LEAST_DISTANCE = 2.5
"""Film above metal in standard deviations of the metal."""
PLAIN_DISTANCE = 8.0
"""So far above the metal, even few marks (a small share of the variance) are marks."""
SURE_DISTANCE = 12.0
LEAST_EXPLAINED = 0.66
"""Otsu's share of variance explained by two classes; 0.64 (2/pi) for one Gaussian cut in two."""
PLAIN_CONTRAST, FAINT_CONTRAST = 0.5, 0.3
"""Contrast no haze has; contrast below which clouds of haze pass for marks most easily."""
LEAST_TWO_NESS, LEAST_TWO_NESS_FAINT = 0.63, 0.7
"""What the two classes must explain where it could be haze, less BETWEEN_COST for pixels that are
neither: clouds of haze have many, marks have edges."""
BETWEEN_COST = 0.1
BETWEEN_OF_MARKS = 0.6
"""Pixels between bare and film for each pixel of film, on small points of a sharp print."""
LEAST_TAKEN = 0.5
"""Film takes light away: at least this share of its contrast shows as loss of light."""


@dataclass(frozen=True)
class Separability:
    """How well film and metal are told apart.

    Parameters
    ----------
    contrast : float
        Median contrast of film above metal, log light along the marking's axis.
    distance : float
        The same in standard deviations of the bare metal.
    explained : float
        Share of the contrast's variance explained by two classes, 0-1.
    is_print : bool
    reason : str
        Plain sentence.
    """

    contrast: float
    distance: float
    explained: float
    is_print: bool
    reason: str

    @property
    def figure(self) -> float:
        """One number, 0-1, to rank markings by: how surely film and metal are two things."""
        return self.explained * min(1.0, self.distance / SURE_DISTANCE) if self.is_print else 0.0


def judge_separability(
    levels: Levels, inside: NDArray[np.bool_], light_taken: float, least_contrast: float
) -> Separability:
    """Judge from the levels whether the face carries a print.

    Parameters
    ----------
    levels : Levels
    inside : (h, w) bool
    light_taken : float
        Log light that what looks like film takes away from the metal around it.
    least_contrast : float
        Contrast below which lie the tints and shades of bare metal itself.
    """
    above_metal = np.maximum(levels.contrast[inside], -2 * levels.metal_spread)
    explained = otsu_threshold(above_metal)[1]
    contrast = levels.typical_film
    distance = contrast / max(levels.metal_spread, 1e-3)
    two_things = distance >= PLAIN_DISTANCE or _is_two(explained, contrast, levels, inside)
    if contrast < least_contrast:
        reason = "No marking found: nothing on the face differs in colour from the bare metal."
    elif distance < LEAST_DISTANCE or not two_things:
        reason = (
            "No marking found: what differs in colour on the face is no more than the metal's own "
            "variation."
        )
    elif light_taken < LEAST_TAKEN * contrast:
        reason = (
            "No marking found: what differs in colour is no darker than the metal around it, as a "
            "film of marking would be; it looks like a stain or coloured light."
        )
    else:
        return Separability(contrast, distance, explained, True, "Marking found.")
    return Separability(contrast, distance, explained, False, reason)


def _is_two(explained: float, contrast: float, levels: Levels, inside: NDArray[np.bool_]) -> bool:
    if contrast >= PLAIN_CONTRAST:
        return explained >= LEAST_EXPLAINED
    cost = BETWEEN_COST * (_between(levels, inside) - BETWEEN_OF_MARKS)
    least = LEAST_TWO_NESS if contrast >= FAINT_CONTRAST else LEAST_TWO_NESS_FAINT
    return explained - cost >= least


def _between(levels: Levels, inside: NDArray[np.bool_]) -> float:
    """Pixels between a quarter and three quarters of full film, for each pixel above."""
    share = levels.contrast[inside] / np.maximum(levels.film[inside], 1e-3)
    film = int(np.count_nonzero(share >= 0.75))
    between = int(np.count_nonzero((share > 0.25) & (share < 0.75)))
    return between / max(1, film)
