"""Targets a face is scraped to, each with where it comes from."""

from dataclasses import dataclass

from scrapeview.errors import SettingsError


@dataclass(frozen=True, kw_only=True)
class Target:
    """What a face is scraped to; None where nothing is asked.

    Parameters
    ----------
    name : str
        Kind of face, in the trade's words.
    contact_least_percent, contact_most_percent : float or None
        Contact, 0-100 %.
    ppsi_least : float or None
        Points per square inch, 0-500.
    source : str
        Where the values come from; "common practice, no source" where there is none.

    Raises
    ------
    SettingsError
        Where a value is out of its range or least is above most.
    """

    name: str
    contact_least_percent: float | None = None
    contact_most_percent: float | None = None
    ppsi_least: float | None = None
    source: str = "your own"

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise SettingsError("A target needs a name, such as the kind of face it is for.")
        for value in (self.contact_least_percent, self.contact_most_percent):
            if value is not None and not 0 <= value <= 100:
                raise SettingsError(f"Contact in the target '{self.name}' must be 0 to 100 %.")
        if self.ppsi_least is not None and not 0 <= self.ppsi_least <= 500:
            raise SettingsError(f"Points per in2 in the target '{self.name}' must be 0 to 500.")
        least, most = self.contact_least_percent, self.contact_most_percent
        if least is not None and most is not None and least > most:
            raise SettingsError(f"The target '{self.name}' asks for more contact than it allows.")


NO_TARGET = Target(name="no target", source="")
PRACTICE = "common practice, no source"

SHIPPED_TARGETS = (
    Target(name="rough scraping", ppsi_least=5, source=PRACTICE),
    Target(
        name="general ways", ppsi_least=10, contact_least_percent=40, contact_most_percent=60,
        source=PRACTICE,
    ),
    Target(
        name="precision ways", ppsi_least=20, contact_least_percent=40, contact_most_percent=60,
        source=PRACTICE,
    ),
    Target(name="reference faces", ppsi_least=25, source=PRACTICE),
    Target(
        name="cast-iron surface plate, grade 0", contact_least_percent=20,
        source="ISO 8512-1:1990 bearing area, as quoted by AS 1004.1-1998",
    ),
    Target(
        name="cast-iron surface plate, grade 1", contact_least_percent=15,
        source="ISO 8512-1:1990 bearing area, as quoted by AS 1004.1-1998",
    ),
    Target(
        name="cast-iron surface plate, grades 2 and 3", contact_least_percent=10,
        source="ISO 8512-1:1990 bearing area, as quoted by AS 1004.1-1998",
    ),
)  # fmt: skip
