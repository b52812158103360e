"""How far the writing or reading of an archive has come."""

from collections.abc import Callable

Progress = Callable[[int, int, str], None]
"""Called with the steps done, the steps there are, and what is being done."""


class Steps:
    """Counts steps of a long task and tells who wants to know.

    Parameters
    ----------
    progress : callable or None
    """

    def __init__(self, progress: Progress | None) -> None:
        self._progress = progress
        self._done = self._total = 0

    def expect(self, count: int) -> None:
        """Set how many steps there are in all."""
        self._total = count

    def step(self, what: str) -> None:
        """Count one step as done."""
        self._done += 1
        if self._progress is not None:
            self._progress(min(self._done, self._total), self._total, what)
