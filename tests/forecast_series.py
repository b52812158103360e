"""Series of prints whose faces follow known curves, and those of the contact model.

None of the curves knows how a forecast is made.
"""

from collections.abc import Callable

import numpy as np
import pandas as pd

from scrapeview.columns import columns_of, table
from scrapeview.judge.forecast.pass_figures import FIGURE_COLUMNS
from scrapeview.simulate.contact import Print
from scrapeview.simulate.scene import FaceShape
from scrapeview.simulate.series import patch_areas_mm2, scrape_series
from scrapeview.units import per_square_inch

MODEL_MM = (110.0, 70.0)
SMALLEST_MM2, LARGEST_MM2 = 0.5, 78.5
LONGEST = 50
BAD_PRINTS = 0.06
Curve = np.ndarray
Printed = tuple[Curve, Curve, Curve]
Rng = np.random.Generator
N = np.arange(LONGEST)


def saturating(rng: Rng) -> Curve:
    """Exponential saturation."""
    start, limit, rate = rng.uniform(2, 8), rng.uniform(15, 45), rng.uniform(0.08, 0.5)
    return limit - (limit - start) * np.exp(-rate * N)


def logistic(rng: Rng) -> Curve:
    """Slow, then fast, then slow."""
    limit, rate, middle = rng.uniform(15, 45), rng.uniform(0.25, 0.9), rng.uniform(2, 9)
    return limit / (1 + np.exp(-rate * (N - middle)))


def linear_then_flat(rng: Rng) -> Curve:
    """As many points more each pass until nothing more is gained."""
    start, gain, limit = rng.uniform(2, 8), rng.uniform(1, 4), rng.uniform(15, 45)
    return np.minimum(start + gain * N, limit)


def root(rng: Rng) -> Curve:
    """A power of the pass number: slower and slower, and without a limit."""
    return rng.uniform(3, 9) * (N + 1.0) ** rng.uniform(0.35, 0.9)


def hill(rng: Rng) -> Curve:
    """A quotient of powers: a long tail towards the limit."""
    limit, half, power = rng.uniform(20, 50), rng.uniform(2, 8), rng.uniform(1, 2.5)
    return limit * (N + 1.0) ** power / (half**power + (N + 1.0) ** power)


def finishing(rng: Rng) -> Curve:
    """Saturation to a low limit, and from some pass on, with shorter strokes, to a higher one."""
    start, limit, rate = rng.uniform(2, 8), rng.uniform(10, 22), rng.uniform(0.2, 0.5)
    change, further = int(rng.integers(2, 6)), rng.uniform(1.2, 2.0)
    curve = limit - (limit - start) * np.exp(-rate * N)
    level, end = curve[change], limit * further
    later = end - (end - level) * np.exp(-rng.uniform(0.2, 0.5) * (N - change))
    return np.where(change > N, curve, later)


def uneven(rng: Rng) -> Curve:
    """Gains drawn anew each pass, slowly fading."""
    gains = rng.gamma(2.0, rng.uniform(0.8, 2.0), LONGEST) * rng.uniform(0.85, 0.97) ** N
    return rng.uniform(2, 8) + np.concatenate(([0.0], np.cumsum(gains)[:-1]))


def growing(rng: Rng) -> Curve:
    """By the same share more each pass up to a limit, as strokes grow shorter."""
    return np.minimum(rng.uniform(2, 6) * rng.uniform(1.12, 1.4) ** N, rng.uniform(20, 60))


def contact_falling(rng: Rng) -> Curve:
    """Contact that falls towards a level, straight and then flat or ever more slowly."""
    start, end = rng.uniform(45, 85), rng.uniform(25, 55)
    return _towards(rng, start, min(end, start - 5))


def contact_rising(rng: Rng) -> Curve:
    """Contact that rises towards a level."""
    start, end = rng.uniform(5, 30), rng.uniform(30, 60)
    return _towards(rng, start, end)


def _towards(rng: Rng, start: float, end: float) -> Curve:
    if rng.random() < 0.5:
        share = 1 - np.exp(-rng.uniform(0.1, 0.5) * N)
    else:
        share = np.minimum(N * rng.uniform(0.05, 0.25), 1.0)
    return start + (end - start) * share


POINTS: tuple[Callable[[Rng], Curve], ...] = (
    saturating, logistic, linear_then_flat, root, hill, finishing, uneven, growing,
)  # fmt: skip
CONTACT: tuple[Callable[[Rng], Curve], ...] = (contact_falling, contact_rising)


def printed(face: Curve, rng: Rng, contact: bool) -> Printed:
    """Return the figures of prints of a face and the ends of their intervals.

    A bad print shows fewer points; more contact where the film was heavy, else less.
    """
    most, heavy = (100.0, 0.7) if contact else (np.inf, 0.0)
    error = rng.uniform(0.025, 0.08) * face * np.exp(0.3 * rng.standard_normal(LONGEST))
    told = error * np.exp(0.2 * rng.standard_normal(LONGEST)) / rng.uniform(0.6, 1.2)
    figure = face + error * rng.standard_normal(LONGEST)
    wrong = np.where(rng.random(LONGEST) < heavy, rng.uniform(1.15, 1.5), rng.uniform(0.5, 0.85))
    bad = rng.random(LONGEST) < BAD_PRINTS
    figure = np.clip(np.where(bad, figure * wrong, figure), 0.1, most)
    return figure, np.maximum(figure - 1.96 * told, 0), np.minimum(figure + 1.96 * told, most)


def passes_table(points: Printed, contact: Printed, **changed: object) -> pd.DataFrame:
    """Return the table of passes of prints with these figures; `changed` replaces columns."""
    n = len(points[0])
    values: dict[str, object] = {
        c.name: [""] * n if c.dtype == "str" else np.zeros(n) for c in columns_of("passes")
    }
    values |= {
        "number": np.arange(1, n + 1), "print_id": np.arange(1, n + 1), "hours": np.full(n, np.nan),
        "is_print": np.ones(n, bool), "count_reliable": np.ones(n, bool),
        "area_mm2": np.full(n, 20000.0),
    }  # fmt: skip
    values |= dict(zip(FIGURE_COLUMNS["points"], points, strict=True))
    values |= dict(zip(FIGURE_COLUMNS["contact"], contact, strict=True))
    return table("passes", values | changed)


def modelled(seed: int) -> tuple[Curve, Curve, Curve]:
    """Return points, contact and merged percent of the contact model's eight passes, 2 s.

    Points are the patches of contact; what lies in patches larger than a point counts as merged.
    """
    prints = scrape_series(FaceShape(size_mm=MODEL_MM), seed=seed)
    points, contact, merged = np.array([_read(taken) for taken in prints]).T
    return points, contact, merged


def _read(taken: Print) -> tuple[float, float, float]:
    metal = taken.face.metal
    area_mm2 = metal.sum() / taken.face.grid.px_per_mm**2
    patches = patch_areas_mm2(taken)
    points = patches[patches > SMALLEST_MM2]
    merged = points[points > LARGEST_MM2].sum() / points.sum()
    contact = (taken.contact & metal).sum() / metal.sum()
    return float(per_square_inch(len(points), area_mm2)), 100 * contact, 100 * merged
