"""What each kind of marking does to light, as a colour axis in log light."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import SettingsError

RED, GREEN, BLUE = 0, 1, 2

LEAST_TINT = 0.13
"""Log light; about three Lab units on grey metal in good light."""


@dataclass(frozen=True)
class Marking:
    """One kind of marking.

    Parameters
    ----------
    name : str
    kept : int or None
        The channel the film lets through best; None where film shows by lightness alone.
    start : (3,) tuple
        Colour axis to start from: the contrast grows along it where there is contact.
    least_contrast : float
        Least contrast, log light, at which it is a marking: below lie the tints and, for what is
        known by its lightness, the shades of bare metal.
    least_unasked : float
        The same where the marking was not named.
    takes_light : bool
        Whether contact is darker than what is around it.
    """

    name: str
    kept: int | None
    start: tuple[float, float, float]
    least_contrast: float = LEAST_TINT
    least_unasked: float = LEAST_TINT
    takes_light: bool = True

    @property
    def axis(self) -> NDArray[np.float64]:
        """The starting colour axis, (3,)."""
        return np.array(self.start, dtype=np.float64)


MARKINGS = {
    m.name: m
    for m in (
        Marking("blue", BLUE, (-0.8, -0.2, 1.0)),
        # rust and oil stain metal as a thin red film would
        Marking("red", RED, (1.0, -0.5, -0.5), least_unasked=0.8),
        Marking("black", None, (-1 / 3, -1 / 3, -1 / 3), least_contrast=0.35, least_unasked=0.35),
        Marking(
            "rubbed",
            None,
            (1 / 3, 1 / 3, 1 / 3),
            least_contrast=1.2,
            least_unasked=1.2,
            takes_light=False,
        ),
    )
}

AUTO_ORDER = ("blue", "red", "black", "rubbed")


def marking_named(name: str) -> Marking:
    """Return the marking called `name`.

    Raises
    ------
    SettingsError
        Where there is none of that name.
    """
    try:
        return MARKINGS[name]
    except KeyError:
        known = ", ".join(("auto", *MARKINGS))
        raise SettingsError(f"Unknown marking {name!r}; choose one of {known}.") from None
