"""What the reference a face is printed against may itself be out of flat."""

from dataclasses import dataclass

GRADES = ("", "GGG-P-463c AA", "GGG-P-463c A", "GGG-P-463c B") + tuple(
    f"DIN 876 grade {grade}" for grade in ("0", "I", "II", "III")
)
"""Grades of surface plates whose formulas were read in their source; "" where none is known."""


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


NOT_KNOWN = ReferenceFlatness()
