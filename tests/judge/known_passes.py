"""Tables of passes whose figures are known, in the readings' own columns."""

import numpy as np
from forecast_series import passes_table


def passes_of(points, contact=None, *, error=0.05, contact_error=0.05, **changed):
    """A table of passes; intervals are 95 %, from standard errors as shares of the figures."""
    contact = np.full(len(points), 45.0) if contact is None else contact
    return passes_table(_with_ends(points, error), _with_ends(contact, contact_error), **changed)


def _with_ends(figures, error):
    figures = np.asarray(figures, dtype=float)
    half = 1.96 * error * figures
    return figures, figures - half, figures + half
