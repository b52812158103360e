"""Where a reference lay for one print of a face that is longer, or wider, than the reference."""

from dataclasses import dataclass
from typing import Literal

from scrapeview.errors import SettingsError

Side = Literal["", "far", "near"]
"""Which part of the width: all of it, the half at the top of the picture, the half at its foot."""
SIDES: tuple[Side, ...] = ("", "far", "near")


@dataclass(frozen=True, kw_only=True)
class Placement:
    """One place of the reference on the face.

    Parameters
    ----------
    name : str
        What a person calls it.
    start_mm, length_mm : float or None
        Where along the face (x, from its left end) the reference began and how much of the face
        it covered; None where it was not told. Both or none.
    side : {"", "far", "near"}
        "" where it lay over the whole width, or over both ways.

    Raises
    ------
    SettingsError
        Where one of start and length comes without the other, or a value cannot be.
    """

    name: str = ""
    start_mm: float | None = None
    length_mm: float | None = None
    side: Side = ""

    def __post_init__(self) -> None:
        if (self.start_mm is None) != (self.length_mm is None):
            raise SettingsError("A placement needs both where it starts and how long it is.")
        if self.side not in SIDES:
            raise SettingsError(f"A placement lies on the side {', '.join(SIDES[1:])} or on both.")
        if self.start_mm is not None and not -10_000 <= self.start_mm <= 100_000:
            raise SettingsError(f"A placement cannot start at {self.start_mm:g} mm.")
        if self.length_mm is not None and not 0 < self.length_mm <= 100_000:
            raise SettingsError(f"A placement cannot be {self.length_mm:g} mm long.")

    @property
    def is_told(self) -> bool:
        """Whether its place along the face is known."""
        return self.start_mm is not None

    @property
    def end_mm(self) -> float | None:
        """Where it ends along the face."""
        if self.start_mm is None or self.length_mm is None:
            return None
        return self.start_mm + self.length_mm
