"""Pivot: where a part turns on its reference when it is pushed sideways at one end.

Friction is taken as even over the contact: every square of it resists by the same force against
its own motion. Of all motions that carry the pushed end along, the one that wastes least power
balances force and moment; it is a turn, and its centre is the pivot. A narrow part that bears
evenly turns at 1 - 1 / sqrt(2) = 0.292893 of its length from the far end, one that bears in its
middle fraction c at 1 - sqrt(1 + c^2) / 2, one relieved over its middle fraction r at
1 - sqrt((1 + r) / 2) (derived). This is about friction; the Airy points are about sag.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing.intervals import Interval
from scrapeview.bearing.local_share import (
    Mask,
    Shares,
    block_shares,
    local_contact,
    require_masks,
    spot_area_mm2,
    window_sigma_mm,
)
from scrapeview.errors import ReadingError
from scrapeview.units import MM_PER_INCH

End = Literal["left", "right", "top", "bottom"]
Form = Literal["convex", "hollow", "even"]

SQUARES, SQUARES_TRIED = 1600, 400
"""Into about so many squares the face is parted, for the pivot and for how sure it is."""
TRIALS, SEED = 200, 7
COVERED_PERCENT = 95.0
LEAST_BLOCKS = 8
"""Stretches along the length that chance is drawn for, at least."""
MOST_STEPS, CLOSE, CLOSE_TRIED = 40, 1e-6, 1e-3
FLUSH = np.array([[np.sqrt(2.0)], [0.0]])
"""The turn of a narrow part that bears evenly."""


@dataclass(frozen=True, kw_only=True)
class Pivot:
    """Where a part turns when it is pushed sideways at one end: an estimate.

    Parameters
    ----------
    pushed : {"left", "right", "top", "bottom"}
        The end that is pushed, on the middle line.
    share : float
        Distance of the pivot from the far end, of the length; 0-1, below 0 where a wide part turns
        about a place past its end.
    interval : Interval
        95 %: how far chance in where the marks lie moves it.
    even_share : float
        What the same outline would give if all of it bore evenly.
    shape : {"convex", "hollow", "even"}
        Turning nearer the middle than even bearing would is convex, nearer the end hollow; even
        where the even share lies inside the interval.
    """

    pushed: End
    share: float
    interval: Interval
    even_share: float
    shape: Form


@dataclass(frozen=True, eq=False)
class _Squares:
    """Squares of a part, in lengths from the pushed end: along, across, and their side."""

    along: Shares
    across: Shares
    side: float


def pivot_of(
    contact: Mask,
    known: Mask,
    px_per_mm: float,
    *,
    pushed: End,
    face: Mask | None = None,
) -> Pivot:
    """Estimate where a part turns when it is pushed sideways at one end.

    Parameters
    ----------
    contact, known : (h, w) bool
        Contact, and where the print shows the face, openings off.
    px_per_mm : float
    pushed : {"left", "right", "top", "bottom"}
        Left and right push across the rows, top and bottom across the columns.
    face : (h, w) bool, optional
        The face's outline, where more of it lies in the picture than is known.

    Raises
    ------
    SettingsError
        Where the masks do not fit each other, or the scale is not above 0.
    ReadingError
        Where there is no contact to turn on.
    """
    outline = known if face is None else face | known
    require_masks(px_per_mm, MM_PER_INCH, contact, known, outline)
    if not (contact & known).any():
        raise ReadingError("There is no contact to turn on: print the face again.")
    held, seen, whole = (_pushed_left(m, pushed) for m in (contact & known, known, outline))
    held, seen, whole = _cropped(whole, held, seen, whole)
    squares, (held_share, seen_share) = _parted(SQUARES, seen, held)
    turns = _solve(squares, np.stack([held_share.ravel(), seen_share.ravel()]))
    share, even_share = _from_far_end(turns)
    tail = (100 - COVERED_PERCENT) / 2
    low, high = np.percentile(_scatter(held, seen, px_per_mm), [tail, 100 - tail])
    interval = Interval(float(share + low), float(share + high))
    return Pivot(
        pushed=pushed,
        share=float(share),
        interval=interval,
        even_share=float(even_share),
        shape=_form(interval, float(even_share)),
    )


def _form(interval: Interval, even_share: float) -> Form:
    if interval.low <= even_share <= interval.high:
        return "even"
    return "convex" if interval.low > even_share else "hollow"


def _pushed_left(mask: Mask, pushed: End) -> Mask:
    """The mask turned so that the pushed end lies on the left."""
    lying = mask.T if pushed in ("top", "bottom") else mask
    return lying[:, ::-1] if pushed in ("right", "bottom") else lying


def _cropped(outline: Mask, *masks: Mask) -> list[Mask]:
    rows, columns = np.flatnonzero(outline.any(axis=1)), np.flatnonzero(outline.any(axis=0))
    box = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    return [mask[box] for mask in masks]


def _parted(count: int, seen: Mask, held: Mask) -> tuple[_Squares, tuple[Shares, Shares]]:
    """About so many squares where the face is seen, and how much of each is held and seen."""
    step = max(1, round(float(np.sqrt(seen.sum() / count))))
    width, length = seen.shape
    rows, columns = -(-width // step), -(-length // step)
    across, along = np.meshgrid(
        ((np.arange(rows) + 0.5) * step - width / 2) / length,
        (np.arange(columns) + 0.5) * step / length,
        indexing="ij",
    )
    squares = _Squares(along.ravel(), across.ravel(), step / length)
    return squares, (block_shares(held, step), block_shares(seen, step))


def _solve(
    squares: _Squares, weights: Shares, start: Shares = FLUSH, close: float = CLOSE
) -> Shares:
    """Turns (2, n), one for each row of weights (n, squares), that waste least power.

    Pushed at unit speed, a square moves by 1 - q x across and s + q y along, with q the rate of
    turning; its speed's mean over the square is that of its centre and of a twelfth of its side
    squared. The sum of weights times speeds is convex in q and s: Newton's steps, and where one
    does not lead down the step of the quadratic that lies above it, which always does.
    """
    turns = np.repeat(start, len(weights), axis=1)
    power, steps = _power_and_steps(squares, weights, turns)
    for _ in range(MOST_STEPS):
        tried = turns + steps[:2]
        power_tried, steps_tried = _power_and_steps(squares, weights, tried)
        worse = ~(power_tried <= power)
        if worse.any():
            tried = np.where(worse, turns + steps[2:], tried)
            power_tried, steps_tried = _power_and_steps(squares, weights, tried)
        moved = float(np.abs(tried - turns).max())
        turns, power, steps = tried, power_tried, steps_tried
        if moved < close:
            break
    return turns


def _from_far_end(turns: Shares) -> Shares:
    return np.asarray(1 - 1 / turns[0])


def _power_and_steps(squares: _Squares, weights: Shares, turns: Shares) -> tuple[Shares, Shares]:
    """Wasted power, and the steps (4, n) in q and s: Newton's, and the safe one."""
    x, y, t2 = squares.along, squares.across, squares.side**2 / 12
    q, s = turns[0][:, None], turns[1][:, None]
    across = 1 - q * x
    along = s + q * y
    speed = np.sqrt(across**2 + along**2 + q**2 * t2)
    by_q = (along * y - across * x + q * t2) / speed
    by_s = along / speed
    pull = weights / speed
    slope = np.stack([_sums(weights, by_q), _sums(weights, by_s)])
    safe = np.stack([pull @ (x**2 + y**2 + t2), pull @ y, pull.sum(1)])
    pull_q = pull * by_q
    bent = np.stack([_sums(pull_q, by_q), _sums(pull_q, by_s), _sums(pull * by_s, by_s)])
    steps = np.concatenate([_step(safe - bent, slope), _step(safe, slope)])
    return _sums(weights, speed), steps


def _sums(first: Shares, second: Shares) -> Shares:
    """Sum of products, row by row."""
    return np.asarray(np.einsum("nk,nk->n", first, second))


def _step(curvature: Shares, slope: Shares) -> Shares:
    qq, qs, ss = curvature
    determinant = qq * ss - qs**2
    # where all bears in one line nothing bends in one direction
    safe = np.where(determinant > 1e-12 * qq * ss, determinant, np.inf)
    found = -np.stack([ss * slope[0] - qs * slope[1], qq * slope[1] - qs * slope[0]]) / safe
    return np.asarray(found)


def _scatter(held: Mask, seen: Mask, px_per_mm: float) -> Shares:
    """How far off the share of the smoothed contact prints of it might have come out.

    Each block of an independent spot or more bears more or less by chance, as so many coins of its
    share of contact would, so that marks stay whole.
    """
    squares, (held_share, seen_share) = _parted(SQUARES_TRIED, seen, held)
    side_mm = squares.side * seen.shape[1] / px_per_mm
    share = local_contact(held_share, seen_share, window_sigma_mm(MM_PER_INCH) / side_mm)
    smooth = np.nan_to_num(share) * seen_share
    spot = spot_area_mm2(held, seen, px_per_mm, MM_PER_INCH) / side_mm**2
    # on a face of few spots smaller blocks vary the more, which comes to the same
    side = min(int(np.ceil(np.sqrt(spot) - 0.01)), max(smooth.shape) // LEAST_BLOCKS)
    block = _blocks(smooth.shape, max(1, side))
    area = np.maximum(np.bincount(block, seen_share.ravel()), 1e-9)
    mean = np.bincount(block, smooth.ravel()) / area
    # relative variance of a share decided by so many coins
    variance = np.clip((1 - mean) / np.maximum(mean * area / spot, 1e-9), 1e-9, 1e6)
    chance = np.random.default_rng(SEED)
    factors = chance.gamma(1 / variance, variance, (TRIALS, len(variance)))
    smoothed = _solve(squares, smooth.reshape(1, -1))
    turns = _solve(squares, smooth.ravel() * factors[:, block], smoothed, CLOSE_TRIED)
    return np.asarray(_from_far_end(turns) - _from_far_end(smoothed))


def _blocks(shape: tuple[int, ...], side: int) -> NDArray[np.int64]:
    """Number of the block of so many squares' side that each square lies in."""
    rows, columns = (np.arange(count) // side for count in shape)
    return np.asarray((rows[:, None] * (columns[-1] + 1) + columns[None, :]).ravel())
