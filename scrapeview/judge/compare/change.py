"""The change of a figure between two prints, with its interval."""

from dataclasses import dataclass

import numpy as np

from scrapeview.bearing import Interval


@dataclass(frozen=True)
class Change:
    """A change from an earlier to a later print.

    Parameters
    ----------
    value : float
        Later less earlier.
    interval : Interval
        At the confidence of the two readings' own intervals; without end where one of them is.
    """

    value: float
    interval: Interval

    @property
    def plain(self) -> bool:
        """Whether the interval leaves no doubt that it went up, or down."""
        return self.interval.low > 0 or self.interval.high < 0


def difference(
    before: float, before_interval: Interval, after: float, after_interval: Interval
) -> Change:
    """Return the change of a figure with the interval that follows from those of both.

    Half widths are added in quadrature side by side, so that intervals that are not symmetrical
    are kept (G. Y. Zou and A. Donner, Construction of confidence limits about effect measures,
    Statistics in Medicine 27 (2008) 1693; from memory). The two prints count as independent: what
    they share, such as the size of the face, would only make the change surer.

    Parameters
    ----------
    before, after : float
    before_interval, after_interval : Interval
    """
    value = after - before
    down = np.hypot(after - after_interval.low, before_interval.high - before)
    up = np.hypot(after_interval.high - after, before - before_interval.low)
    return Change(value, Interval(float(value - down), float(value + up)))
