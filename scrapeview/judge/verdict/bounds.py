"""One-sided bounds at a stated risk, and whether they clear a target."""

import numpy as np
from scipy import stats

from scrapeview.bearing import Interval
from scrapeview.errors import SettingsError
from scrapeview.judge.verdict.criteria import Criterion, Stands

UNKNOWN = Interval(-np.inf, np.inf)
STANDS_WORST_LAST: tuple[Stands, ...] = ("clears", "cannot tell", "open", "falls short")


def require_risk(risk: float) -> None:
    """Refuse a risk no bound can be found for.

    Raises
    ------
    SettingsError
        Where it is not above 0 and below 0.5.
    """
    if not 0 < risk < 0.5:
        raise SettingsError(f"The risk of a wrong verdict is {risk:g}; give 0.001 to 0.499.")


def level_for(risk: float) -> float:
    """Return the level of the two-sided interval whose ends are the bounds at a risk.

    Each end alone is missed at half the risk. The other half is for what the spread between
    squares cannot tell: that patches of more and fewer points reach from square to square.
    """
    return 1 - risk


def at_risk(
    figure: float,
    interval: Interval,
    *,
    confidence: float,
    risk: float,
    squares: int,
    own: float = 0.0,
    clumped: float = 1.0,
) -> Interval:
    """Return both one-sided bounds at a risk from a two-sided interval.

    Only the spread between squares is drawn in or moved out, never the reading's own doubt, which
    is a limit and no quantile. Drawn in it is as the normal distribution allows, the least of all;
    moved out as Student's t with one degree of freedom less than there are squares asks.

    Parameters
    ----------
    figure : float
    interval : Interval
        At the two-sided `confidence`.
    confidence, risk : float
    squares : int
        Squares the interval rests on.
    own, clumped : float
        As for `spread_out`.
    """
    is_tail, tail = (1 - confidence) / 2, (1 - level_for(risk)) / 2
    if tail >= is_tail:
        ratio = stats.norm.isf(tail) / stats.norm.isf(is_tail)
    else:
        freedom = max(1, squares - 1)
        ratio = stats.t.isf(tail, freedom) / stats.t.isf(is_tail, freedom)
    return spread_out(figure, interval, own=own, ratio=clumped * ratio)


def spread_out(figure: float, interval: Interval, *, own: float, ratio: float) -> Interval:
    """Return an interval whose spread between squares is some times as wide.

    Parameters
    ----------
    figure : float
    interval : Interval
    own : float
        Half width that it holds of the reading's own doubt, which stays as it is.
    ratio : float
    """

    def half(found: float) -> float:
        if not np.isfinite(found) or found <= own:
            return found
        return float(np.hypot(ratio * np.sqrt(found**2 - own**2), own))

    low = figure - half(figure - interval.low)
    return Interval(max(0.0, low), figure + half(interval.high - figure))


def standing(interval: Interval, target: float, at_least: bool) -> Stands:
    """Return how bounds stand to a target."""
    if not (np.isfinite(interval.low) and np.isfinite(interval.high)):
        return "open"
    if at_least:
        beyond, plainly_not = interval.low >= target, interval.high < target
    else:
        beyond, plainly_not = interval.high <= target, interval.low > target
    if beyond:
        return "clears"
    return "falls short" if plainly_not else "open"


def margin_of(interval: Interval, target: float, at_least: bool) -> float:
    """Return by how much the bound that counts is beyond a target; NaN where it has no end."""
    margin = interval.low - target if at_least else target - interval.high
    return float(margin) if np.isfinite(margin) else float("nan")


def without_sign(interval: Interval) -> Interval:
    """Return the interval of a difference's size from that of the difference."""
    low, high = sorted((abs(interval.low), abs(interval.high)))
    return Interval(0.0, high) if interval.low < 0 < interval.high else Interval(low, high)


def judged(
    name: str,
    figure: float,
    unit: str,
    interval: Interval,
    target: float,
    *,
    at_least: bool,
    zone: str = "",
    why: str = "",
) -> Criterion:
    """Return a criterion that stands as its bounds do."""
    known = bool(np.isfinite(interval.low) and np.isfinite(interval.high))
    return Criterion(
        name=name,
        zone=zone,
        figure=figure,
        unit=unit,
        interval=interval,
        target=target,
        at_least=at_least,
        margin=margin_of(interval, target, at_least),
        stands=standing(interval, target, at_least),
        why=why if known else "too few squares",
    )


def told(
    name: str,
    stands: Stands,
    why: str = "",
    *,
    figure: float = float("nan"),
    unit: str = "",
    target: float | None = None,
) -> Criterion:
    """Return a criterion that stands as it is told: a figure that should be small, or none."""
    return Criterion(
        name=name,
        figure=figure,
        unit=unit,
        interval=None,
        target=target,
        at_least=False,
        margin=float("nan") if target is None else target - figure,
        stands=stands,
        why=why,
    )
