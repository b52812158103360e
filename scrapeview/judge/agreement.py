"""Whether two prints of the same part of a face agree, square by square."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy import stats

from scrapeview.bearing import Interval
from scrapeview.confidence import COUNT_ERROR, DOUBT, FEWEST_FIELDS, SMALLEST_FIELD_MM
from scrapeview.judge.bounds import STANDS_WORST_LAST, UNKNOWN, judged, told
from scrapeview.judge.criteria import Criterion
from scrapeview.judge.laid import FaceGrid, shares
from scrapeview.judge.parts import EVERYWHERE, Box, Ground, part
from scrapeview.targets import Target

Floats = NDArray[np.float64]

SAME_PART = 0.75
"""Share of what one print shows that another must show too, to be a print of the same part."""
SAME_SQUARE = 0.9
"""A square counts where the smaller of its two areas is at least this share of the larger."""
COARSE_PX_PER_MM = 1.0
APART_ALLOWED_PERCENT = 25.0
"""Allowed where a target does not say, as the shipped targets suggest."""


@dataclass(frozen=True)
class Apart:
    """How far two prints differ in one figure.

    Parameters
    ----------
    figure : str
        "points" or "contact".
    percent : float
        Later less earlier, of the mean of both; NaN where both are nothing.
    interval : Interval
        Both one-sided bounds at the risk.
    """

    figure: Literal["points", "contact"]
    percent: float
    interval: Interval


def shown_too(one: Ground, other: Ground) -> float:
    """Return the share, 0-1, of what one print shows that the other shows too."""
    grid = _coarse_grid(one, other)
    seen, too = (
        shares(ground.known, ground.reading.px_per_mm, ground.reading.origin_mm, grid) >= 0.5
        for ground in (one, other)
    )
    return float((seen & too).sum() / max(1, seen.sum()))


def apart(before: Ground, after: Ground, risk: float) -> tuple[Apart, Apart]:
    """Return how far two prints differ in points and in contact, where both show the face.

    Both are prints of one face, so what one square holds more than another is in both and says
    nothing of their difference: each square is compared with itself, and the spread of these
    differences is what chance adds.
    """
    bounds = _around(before, after)
    one, other = _same_squares(before, after, bounds)
    areas = one["area_mm2"].to_numpy(), other["area_mm2"].to_numpy()
    counts = one["points"].to_numpy(float), other["points"].to_numpy(float)
    held = tuple(
        fields["contact_percent"].to_numpy() * fields["area_mm2"].to_numpy() / 100
        for fields in (one, other)
    )
    points_own = [_count_doubt(ground) for ground in (before, after)]
    contact_own = [
        ground.edge_percent / max(1e-9, ground.reading.contact_percent)
        for ground in (before, after)
    ]
    return (
        _apart("points", counts, areas, points_own, risk),
        _apart("contact", held, areas, contact_own, risk),
    )


def agreement_criterion(
    before: Ground | None,
    after: Ground,
    target: Target,
    risk: float,
    *,
    same_pass: bool,
    confirms: bool,
) -> Criterion:
    """Return whether the print before confirms this one.

    Where scraping lies between two prints that differ, the face has changed and nothing speaks
    against the later one; without it, one of the two is wrong.
    """
    asked = target.prints_apart_most_percent
    allowed = APART_ALLOWED_PERCENT if asked is None else asked
    if before is None or not confirms:
        why = "second print missing" if before is None else "second print not usable"
        return told("prints_apart_most_percent", "open", why, unit="%", target=allowed)
    both = before.reading.count_reliable and after.reading.count_reliable
    found = [_judged(one, allowed) for one in apart(before, after, risk)]
    worst = max(found if both else found[1:], key=_how_bad)
    if worst.stands == "falls short" and not same_pass:
        return replace(worst, stands="open", why=f"{worst.why}, scraped between")
    return worst


def _judged(one: Apart, allowed: float) -> Criterion:
    size = abs(one.percent)
    low, high = sorted((abs(one.interval.low), abs(one.interval.high)))
    least = 0.0 if one.interval.low < 0 < one.interval.high else low
    return judged(
        "prints_apart_most_percent", size, "%", Interval(least, high), allowed,
        at_least=False, why=one.figure,
    )  # fmt: skip


def _how_bad(one: Criterion) -> tuple[int, float, str]:
    return (
        STANDS_WORST_LAST.index(one.stands),
        one.figure if one.figure == one.figure else -1.0,
        one.why,
    )


def _apart(
    figure: Literal["points", "contact"],
    amounts: tuple[Floats, Floats],
    areas: tuple[Floats, Floats],
    own: list[float],
    risk: float,
) -> Apart:
    """Compare the two ratios; `own` is each print's own doubt, relative."""
    if not len(areas[0]) or min(areas[0].sum(), areas[1].sum()) <= 0:
        return Apart(figure, float("nan"), UNKNOWN)
    before, after = (a.sum() / b.sum() for a, b in zip(amounts, areas, strict=True))
    mean = (before + after) / 2
    if mean <= 0:
        return Apart(figure, float("nan"), UNKNOWN)
    percent = 100 * (after - before) / mean
    spread = _paired_half_width(amounts, areas, risk)
    doubts = [before * own[0], after * own[1]]
    half = 100 * float(np.sqrt(spread**2 + sum(doubt**2 for doubt in doubts))) / mean
    return Apart(figure, float(percent), Interval(float(percent - half), float(percent + half)))


def _paired_half_width(
    amounts: tuple[Floats, Floats], areas: tuple[Floats, Floats], risk: float
) -> float:
    """Half width of the difference of two ratios over the same squares.

    Each square's part in the difference, linearised as for the ratio estimator (W. G. Cochran,
    Sampling Techniques, ch. 6; from memory), its spread and Student's t.
    """
    n = len(areas[0])
    if n < 2:
        return float("inf")
    deviations = [
        (amount - area * (amount.sum() / area.sum())) / area.sum()
        for amount, area in zip(amounts, areas, strict=True)
    ]
    spread = np.sqrt(n / (n - 1) * ((deviations[1] - deviations[0]) ** 2).sum())
    return float(stats.t.isf(risk, n - 1) * spread)


def _count_doubt(ground: Ground) -> float:
    points = ground.reading.points
    doubtful = sum(share * float(points[flag].sum()) for flag, share in DOUBT.items())
    relative = doubtful / max(1, len(points)), COUNT_ERROR, ground.scale_error
    return float(np.linalg.norm(relative))


def _same_squares(before: Ground, after: Ground, bounds: Box) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Squares both show as much of: of the set side, or smaller until there are enough of them."""
    side = after.reading.settings.cell_mm
    while True:
        fields = [
            part(ground, EVERYWHERE, grid=bounds, side_mm=side).fields for ground in (before, after)
        ]
        one, other = _common(*fields)
        if len(one) >= FEWEST_FIELDS or side / 2 < SMALLEST_FIELD_MM:
            return one, other
        side /= 2


def _common(one: pd.DataFrame, other: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Squares that both show as much of."""
    keys = ["row", "column"]
    one, other = one.set_index(keys), other.set_index(keys)
    both = one.index.intersection(other.index).sort_values()
    one, other = one.loc[both], other.loc[both]
    areas = np.array([one["area_mm2"], other["area_mm2"]])
    same = areas.min(axis=0) >= SAME_SQUARE * areas.max(axis=0)
    return one[same], other[same]


def _around(one: Ground, other: Ground) -> Box:
    a, b = one.bounds_mm, other.bounds_mm
    return min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])


def _coarse_grid(one: Ground, other: Ground) -> FaceGrid:
    x0, y0, x1, y1 = _around(one, other)
    half = 0.5 / COARSE_PX_PER_MM
    rows = max(1, int(np.ceil((y1 - y0) * COARSE_PX_PER_MM)))
    columns = max(1, int(np.ceil((x1 - x0) * COARSE_PX_PER_MM)))
    return FaceGrid(COARSE_PX_PER_MM, (x0 + half, y0 + half), (rows, columns))
