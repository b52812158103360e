"""How heavy the film lies: haze between the points and smearing along the rub."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.film.levels import Levels
from scrapeview.film.light import FloatImage
from scrapeview.film.local import local_mean, shrink

BROAD_MM = 40.0
SMEAR_NEAR_MM, SMEAR_FAR_MM = 0.8, 1.6


@dataclass(frozen=True)
class Heaviness:
    """How heavy the film lies.

    Parameters
    ----------
    haze_percent : float
        Tint of the metal between the points, of the full film's contrast: its middle value above
        the cleanest tenth of the face.
    smear_percent : float
        How much stronger film trails off along one direction than across it, of full contrast.
    smear_direction_deg : float
        Direction of the trail, 0-180, from x towards y.
    """

    haze_percent: float
    smear_percent: float
    smear_direction_deg: float


def measure_heaviness(
    levels: Levels,
    inside: NDArray[np.bool_],
    marked: NDArray[np.bool_],
    px_per_mm: float,
    *,
    by_colour: bool,
) -> Heaviness:
    """Measure haze and smear on the shrunk picture.

    Haze shows by its colour only: where film is told from metal by lightness, shadows and strokes
    of the metal would pass for it, and 0 is returned.
    """
    bare = inside & ~marked
    if not marked.any() or bare.sum() < 100:
        return Heaviness(0.0, 0.0, 0.0)
    haze = _haze(levels, bare, px_per_mm) if by_colour else 0.0
    smear, direction = _smear(levels.contrast, bare, marked, px_per_mm)
    full = levels.typical_film
    return Heaviness(100 * haze / full, 100 * smear / full, direction)


def _haze(levels: Levels, bare: NDArray[np.bool_], px_per_mm: float) -> float:
    # light drifts across the whole face, haze comes in clouds: only what varies within a hand's
    # breadth is film
    factor = max(1, round(px_per_mm))
    metal = shrink(levels.metal, factor)
    weight = shrink(bare.astype(np.float32), factor)
    broad = local_mean(
        metal, weight, BROAD_MM * px_per_mm / factor, 0.01, float(levels.metal[bare].mean())
    )
    cloud = (metal - broad)[weight > 0.2]
    if cloud.size < 10:
        return 0.0
    clean, middle = np.percentile(cloud, [10, 50])
    return float(middle - clean)


def _smear(
    contrast: FloatImage, bare: NDArray[np.bool_], marked: NDArray[np.bool_], px_per_mm: float
) -> tuple[float, float]:
    near, far = (max(1, round(d * px_per_mm)) for d in (SMEAR_NEAR_MM, SMEAR_FAR_MM))
    trails = []
    for dx, dy in ((1, 0), (1, 1), (0, 1), (-1, 1)):
        beside = np.zeros_like(bare)
        for sign in (1, -1):
            for distance in {near, far}:
                step = distance if dx == 0 or dy == 0 else max(1, round(distance / 2**0.5))
                beside |= np.roll(marked, (sign * dy * step, sign * dx * step), (0, 1))
        held = contrast[beside & bare]
        trails.append(float(held.mean()) if held.size else 0.0)
    strongest = int(np.argmax(trails))
    across = (strongest + 2) % 4
    return max(0.0, trails[strongest] - trails[across]), 45.0 * strongest
