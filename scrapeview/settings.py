"""Everything about a reading that a person may set, in one frozen place."""

from dataclasses import asdict, dataclass, fields
from typing import Any

from scrapeview.errors import SettingsError
from scrapeview.units import MM_PER_INCH

Picks = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Settings:
    """Settings of one reading; the size of the smallest point is the one that matters.

    Parameters
    ----------
    smallest_point_mm : float
        Diameter of the smallest mark counted as a bearing point, 0.2-10 mm.
    largest_point_mm : float
        Diameter of the largest mark one point can be, 1-100 mm; larger marks are merged patches.
    neck_depth_mm : float
        How much narrower (in radius) a neck must be than the smaller of the two points it joins for
        them to be split, 0.02-5 mm.
    view_px_per_mm : float
        Resolution of the square-on view, 2-20 px/mm; never finer than the photo holds.
    margin_mm : float
        How far the view reaches past the face so that points at its edge are seen whole, 0-20 mm.
    cell_mm : float
        Side of a cell: 25.4 for the square inch, 25 for the 25 mm square; 5-200 mm.
    film_share : float
        Film at least this share of its full local thickness counts as contact, 0.2-0.8.
    confidence : float
        Level of the intervals, 0.5-0.999.
    marking_picks_px, metal_picks_px : tuple of (x, y)
        Photo pixels known to be marking and bare metal, for prints that cannot be told by
        themselves; both or none.

    Raises
    ------
    SettingsError
        Where a value is out of its range or one kind of pick comes without the other.
    """

    smallest_point_mm: float = 0.8
    largest_point_mm: float = 10.0
    neck_depth_mm: float = 0.12
    view_px_per_mm: float = 5.0
    margin_mm: float = 5.0
    cell_mm: float = MM_PER_INCH
    film_share: float = 0.5
    confidence: float = 0.95
    marking_picks_px: Picks = ()
    metal_picks_px: Picks = ()

    def __post_init__(self) -> None:
        for name, (low, high) in _RANGES.items():
            value = getattr(self, name)
            if not low <= value <= high:
                raise SettingsError(f"{name} is {value:g}; give a value from {low:g} to {high:g}.")
        if self.smallest_point_mm >= self.largest_point_mm:
            raise SettingsError(
                f"The smallest point ({self.smallest_point_mm:g} mm) must be smaller than the "
                f"largest ({self.largest_point_mm:g} mm)."
            )
        for name in ("marking_picks_px", "metal_picks_px"):
            object.__setattr__(self, name, _as_picks(name, getattr(self, name)))
        if bool(self.marking_picks_px) != bool(self.metal_picks_px):
            raise SettingsError("Give sample picks of both the marking and the bare metal.")

    def as_dict(self) -> dict[str, Any]:
        """Return the settings as plain values for JSON."""
        return asdict(self)

    @classmethod
    def from_dict(cls, values: dict[str, Any]) -> "Settings":
        """Return the settings of `as_dict`; unknown names raise SettingsError."""
        unknown = set(values) - {f.name for f in fields(cls)}
        if unknown:
            raise SettingsError(f"Unknown settings: {', '.join(sorted(unknown))}.")
        return cls(**values)


_RANGES = {
    "smallest_point_mm": (0.2, 10.0),
    "largest_point_mm": (1.0, 100.0),
    "neck_depth_mm": (0.02, 5.0),
    "view_px_per_mm": (2.0, 20.0),
    "margin_mm": (0.0, 20.0),
    "cell_mm": (5.0, 200.0),
    "film_share": (0.2, 0.8),
    "confidence": (0.5, 0.999),
}


def _as_picks(name: str, picks: Any) -> Picks:
    try:
        return tuple((float(x), float(y)) for x, y in picks)
    except (TypeError, ValueError):
        raise SettingsError(f"{name} must be a list of x, y pairs in photo pixels.") from None
