"""Points counted by eye beside those counted by the program: squares to count, and agreement.

The program chooses the squares, because a person picks those that look typical.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, overload

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy import stats

from scrapeview.bearing import Interval
from scrapeview.bearing.cells import Square, sums_of
from scrapeview.judge.compare.laid import Mask, known_mask
from scrapeview.record.entries import EyeCount
from scrapeview.result import Reading
from scrapeview.units import MM2_PER_SQUARE_INCH, per_25mm_square, per_square_inch

STEP_MM = 1.0
"""Between the places a square may start at."""
WHOLE = 0.995
"""Share of a square that must be face and known; the rest is the pixels along its border."""
TRIES = 8
"""Random squares may block each other; the draw that leaves room for most is kept."""

LIMITS_Z = 1.96
CONFIDENCE = 0.95
FEWEST_BIAS = 2
FEWEST_LIMITS = 3
FEWEST_TREND = 8
PLAIN_TREND = 0.05
"""Chance below which a rank correlation is not put down to chance."""

Room = Literal["all", "few", "none", "no print"]


@dataclass(frozen=True)
class SquaresToCount(Sequence[Square]):
    """Squares of a print to count by eye, in the order they were drawn.

    Parameters
    ----------
    squares : tuple of Square
        With the points the program counts in each.
    room : {"all", "few", "none", "no print"}
        all: as many as were wanted. few: the face has room for these only. none: nowhere does a
        whole square fit. no print: there are no points to count.
    """

    squares: tuple[Square, ...]
    room: Room

    def __len__(self) -> int:
        return len(self.squares)

    def __iter__(self) -> Iterator[Square]:
        return iter(self.squares)

    @overload
    def __getitem__(self, index: int) -> Square: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Square, ...]: ...
    def __getitem__(self, index: int | slice) -> Square | tuple[Square, ...]:
        return self.squares[index]


def squares_to_count(
    reading: Reading,
    how_many: int = 4,
    *,
    seed: int,
    already: Sequence[Square | EyeCount] = (),
    washed_out: Mask | None = None,
) -> SquaresToCount:
    """Return squares of a print to count by eye, chosen at random and none over another.

    Every place where a whole square of the face's cell side lies on the face, off its openings and
    what glare or the hand took out, is as likely as any other for the first square; the next ones
    are drawn from what is left. The same seed gives the same squares.

    Parameters
    ----------
    reading : Reading
    how_many : int
    seed : int
        Such as the number of the print.
    already : sequence of Square or EyeCount
        Squares of this print that were counted before; new ones keep off them.
    washed_out : (h, w) bool, optional
        Pixels of the reading's own mask that glare has emptied; without it, cells that lost area
        are kept off.
    """
    if not reading.is_print:
        return SquaresToCount((), "no print")
    side = reading.settings.cell_mm
    free = _clear_of(_starts(reading, side, washed_out), already, side)
    if not len(free):
        return SquaresToCount((), "none" if not already else "few")
    chosen: NDArray[np.float64] = np.empty((0, 2))
    rng = np.random.default_rng(seed)
    for _ in range(TRIES):
        drawn = _drawn(free, how_many, side, rng)
        chosen = drawn if len(drawn) > len(chosen) else chosen
        if len(chosen) >= how_many:
            break
    known = known_mask(reading)
    squares = tuple(_square(reading, known, x, y, side) for x, y in chosen.tolist())
    return SquaresToCount(squares, "all" if len(squares) >= how_many else "few")


def _square(reading: Reading, known: Mask, x_mm: float, y_mm: float, side_mm: float) -> Square:
    x, y = (
        np.arange(count) / reading.px_per_mm + start
        for count, start in zip(known.shape[::-1], reading.origin_mm, strict=True)
    )
    columns = slice(*np.searchsorted(x, (x_mm, x_mm + side_mm)))
    rows = slice(*np.searchsorted(y, (y_mm, y_mm + side_mm)))
    face = known[rows, columns]
    contact = reading.contact_mask[rows, columns] & face
    area_mm2 = side_mm**2 * float(face.mean())
    points = by_tool(reading.points, x_mm, y_mm, side_mm)
    return Square(
        x_mm, y_mm, side_mm, area_mm2, points, per_square_inch(points, area_mm2),
        per_25mm_square(points, area_mm2), 100 * float(contact.sum()) / float(face.sum()),
    )  # fmt: skip


def by_tool(points: pd.DataFrame, x_mm: float, y_mm: float, side_mm: float) -> int:
    """Return how many points have their middle in a square, its left and top side included."""
    across = points["x_mm"].to_numpy() - x_mm
    down = points["y_mm"].to_numpy() - y_mm
    return int(((across >= 0) & (across < side_mm) & (down >= 0) & (down < side_mm)).sum())


def _starts(reading: Reading, side_mm: float, washed_out: Mask | None) -> NDArray[np.float64]:
    """Return the left top corners (n, 2) of all whole squares, mm."""
    known = known_mask(reading, washed_out)
    if washed_out is None and reading.washed_out_percent > 0:
        known &= ~_thinned_cells(reading, known)
    sums = sums_of(known, reading.contact_mask, reading.px_per_mm, reading.origin_mm)
    corners = np.concatenate(reading.regions_mm)
    low, high = corners.min(axis=0), corners.max(axis=0)
    x, y = (np.arange(a, b - side_mm + 1e-6, STEP_MM) for a, b in zip(low, high, strict=True))
    if not (len(x) and len(y)):
        return np.empty((0, 2))
    left, right = sums.edges(x, 0), sums.edges(x + side_mm, 0)
    top, bottom = sums.edges(y, 1), sums.edges(y + side_mm, 1)
    whole = np.outer(bottom - top, right - left)
    face = sums.face.astype(np.int64)
    inside = (
        face[np.ix_(bottom, right)] - face[np.ix_(top, right)]
        - face[np.ix_(bottom, left)] + face[np.ix_(top, left)]
    )  # fmt: skip
    row, column = np.nonzero((inside >= WHOLE * whole) & (whole > 0))
    return np.column_stack((x[column], y[row]))


def _thinned_cells(reading: Reading, known: Mask) -> Mask:
    """Return the pixels of all cells whose area is less than what the outlines leave them."""
    thinned = np.zeros(known.shape, dtype=bool)
    scale, (x0, y0) = reading.px_per_mm, reading.origin_mm
    side = reading.settings.cell_mm
    size = round(side * scale)
    cells = reading.cells[["x_mm", "y_mm", "area_mm2"]].to_numpy(dtype=np.float64)
    for x, y, area_mm2 in cells.tolist():
        column, row = (int(np.ceil((at - start) * scale - 1e-9)) for at, start in
                       ((x, x0), (y, y0)))  # fmt: skip
        here = slice(max(row, 0), row + size), slice(max(column, 0), column + size)
        thinned[here] = area_mm2 * scale**2 < 0.98 * known[here].sum()
    return thinned


def _clear_of(
    starts: NDArray[np.float64], taken: Sequence[Square | EyeCount], side_mm: float
) -> NDArray[np.float64]:
    for square in taken:
        middle = np.array([square.x_mm, square.y_mm]) + square.side_mm / 2
        apart = np.abs(starts + side_mm / 2 - middle).max(axis=1)
        starts = starts[apart >= (side_mm + square.side_mm) / 2 - 1e-6]
    return starts


def _drawn(
    free: NDArray[np.float64], how_many: int, side_mm: float, rng: np.random.Generator
) -> NDArray[np.float64]:
    chosen: list[NDArray[np.float64]] = []
    while len(chosen) < how_many and len(free):
        start = free[rng.integers(len(free))]
        chosen.append(start)
        free = free[np.abs(free - start).max(axis=1) >= side_mm - 1e-6]
    return np.array(chosen).reshape(-1, 2)


@dataclass(frozen=True, kw_only=True)
class EyeAgreement:
    """How far counting by eye and by the program agree, in points per square inch.

    Parameters
    ----------
    count : int
        Squares counted.
    bias : float
        Eye less tool, mean; NaN where there is no square.
    bias_interval : Interval
        By Student's t; without end where there are too few squares.
    low, high : float
        Limits of agreement: 95 of 100 squares are expected to differ by less.
    low_interval, high_interval : Interval
    more_needed : int
        Squares that are missing until limits can be told, else 0.
    trend : float
        Rank correlation (Spearman) of difference and mean; NaN where there are too few.
    trend_plain : bool
        Whether the difference plainly grows or falls with the count.
    table : DataFrame
        mean_ppsi and difference_ppsi: of eye and tool, and eye less tool, a row a square.
    """

    count: int
    bias: float
    bias_interval: Interval
    low: float
    high: float
    low_interval: Interval
    high_interval: Interval
    more_needed: int
    trend: float
    trend_plain: bool
    table: pd.DataFrame

    @property
    def bias_plain(self) -> bool:
        """Whether eye and tool plainly differ on the whole."""
        return self.bias_interval.low > 0 or self.bias_interval.high < 0


def agreement_of(counts: Sequence[EyeCount]) -> EyeAgreement:
    """Return bias and limits of agreement between eye and tool.

    After J. M. Bland and D. G. Altman, Statistical methods for assessing agreement between two
    methods of clinical measurement, Lancet 1986 i: 307-310: limits are bias +- 1.96 s; the
    intervals are theirs, Student's t with standard errors s / sqrt(n) of the bias and
    sqrt(3 s^2 / n) of the limits, which is approximate.

    Parameters
    ----------
    counts : sequence of EyeCount
    """
    per_square = [(c.by_eye, c.by_tool, MM2_PER_SQUARE_INCH / c.side_mm**2) for c in counts]
    eye, tool, scale = np.array(per_square, dtype=np.float64).reshape(-1, 3).T
    difference, mean = (eye - tool) * scale, (eye + tool) / 2 * scale
    n = len(counts)
    bias = float(difference.mean()) if n else np.nan
    s = float(difference.std(ddof=1)) if n >= FEWEST_BIAS else np.inf
    t = float(stats.t.ppf(0.5 + CONFIDENCE / 2, n - 1)) if n >= FEWEST_BIAS else np.inf
    known = s if n >= FEWEST_LIMITS else np.inf
    low, high = bias - LIMITS_Z * known, bias + LIMITS_Z * known
    around = t * known * np.sqrt(3 / max(n, 1))
    trend, by_chance = _trend(mean, difference)
    return EyeAgreement(
        count=n,
        bias=bias,
        bias_interval=_around(bias, t * s / np.sqrt(max(n, 1))),
        low=low,
        high=high,
        low_interval=_around(low, around),
        high_interval=_around(high, around),
        more_needed=max(0, FEWEST_LIMITS - n),
        trend=trend,
        trend_plain=by_chance < PLAIN_TREND,
        table=pd.DataFrame({"mean_ppsi": mean, "difference_ppsi": difference}),
    )


def _around(middle: float, half: float) -> Interval:
    if not np.isfinite(half):
        return Interval(-np.inf, np.inf)
    return Interval(float(middle - half), float(middle + half))


def _trend(mean: NDArray[np.float64], difference: NDArray[np.float64]) -> tuple[float, float]:
    if len(mean) < FEWEST_TREND or np.ptp(mean) == 0 or np.ptp(difference) == 0:
        return np.nan, 1.0
    found = stats.spearmanr(mean, difference)
    return float(found.statistic), float(found.pvalue)
