"""What a person corrected on a reading by hand, in the order it was done."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import CorrectionError

Kind = Literal["remove", "add", "merge", "split", "leave_out"]
Place = tuple[float, float]

_PLACES = {"remove": (1, 1), "add": (1, 1), "merge": (2, 2), "split": (2, 2), "leave_out": (3, 999)}
LARGEST_ADDED_MM = 50.0


@dataclass(frozen=True)
class Correction:
    """One correction; later ones act on what earlier ones left.

    Parameters
    ----------
    kind : {"remove", "add", "merge", "split", "leave_out"}
        remove: the mark at one place is no contact. add: a point was missed there. merge: the
        marks at two places are one point. split: the marks a line between two places crosses are
        told apart by it. leave_out: a polygon that is taken out of the area.
    places_mm : tuple of (x, y)
        On the face, mm.
    diameter_mm : float
        Of an added point, above 0 to 50 mm; 0 for the other kinds.

    Raises
    ------
    CorrectionError
    """

    kind: Kind
    places_mm: tuple[Place, ...]
    diameter_mm: float = 0.0

    def __post_init__(self) -> None:
        if self.kind not in get_args(Kind):
            raise CorrectionError(f"There is no correction '{self.kind}'.")
        places = _as_places(self.places_mm)
        object.__setattr__(self, "places_mm", places)
        least, most = _PLACES[self.kind]
        if not least <= len(places) <= most:
            needed = f"{least} place{'s' if least > 1 else ''} on the face"
            raise CorrectionError(
                f"The correction '{self.kind}' needs {needed}, not {len(places)}: click again."
            )
        if self.kind == "add" and not 0 < self.diameter_mm <= LARGEST_ADDED_MM:
            raise CorrectionError(
                f"An added point is up to {LARGEST_ADDED_MM:g} mm across, not {self.diameter_mm:g}."
            )


def left_out_of(corrections: Iterable[Correction]) -> tuple[NDArray[np.float64], ...]:
    """Return the polygons (N, 2), mm, that corrections take out of the area."""
    return tuple(np.array(c.places_mm) for c in corrections if c.kind == "leave_out")


def require_print(is_print: bool, corrections: Iterable[Correction]) -> None:
    """Refuse to correct the points of a print that was not found.

    Raises
    ------
    CorrectionError
    """
    if not is_print and any(c.kind != "leave_out" for c in corrections):
        raise CorrectionError(
            "No print was found, so there are no points to correct: give sample picks of the "
            "marking and of bare metal first."
        )


def _as_places(places: object) -> tuple[Place, ...]:
    try:
        found = tuple((float(x), float(y)) for x, y in places)  # type: ignore[attr-defined]
    except (TypeError, ValueError):
        raise CorrectionError("The places of a correction are pairs x, y in mm.") from None
    if not all(math.isfinite(value) for place in found for value in place):
        raise CorrectionError("A place of a correction is not a finite number: click again.")
    return found
