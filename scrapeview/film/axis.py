"""The colour axis along which marking differs most from the metal around it."""

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import SettingsError
from scrapeview.film.levels import Levels, above_metal
from scrapeview.film.light import FloatImage
from scrapeview.film.markings import Marking

CHROMA_NOISE = 0.02
"""Smallest spread of a log-light channel ratio to reckon with: chroma of 8-bit JPEG is no finer."""
LIGHTNESS_NOISE = 0.2
"""The same where lightness helps: shadows and strokes the face at hand may not have shown."""
UNDERCOAT_SHARE_VARIANCE = 0.2
"""Variance of a cover that is rubbed through here and there (0.25 for half and half)."""


def sharpened_axis(
    log_rgb: FloatImage,
    inside: NDArray[np.bool_],
    levels: Levels,
    marking: Marking,
    px_per_mm: float,
    undercoat_shift: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the axis (3,) that tells this print's film from its metal best.

    Fisher's linear discriminant between film and the metal around it. A coloured marking weighs
    its kept channel against the two others, so light and exposure drop out. Over an undercoat,
    whose colour is as far from metal as the film's, lightness has to help; spots rubbed through a
    coat are told by lightness and the coat's colour, whatever it is. A marking known by its
    darkness keeps its axis.

    Parameters
    ----------
    log_rgb : (h, w, 3) float32
        Shrunk picture in log light.
    inside : (h, w) bool
    levels : Levels
        Found along the marking's starting axis.
    marking : Marking
    px_per_mm : float
    undercoat_shift : (3,) float
        What an undercoat adds to log light here and there; zeros where there is none.
    """
    if marking.kept is None and marking.takes_light:
        return marking.axis
    film, bare = levels.plainly_film(inside), levels.plainly_bare(inside)
    if film.sum() < 30 or bare.sum() < 30:
        return marking.axis
    above = np.stack([above_metal(log_rgb[..., c], bare, px_per_mm) for c in range(3)], axis=-1)
    shift = np.median(above[film], axis=0).astype(np.float64)
    spread = np.cov(above[bare].T)
    if marking.kept is None or undercoat_shift.any():
        coat = UNDERCOAT_SHARE_VARIANCE * np.outer(undercoat_shift, undercoat_shift)
        axis = np.linalg.solve(spread + coat + np.eye(3) * LIGHTNESS_NOISE**2, shift)
    else:
        axis = _colour_only(shift, spread + np.eye(3) * CHROMA_NOISE**2, marking.kept)
    return axis * 2 / np.abs(axis).sum() if axis.any() else marking.axis


def _colour_only(
    shift: NDArray[np.float64], spread: NDArray[np.float64], kept: int
) -> NDArray[np.float64]:
    """Discriminant of the kept channel against the others, blind to light: weights sum to 0."""
    others = [c for c in range(3) if c != kept]
    ratios = np.zeros((2, 3))
    ratios[:, kept] = 1.0
    ratios[[0, 1], others] = -1.0
    weights = np.linalg.solve(ratios @ spread @ ratios.T, ratios @ shift)
    # a film is never lighter in a channel it takes away
    return np.asarray(np.maximum(weights, 0) @ ratios)


def axis_of_picks(
    marking_log_rgb: NDArray[np.float32], metal_log_rgb: NDArray[np.float32]
) -> NDArray[np.float64]:
    """Return the axis (3,) from sample picks of bare metal to sample picks of marking.

    By colour alone where the colours differ, so that light drops out; else with lightness.

    Parameters
    ----------
    marking_log_rgb, metal_log_rgb : (n, 3) float32
        Log light at the picks.

    Raises
    ------
    SettingsError
        Where the picks look alike.
    """
    shift = np.median(marking_log_rgb, axis=0) - np.median(metal_log_rgb, axis=0)
    chroma = shift - shift.mean()
    for direction, least in ((chroma, 0.15), (shift, 0.1)):
        length = float(np.abs(direction).sum())
        if length >= least:
            return np.asarray(2 * direction / length, dtype=np.float64)
    raise SettingsError(
        "The sample picks of marking and of bare metal have the same colour; pick clearer places."
    )
