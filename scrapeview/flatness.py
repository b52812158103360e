"""What the reference a face is printed against may itself be out of flat.

Grades of surface plates. GGG-P-463c and ASME B89.3.7: AA = 40 + D^2 / 25 microinch with the
diagonal D in inches, A twice and B four times that. DIN 876, with the longer side L in mm: grade
0 = 4 + L / 250, I = 10 + L / 100, II = 20 + L / 50, III = 40 + L / 25 um. Each is the most that the
whole plate may be out. What either says of plates much longer than wide was not read.
"""

import math
from dataclasses import dataclass

from scrapeview.errors import SettingsError
from scrapeview.units import MM_PER_INCH

GRADES = (
    "", "GGG-P-463c AA", "GGG-P-463c A", "GGG-P-463c B",
    "DIN 876 grade 0", "DIN 876 grade I", "DIN 876 grade II", "DIN 876 grade III",
)  # fmt: skip
"""Grades of surface plates whose formulas were read in their source; "" where none is known."""

UM_PER_MICROINCH = 0.0254
MOST_MM, MOST_UM = 100_000.0, 10_000.0
_TIMES_AA = {"GGG-P-463c AA": 1.0, "GGG-P-463c A": 2.0, "GGG-P-463c B": 4.0}
_DIN_876 = {
    "DIN 876 grade 0": (4.0, 250.0),
    "DIN 876 grade I": (10.0, 100.0),
    "DIN 876 grade II": (20.0, 50.0),
    "DIN 876 grade III": (40.0, 25.0),
}
"""What a plate may be out whatever its size, um, and how many mm of its side add one more."""


@dataclass(frozen=True, kw_only=True)
class ReferenceFlatness:
    """What is known of the flatness of a reference.

    Parameters
    ----------
    grade : str
        One of `GRADES`.
    length_mm, width_mm : float
        Sides of the reference; 0 where they are not known.
    own_um : float or None
        Its error by the user's own measurement or certificate, which goes before the grade.
    """

    grade: str = ""
    length_mm: float = 0.0
    width_mm: float = 0.0
    own_um: float | None = None

    @property
    def error_um(self) -> float | None:
        """What the reference may be out of flat: its own error, else its grade's; None if unknown.

        A grade says nothing without the sides it goes by: both for GGG-P-463c, the longer for
        DIN 876.

        Raises
        ------
        SettingsError
            Where the grade is none that is known, or a side or the error is out of its range.
        """
        if self.own_um is not None:
            _require_within(self.own_um, MOST_UM, "The error of the reference", "um")
            return self.own_um
        _require_grade(self.grade)
        sides_mm = self.length_mm, self.width_mm
        needed = min(sides_mm) if self.grade in _TIMES_AA else max(sides_mm)
        if not self.grade or needed == 0:
            return None
        return plate_error_um(self.grade, *sides_mm)


NOT_KNOWN = ReferenceFlatness()


def plate_error_um(grade: str, length_mm: float, width_mm: float) -> float:
    """Return how far a surface plate of a grade may be out of flat as a whole, in um.

    Parameters
    ----------
    grade : str
        One of `GRADES`, not "".
    length_mm, width_mm : float
        Its sides, in either order; for DIN 876 the shorter may be 0 where it is not known.

    Raises
    ------
    SettingsError
        Where the grade is none of them, or a side is not a length.
    """
    _require_grade(grade)
    for side_mm, what in ((length_mm, "length"), (width_mm, "width")):
        _require_within(side_mm, MOST_MM, f"The {what} of the plate", "mm")
    if grade in _DIN_876 and max(length_mm, width_mm) > 0:
        always_um, mm_a_um = _DIN_876[grade]
        return always_um + max(length_mm, width_mm) / mm_a_um
    if grade in _TIMES_AA and min(length_mm, width_mm) > 0:
        diagonal_in = math.hypot(length_mm, width_mm) / MM_PER_INCH
        return _TIMES_AA[grade] * (40 + diagonal_in**2 / 25) * UM_PER_MICROINCH
    raise SettingsError("What a plate may be out of flat needs its grade and the sides it goes by.")


def _require_grade(grade: str) -> None:
    if grade not in GRADES:
        known = ", ".join(GRADES[1:])
        raise SettingsError(f"'{grade}' is no grade of a surface plate known here: {known}.")


def _require_within(value: float, most: float, what: str, unit: str) -> None:
    if not 0 <= value <= most:
        raise SettingsError(f"{what}: give 0 to {most:g} {unit}, not {value:g}.")
