"""Estimates from film units to micrometres, with the doubt of both."""

from dataclasses import replace

import numpy as np

from scrapeview.judge.inline.blocks import Values
from scrapeview.judge.inline.estimates import Estimate, FilmUnit, Kind
from scrapeview.judge.inline.spread import Fitted

TEXTURE_ERROR = 0.05
"""Relative, at 95 %: what two terms of the texture's form leave open of a size; ours, no source."""
UNKNOWN = (0.0, float("-inf"), float("inf"))


def estimate_of(
    fit: Fitted, along: Values, kind: Kind, unit: FilmUnit | None, scale: float = 1.0
) -> Estimate:
    """Return a linear form of fitted parameters as an estimate.

    Parameters
    ----------
    fit : Fitted
    along : (k,) float64
    kind : {"height", "tilt"}
    unit : FilmUnit or None
    scale : float
        From the parameters' units to film units, or film units per metre.
    """
    value, low, high = (scale * each for each in fit.interval(along))
    half = TEXTURE_ERROR * abs(value)
    low = value - float(np.hypot(value - low, half))
    high = value + float(np.hypot(high - value, half))
    return in_micrometres(Estimate(kind, value, low, high), unit)


def unknown(kind: Kind) -> Estimate:
    """Return the estimate of what cannot be told."""
    return Estimate(kind, *UNKNOWN)


def in_micrometres(estimate: Estimate, unit: FilmUnit | None) -> Estimate:
    """Return an estimate with its micrometres.

    The interval of a product of two independent estimates from the intervals of both, side by
    side: (G. Y. Zou and A. Donner, Statistics in Medicine 27 (2008) 1693; from memory). The sign
    stays as sure as it is in film units, which a unit above 0 cannot turn.

    Parameters
    ----------
    estimate : Estimate
    unit : FilmUnit or None
    """
    if unit is None or not np.isfinite(estimate.low + estimate.high):
        return estimate
    value = estimate.value * unit.um
    up, down = unit.high_um - unit.um, unit.um - unit.low_um
    if value < 0:
        up, down = down, up
    low = value - float(np.hypot((estimate.value - estimate.low) * unit.um, estimate.value * down))
    high = value + float(np.hypot((estimate.high - estimate.value) * unit.um, estimate.value * up))
    if estimate.low > 0:
        low = max(low, estimate.low * unit.low_um)
    if estimate.high < 0:
        high = min(high, estimate.high * unit.low_um)
    return replace(estimate, value_um=value, low_um=low, high_um=high)
