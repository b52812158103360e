"""The result of reading one print: everything measured, and what it was measured with."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing import Interval
from scrapeview.corrections import Correction, left_out_of
from scrapeview.figures import Figures
from scrapeview.film import Heaviness, Separability
from scrapeview.photo import Check
from scrapeview.plane import Plane
from scrapeview.plane.polygons import near_any
from scrapeview.settings import Settings
from scrapeview.units import SQUARES_25MM_PER_SQUARE_INCH

MOST_MERGED_PERCENT = 20.0
"""Share of the contact in merged patches from which a count is no longer to be relied on."""


@dataclass(frozen=True, eq=False)
class Reading(Figures):
    """One print, read.

    Attributes
    ----------
    is_print : bool
        Whether there is a print on the face at all; without one all counts are 0.
    reason : str
        What was found, or why there is no print, in a plain sentence.
    contact_percent : float
        Share of `area_mm2` in contact, 0-100.
    points_per_square_inch : float
        Points by area.
    contact_interval, ppsi_interval : Interval
        Of the two above, at the settings' confidence (95 %).
    area_mm2 : float
        Area read: the face less openings and places that glare has emptied.
    washed_out_percent : float
        Share of the face taken out because of glare.
    merged_percent : float
        Share of the contact in patches larger than a point can be.
    points, cells, regions, sizes : DataFrame
        Columns as in `scrapeview.columns.COLUMNS`.
    worst_square, best_square : Square or None
        The square of the cell's side with the fewest and the most points, wherever it lies; None
        where nothing is left to read.
    bare_patch : BarePatch
    evenness : Evenness
    marking, undercoat : str
        What the film was read as; colour below it, "" where there is none.
    separability : Separability
    heaviness : Heaviness
    checks : tuple of Check
    contact_mask : (h, w) bool
        Contact on the face seen square-on; pixel (0, 0)'s centre lies at `origin_mm`.
    px_per_mm : float
        Scale of the mask.
    origin_mm : (float, float)
    regions_mm, openings_mm : tuple of (N, 2) arrays
        The face as it was read, polygons in mm.
    plane : Plane
    settings : Settings
    corrections : tuple of Correction
        Made by hand, in their order.
    photo_sha256 : str
    photo_size_px : (int, int)
    photo_notes : tuple of str
    taken_at : str or None
    read_at_utc : str
    versions : dict
        Versions of scrapeview and of the libraries that did the work.
    """

    is_print: bool
    reason: str
    marking: str
    undercoat: str
    separability: Separability
    heaviness: Heaviness
    checks: tuple[Check, ...]
    contact_mask: NDArray[np.bool_]
    px_per_mm: float
    origin_mm: tuple[float, float]
    regions_mm: tuple[NDArray[np.float64], ...]
    openings_mm: tuple[NDArray[np.float64], ...]
    plane: Plane
    settings: Settings
    corrections: tuple[Correction, ...]
    photo_sha256: str
    photo_size_px: tuple[int, int]
    photo_notes: tuple[str, ...]
    taken_at: str | None
    read_at_utc: str
    versions: dict[str, str]

    @property
    def points_per_25mm_square(self) -> float:
        """Points per 25 mm x 25 mm square."""
        return self.points_per_square_inch / SQUARES_25MM_PER_SQUARE_INCH

    @property
    def p25_interval(self) -> Interval:
        """Interval of `points_per_25mm_square`."""
        low, high = self.ppsi_interval.low, self.ppsi_interval.high
        return Interval(low / SQUARES_25MM_PER_SQUARE_INCH, high / SQUARES_25MM_PER_SQUARE_INCH)

    @property
    def left_out_mm(self) -> tuple[NDArray[np.float64], ...]:
        """Polygons (N, 2) taken out of the area, mm: by hand, and what hides the face."""
        hidden = near_any(self.plane.hidden_mm, self.regions_mm)
        return (*left_out_of(self.corrections), *hidden)

    @property
    def count_reliable(self) -> bool:
        """Whether marks are apart enough for a count of points to mean something."""
        return self.merged_percent < MOST_MERGED_PERCENT
