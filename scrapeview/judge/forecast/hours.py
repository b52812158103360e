"""Hours a face still needs: what passes took so far, over the passes still needed."""

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.judge.forecast.clearing import HORIZON, Needed, quantiles

FORGETTING = 0.7
"""Weight of a pass against the next one: later passes are more like those ahead."""
USUAL_SPREAD = 0.35
"""Of the logarithm of a pass's hours; what is taken where too few were told."""
USUAL_WEIGHT = 2.0
"""It counts as much as this many passes."""


def hours_of(progress: pd.DataFrame) -> pd.Series:
    """Return the hours told of each pass, by its number; passes without are left out."""
    frame = progress.sort_values(["number", "print_id"], kind="stable")
    told = frame.groupby("number")["hours"].first()
    return told[told.notna() & (told > 0)]


def hours_for(
    told: pd.Series, first: NDArray[np.int64], confidence: float, rng: np.random.Generator
) -> Needed | None:
    """Return the hours for so many passes ahead, None where none were told.

    Parameters
    ----------
    told : Series
        From `hours_of`.
    first : (m,) int
        Samples of the passes needed, more than HORIZON where it is not reached.
    confidence : float
    rng : Generator
    """
    if told.empty:
        return None
    logs = np.log(told.to_numpy(dtype=np.float64))
    weight = FORGETTING ** np.arange(len(logs) - 1, -1, -1.0)
    mean = float(weight @ logs / weight.sum())
    count = float(weight.sum())
    squares = float(weight @ (logs - mean) ** 2)
    spread = np.sqrt((squares + USUAL_WEIGHT * USUAL_SPREAD**2) / (count + USUAL_WEIGHT))
    typical = mean + spread / np.sqrt(count) * rng.standard_normal((len(first), 1))
    each = np.exp(typical + spread * rng.standard_normal((len(first), HORIZON)))
    total = np.cumsum(each, axis=1)[np.arange(len(first)), np.minimum(first, HORIZON) - 1]
    return quantiles(np.where(first > HORIZON, np.inf, total), confidence)
