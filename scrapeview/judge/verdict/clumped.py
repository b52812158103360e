"""Whether squares next to each other are alike, so that they tell less than as many apart would.

The spread between squares says how far the figure of a whole face may be off as far as squares are
independent. Points that stand in patches as large as a square, or thin out from end to end, make
neighbours alike: what they share is then missing in the spread.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

NEIGHBOUR = 0.5
"""Weight of neighbours, as a triangular window over two squares has it (W. K. Newey and K. D. West,
Econometrica 55 (1987) 703, along a line; from memory)."""
BESIDE = ((0, 1), (1, 0), (1, 1), (1, -1))


@dataclass(frozen=True)
class Clumped:
    """How many times as wide as the spread between squares the spread of the whole is; 1 or more.

    Parameters
    ----------
    points, contact : float
    """

    points: float
    contact: float


EVENLY = Clumped(1.0, 1.0)


def clumped_in(fields: pd.DataFrame) -> Clumped:
    """Return how alike neighbours are among the squares of a face.

    Parameters
    ----------
    fields : DataFrame
        With row, column, area_mm2, points and contact_percent.
    """
    if len(fields) < 2:
        return EVENLY
    area_mm2 = _laid(fields, fields["area_mm2"].to_numpy())
    points = _laid(fields, fields["points"].to_numpy(np.float64))
    contact = _laid(fields, fields["contact_percent"].to_numpy())
    return Clumped(_times(points, area_mm2), _times(contact * area_mm2, area_mm2))


def _laid(fields: pd.DataFrame, values: NDArray[np.float64]) -> NDArray[np.float64]:
    row, column = fields["row"].to_numpy(), fields["column"].to_numpy()
    laid = np.zeros((int(row.max()) + 1, int(column.max()) + 1))
    laid[row, column] = values
    return laid


def _times(amounts: NDArray[np.float64], areas: NDArray[np.float64]) -> float:
    """Root of the variance with neighbours' share in it, over that without."""
    # where there is no square there is nothing to deviate
    off = amounts - areas * (amounts.sum() / max(1e-9, areas.sum()))
    alone = float((off**2).sum())
    if alone <= 0:
        return 1.0
    together = sum(float((off * _moved(off, *step)).sum()) for step in BESIDE)
    return float(np.sqrt(1 + max(0.0, 2 * NEIGHBOUR * together / alone)))


def _moved(laid: NDArray[np.float64], down: int, across: int) -> NDArray[np.float64]:
    """The neighbour of each square, 0 where there is none."""
    padded = np.pad(laid, 1)
    rows, columns = laid.shape
    return padded[1 + down : 1 + down + rows, 1 + across : 1 + across + columns]
