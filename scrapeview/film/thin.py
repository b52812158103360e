"""Points of thin film among thick ones: whole marks that are weaker than half the print's film."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.light import FloatImage

FROM_SHARE = 0.37
"""Share of full film from which a patch is looked at."""
MOST_MARKED = 0.6
"""A patch more of which is marked already needs no help."""
SMALLEST_MM, LARGEST_MM = 1.8, 10.0
"""Diameter of such a point: smaller ones may be grain, larger ones clouds of haze."""
RING_MM = 1.2
MOST_AROUND = 0.35
"""Film around a point, of its own: a mark ends in bare metal, a cloud of haze trails off."""


def with_thin_points(
    contrast: FloatImage,
    full: FloatImage,
    inside: NDArray[np.bool_],
    px_per_mm: float,
    film_share: float,
) -> FloatImage:
    """Return the full film around each pixel, lowered where a thin point stands by itself.

    Parameters
    ----------
    contrast, full : (h, w) float32
        Contrast above bare metal; full film around each pixel.
    inside : (h, w) bool
    px_per_mm, film_share : float
    """
    patches = ((contrast > FROM_SHARE * full) & inside).view(np.uint8)
    n, labels, stats, _ = cv2.connectedComponentsWithStats(patches, connectivity=4)
    areas = stats[:, cv2.CC_STAT_AREA].astype(np.float64)
    marked = np.bincount(labels[contrast > film_share * full], minlength=n)[:n]
    in_size = (areas >= np.pi / 4 * (SMALLEST_MM * px_per_mm) ** 2) & (
        areas <= np.pi / 4 * (LARGEST_MM * px_per_mm) ** 2
    )
    thin = in_size & (marked < MOST_MARKED * areas)
    thin[0] = False
    if not thin.any():
        return full
    own = np.bincount(labels.ravel(), weights=contrast.ravel(), minlength=n) / areas
    held = np.where(thin[labels], labels, 0).astype(np.float32)
    size = 2 * max(1, round(RING_MM * px_per_mm)) + 1
    reached = cv2.dilate(held, np.ones((size, size), np.uint8)).astype(np.int32)
    ring = np.where(labels == 0, reached, 0)
    ring_area = np.maximum(np.bincount(ring.ravel(), minlength=n), 1)
    around = np.bincount(ring.ravel(), weights=contrast.ravel(), minlength=n) / ring_area
    thin &= around <= MOST_AROUND * own
    lowered = np.where(thin[reached] & (labels == 0), own[reached], 0)
    lowered = np.where(thin[labels], own[labels], lowered).astype(np.float32)
    return np.where(lowered > 0, np.minimum(full, lowered), full)
