"""Two prints compared by eye: a divider dragged over both, one after the other, or both at once."""

from scrapeview.dashboard.swipe.component import MODES, Mode, Sheet, compare

__all__ = ["MODES", "Mode", "Sheet", "compare"]
