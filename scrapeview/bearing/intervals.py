"""Intervals of the headline figures, from the spread between cells and the reading's own error."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import stats


@dataclass(frozen=True)
class Interval:
    """A confidence interval.

    Parameters
    ----------
    low, high : float
    """

    low: float
    high: float


def ratio_half_width(
    amounts: NDArray[np.float64], areas: NDArray[np.float64], confidence: float = 0.95
) -> float:
    """Return the half width of the interval of sum(amounts) / sum(areas) over fields.

    With equal areas this is the form of ASTM E562 for fields, t s / sqrt(n) (Student's t with
    n - 1 degrees of freedom, s the standard deviation between fields); with unequal areas the
    fields' ratio estimator (W. G. Cochran, Sampling Techniques, ch. 6; from memory).

    Parameters
    ----------
    amounts, areas : (n,) float
        What each field holds, and its area; n at least 2, else the answer is infinite.
    confidence : float
    """
    n = len(amounts)
    if n < 2 or areas.sum() <= 0:
        return float("inf")
    deviations = amounts - areas * (amounts.sum() / areas.sum())
    spread = np.sqrt(n / (n - 1) * (deviations**2).sum()) / areas.sum()
    return float(stats.t.ppf(0.5 + confidence / 2, n - 1) * spread)


def counting_half_width(count: int, confidence: float = 0.95) -> float:
    """Return half the width of the exact Poisson interval of a count (Garwood's form)."""
    tail = (1 - confidence) / 2
    low = stats.chi2.ppf(tail, 2 * count) / 2 if count else 0.0
    high = stats.chi2.ppf(1 - tail, 2 * count + 2) / 2
    return float(high - low) / 2


def widened(
    estimate: float, *half_widths: float, low: float = 0.0, high: float = np.inf
) -> Interval:
    """Return the interval with independent half widths added in quadrature, kept in range."""
    half = float(np.sqrt(np.sum(np.square(half_widths))))
    return Interval(max(low, estimate - half), min(high, estimate + half))
