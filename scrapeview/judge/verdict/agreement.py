"""Whether two prints of the same part of a face agree, square by square."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from scrapeview.bearing import Interval
from scrapeview.confidence import FEWEST_FIELDS, SMALLEST_FIELD_MM
from scrapeview.judge.compare.change import Change, difference
from scrapeview.judge.verdict.bounds import (
    STANDS_WORST_LAST,
    UNKNOWN,
    judged,
    level_for,
    told,
    without_sign,
)
from scrapeview.judge.verdict.criteria import Criterion
from scrapeview.judge.verdict.parts import EVERYWHERE, Box, Ground, count_doubt, part, whole
from scrapeview.targets import Target

Floats = NDArray[np.float64]

SAME_SQUARE = 0.9
"""A square counts where the smaller of its two areas is at least this share of the larger."""
ROWS_APART = 1_000_000
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


def same_frame(one: Ground, other: Ground) -> bool:
    """Return whether places of two prints can be compared: both are tied to the face's outline."""
    return bool(one.reading.plane.face_mm and other.reading.plane.face_mm)


def apart(before: Ground, after: Ground, risk: float) -> tuple[Apart, Apart]:
    """Return how far two prints differ in points and in contact, where both show the face.

    Both are prints of one face, so what one square holds more than another is in both and says
    nothing of their difference: each square is compared with itself, and the spread of these
    differences is what chance adds. Prints that have no place on the face are compared as a whole.
    """
    if not same_frame(before, after):
        return _apart_as_a_whole(before, after, risk)
    one, other = _same_squares(before, after, _around(before, after))
    areas = one.area_mm2, other.area_mm2
    counts = one.points, other.points
    held = one.contact_mm2, other.contact_mm2
    points_own = [
        count_doubt(ground.reading.points, ground.scale_error) / max(1, len(ground.reading.points))
        for ground in (before, after)
    ]
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
    return judged(
        "prints_apart_most_percent", abs(one.percent), "%", without_sign(one.interval), allowed,
        at_least=False, why=one.figure,
    )  # fmt: skip


def _how_bad(one: Criterion) -> tuple[int, float, str]:
    return (
        STANDS_WORST_LAST.index(one.stands),
        one.figure if one.figure == one.figure else -1.0,
        one.why,
    )


def _apart_as_a_whole(before: Ground, after: Ground, risk: float) -> tuple[Apart, Apart]:
    one, two = whole(before), whole(after)
    points = difference(
        one.points_per_square_inch, one.ppsi_bounds(risk),
        two.points_per_square_inch, two.ppsi_bounds(risk),
    )  # fmt: skip
    contact = difference(
        one.contact_percent, one.contact_bounds(risk), two.contact_percent, two.contact_bounds(risk)
    )
    mean_ppsi = (one.points_per_square_inch + two.points_per_square_inch) / 2
    mean_percent = (one.contact_percent + two.contact_percent) / 2
    return _relative("points", points, mean_ppsi), _relative("contact", contact, mean_percent)


def _relative(figure: Literal["points", "contact"], change: Change, mean: float) -> Apart:
    if mean <= 0:
        return Apart(figure, float("nan"), UNKNOWN)
    low, high = (100 * end / mean for end in (change.interval.low, change.interval.high))
    return Apart(figure, 100 * change.value / mean, Interval(low, high))


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
    return float(stats.t.isf((1 - level_for(risk)) / 2, n - 1) * spread)


@dataclass(frozen=True, eq=False)
class _Squares:
    """Squares of one print, in the order of their places."""

    place: NDArray[np.int64]
    area_mm2: Floats
    points: Floats
    contact_mm2: Floats

    def these(self, chosen: NDArray[np.intp] | NDArray[np.bool_]) -> "_Squares":
        """Return some of them."""
        return _Squares(*(column[chosen] for column in vars(self).values()))


def _same_squares(before: Ground, after: Ground, bounds: Box) -> tuple[_Squares, _Squares]:
    """Squares both show as much of: of the set side, or smaller until there are enough of them."""
    side = after.reading.settings.cell_mm
    while True:
        one, other = _common(*(_squares(ground, bounds, side) for ground in (before, after)))
        if len(one.place) >= FEWEST_FIELDS or side / 2 < SMALLEST_FIELD_MM:
            return one, other
        side /= 2


def _squares(ground: Ground, bounds: Box, side_mm: float) -> _Squares:
    fields = part(ground, EVERYWHERE, grid=bounds, side_mm=side_mm).fields
    area_mm2 = fields["area_mm2"].to_numpy()
    return _Squares(
        fields["row"].to_numpy(np.int64) * ROWS_APART + fields["column"].to_numpy(np.int64),
        area_mm2,
        fields["points"].to_numpy(np.float64),
        fields["contact_percent"].to_numpy() / 100 * area_mm2,
    )


def _common(one: _Squares, other: _Squares) -> tuple[_Squares, _Squares]:
    """Squares that both show as much of."""
    _, first, second = np.intersect1d(one.place, other.place, return_indices=True)
    one, other = one.these(first), other.these(second)
    areas = np.stack((one.area_mm2, other.area_mm2))
    same = areas.min(axis=0) >= SAME_SQUARE * areas.max(axis=0)
    return one.these(same), other.these(same)


def _around(one: Ground, other: Ground) -> Box:
    a, b = one.bounds_mm, other.bounds_mm
    return min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])
