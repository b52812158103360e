"""Levels of bare metal and of full film along a colour axis, told apart place by place.

The bare metal of a print may be the minority, its colour drifts with light and undercoat, and the
film thins where the light washes it out. So both levels are found together, locally, by iterating:
pixels are told apart half-way between the levels around them, and the levels follow the pixels
(two-means clustering with neighbourhoods).
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.light import FloatImage
from scrapeview.film.local import local_mean
from scrapeview.film.surface import smooth_surface
from scrapeview.film.thin import with_thin_points
from scrapeview.film.tiles import sorted_tiles

METAL_REACH_MM = 3.0
"""Neighbourhood in which bare metal is taken to have one colour: wider than a point, narrower
than blotches of undercoat and bands of light."""
FILM_REACH_MM = 8.0
VEILED_REACH_MM = 3.0
"""Glare comes and goes faster than film: contrast is taken from nearer by."""
POINT_REACH_MM = 1.2
TILE_MM = 12.0
START_STEPS, ROUGH_STEPS, REFINING_STEPS = 3, 5, 2
LEAST_THRESHOLD = 0.005
"""Log light; film lies above the metal."""
BARE_BELOW = 0.35
"""Share of the film's full contrast below which a pixel is plainly bare."""
FILM_ABOVE = 0.75
"""The same above which it is plainly film."""
WEAKEST_FILM = 0.3
"""Local film may be this share of the whole print's film and no weaker: below lies noise."""


@dataclass(frozen=True)
class Levels:
    """Metal and film along one axis, on the shrunk picture.

    Parameters
    ----------
    metal : (h, w) float32
        Level of bare metal, log light along the axis.
    film : (h, w) float32
        Contrast of the full film above the metal around each pixel.
    contrast : (h, w) float32
        Contrast above bare metal of each pixel.
    typical_film : float
        Median contrast of the film, whole face.
    metal_spread : float
        Robust standard deviation of the bare metal's contrast.
    """

    metal: FloatImage
    film: FloatImage
    contrast: FloatImage
    typical_film: float
    metal_spread: float

    def plainly_film(self, inside: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Pixels inside that are near full film, clear of any edge."""
        return np.asarray(inside & (self.contrast > FILM_ABOVE * self.film))

    def plainly_bare(self, inside: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Pixels inside that are bare metal, clear of any edge."""
        return np.asarray(inside & (self.contrast < BARE_BELOW * self.film))


def otsu_threshold(values: NDArray[np.float32]) -> tuple[float, float]:
    """Return Otsu's threshold and the share of variance it explains (0-1).

    N. Otsu, A threshold selection method from gray-level histograms, IEEE Trans. SMC 9 (1979).
    """
    low, high = np.percentile(values, [0.05, 99.95])
    if not high > low:
        return float(low), 0.0
    counts, edges = np.histogram(values, 256, range=(float(low), float(high)))
    centres = (edges[1:] + edges[:-1]) / 2
    below = np.cumsum(counts)
    total = below[-1]
    sums = np.cumsum(counts * centres)
    valid = (below > 0) & (below < total)
    share = below[valid] / total
    mean, mean_below = sums[-1] / total, sums[valid] / below[valid]
    between = share / (1 - share) * (mean_below - mean) ** 2
    variance = float((counts * (centres - mean) ** 2).sum() / total)
    best = int(np.argmax(between))
    return float(centres[valid][best]), float(between[best] / variance) if variance > 0 else 0.0


def lowest_metal(values: FloatImage, inside: NDArray[np.bool_], tile_px: int) -> FloatImage:
    """Return a first guess of the metal: a smooth surface under a low percentile of each tile.

    Tiles covered with film through and through lie above the others and are left out of the fit.
    """
    tiles = sorted_tiles(values, inside, tile_px)
    if not tiles.known.any():
        return np.full_like(values, np.median(values))
    shape = (values.shape[0], values.shape[1])
    return smooth_surface(tiles.quantile(0.1), tiles.known, shape, outliers_above=True)


def local_levels(
    values: FloatImage,
    inside: NDArray[np.bool_],
    px_per_mm: float,
    film_share: float,
    steps: int = ROUGH_STEPS,
) -> Levels:
    """Find metal and film around each pixel of a shrunk picture, from nothing.

    Parameters
    ----------
    values : (h, w) float32
        Log light along the marking's colour axis.
    inside : (h, w) bool
        Pixels of the face.
    px_per_mm : float
    film_share : float
        Share of the film's contrast at which a pixel counts as film.
    steps : int
        How often to tell film and metal apart anew.
    """
    metal = lowest_metal(values, inside, max(4, round(TILE_MM * px_per_mm)))
    contrast = (values - metal)[inside]
    # a few pixels far below the metal (pores, rust) are no film and must not draw the threshold
    threshold = otsu_threshold(np.maximum(contrast, np.percentile(contrast, 1)))[0]
    threshold = max(threshold, LEAST_THRESHOLD)
    evenly = np.ones_like(values)
    return _settle(values, inside, metal, threshold * evenly, evenly, px_per_mm, film_share, steps)


def refined_levels(
    rough: Levels,
    values: FloatImage,
    inside: NDArray[np.bool_],
    left: FloatImage,
    px_per_mm: float,
    film_share: float,
) -> Levels:
    """Find metal and film again on a finer picture, where glare may leave part of the contrast.

    Parameters
    ----------
    rough : Levels
        Found on a coarser picture without regard to glare.
    values, inside, px_per_mm, film_share
        As for `local_levels`.
    left : (h, w) float32
        Share of the print's typical contrast that is left around each pixel, 0-1.
    """
    size = (values.shape[1], values.shape[0])
    metal = np.asarray(
        cv2.resize(rough.metal, size, interpolation=cv2.INTER_LINEAR), dtype=np.float32
    )
    threshold = film_share * rough.typical_film * left
    return _settle(values, inside, metal, threshold, left, px_per_mm, film_share, REFINING_STEPS)


def _settle(
    values: FloatImage,
    inside: NDArray[np.bool_],
    metal: FloatImage,
    threshold: FloatImage,
    left: FloatImage,
    px_per_mm: float,
    film_share: float,
    steps: int,
) -> Levels:
    veiled = bool((left < 1).any())
    film_reach_px = (VEILED_REACH_MM if veiled else FILM_REACH_MM) * px_per_mm
    contrast = values - metal
    typical = float(np.median(threshold)) / film_share
    film = typical * left
    for step in range(steps):
        marked = (contrast > threshold) & inside
        clearly_below = threshold if step == 0 else BARE_BELOW / film_share * threshold
        bare = (contrast < clearly_below) & inside
        if not marked.any() or not bare.any():
            break
        weight = bare.astype(np.float32)
        drift = smooth_surface(values, bare, values.shape, outliers_above=True)
        around = local_mean(values, weight, METAL_REACH_MM * px_per_mm, 0.05, drift)
        # a wide patch of thin film is no metal, however alike its pixels are
        metal = np.minimum(around, drift + BARE_BELOW * typical)
        contrast = values - metal
        typical = float(np.median(contrast[marked]))
        film = _film_around(contrast, marked, typical, film_reach_px, typical * left)
        threshold = film_share * film
    marked = (contrast > threshold) & inside
    below = contrast[inside & (contrast < threshold)]
    spread = robust_spread(below) if below.size else 0.0
    own = _film_around(contrast, marked, typical, POINT_REACH_MM * px_per_mm, film)
    # a thin point is a point, but the thin skirt of a thick one is not contact: half-way
    full = np.float32(0.5) * (own + film)
    full = with_thin_points(contrast, full, inside, px_per_mm, film_share)
    return Levels(metal, full, contrast, typical, spread)


def _film_around(
    contrast: FloatImage,
    marked: NDArray[np.bool_],
    typical: float,
    reach_px: float,
    fallback: FloatImage,
) -> FloatImage:
    """Full film around each pixel: the mean of marked pixels, the thickest counting most."""
    relative = contrast / max(typical, 1e-6)
    weight = np.where(marked, np.maximum(relative, 0) ** 2, 0).astype(np.float32)
    film = local_mean(contrast, weight, reach_px, 0.03, fallback)
    return np.maximum(film, WEAKEST_FILM * fallback)


def above_metal(channel: FloatImage, bare: NDArray[np.bool_], px_per_mm: float) -> FloatImage:
    """Return a channel of a shrunk picture above the bare metal around each pixel."""
    weight = bare.astype(np.float32)
    typical = float(channel[bare].mean())
    return channel - local_mean(channel, weight, METAL_REACH_MM * px_per_mm, 0.02, typical)


def robust_spread(values: NDArray[np.float32]) -> float:
    """Return the standard deviation of the lower half: the upper holds haze and edges of film."""
    values = values[:: max(1, len(values) // 20_000)]
    middle = np.median(values)
    lower = values[values <= middle]
    return float(1.4826 * np.median(middle - lower))
