"""What a reading was made with, and when."""

from datetime import UTC, datetime
from functools import cache
from importlib.metadata import version

LIBRARIES = ("opencv-python-headless", "numpy", "scipy", "scikit-image", "pandas", "Pillow")


@cache
def _versions() -> tuple[tuple[str, str], ...]:
    return tuple((name, version(name)) for name in ("scrapeview", *LIBRARIES))


def versions() -> dict[str, str]:
    """Return the versions of scrapeview and of the libraries that do its work."""
    return dict(_versions())


def now_utc() -> str:
    """Return the time in UTC, ISO 8601, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")
