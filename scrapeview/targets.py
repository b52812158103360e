"""Targets a face is scraped to; each value with where it comes from and how sure that is."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal, NamedTuple

from scrapeview.errors import SettingsError

Sure = Literal["read", "second-hand", "practice", "suggestion", "own"]
SURE_WORDS: dict[Sure, str] = {
    "read": "published, read in the source",
    "second-hand": "published, read in a text that quotes it",
    "practice": "common practice, no source",
    "suggestion": "our suggestion, no source",
    "own": "your own",
}


class Origin(NamedTuple):
    """Where a value comes from: how sure that is, and the source in words, "" where none is."""

    sure: Sure
    source: str = ""

    @property
    def words(self) -> str:
        """How sure it is, with the source."""
        told = SURE_WORDS[self.sure]
        return f"{told}: {self.source}" if self.source else told


OWN = Origin("own")


class Asked(NamedTuple):
    """A value a target can ask for: its unit, its range and what it means."""

    name: str
    unit: str
    most: float
    meaning: str


ASKED = (
    Asked("ppsi_least", "1/in2", 500, "points per square inch of the whole face, at least"),
    Asked("square_ppsi_least", "1/in2", 500, "points in any one square inch, at least"),
    Asked("contact_least_percent", "%", 100, "contact, at least"),
    Asked("contact_most_percent", "%", 100, "contact, at most: more wrings, and starves of oil"),
    Asked("bare_circle_most_mm", "mm", 1000, "largest circle without contact, at most"),
    Asked("spread_most_percent", "%", 500, "spread of the points between the squares, at most"),
    Asked("balance_most_percent", "%", 200, "ends, sides and rails differ by, at most"),
    Asked("haze_most_percent", "%", 100, "film between the points, at most"),
    Asked("prints_apart_most_percent", "%", 200, "two prints differ by, at most"),
)
"""All values a target can ask for; None where it does not."""
ASKED_BY_NAME = {asked.name: asked for asked in ASKED}


@dataclass(frozen=True, kw_only=True)
class Target:
    """What a face is scraped to; None where nothing is asked.

    Parameters
    ----------
    name : str
        Kind of face, in the trade's words.
    ppsi_least, square_ppsi_least, contact_least_percent, contact_most_percent : float or None
    bare_circle_most_mm, spread_most_percent, balance_most_percent : float or None
    haze_most_percent, prints_apart_most_percent : float or None
        Meanings and ranges as in `ASKED`.
    origins : tuple of (str, Origin)
        Where the values come from; what is not named is the user's own.

    Raises
    ------
    SettingsError
        Where a value is out of its range or least is above most.
    """

    name: str
    ppsi_least: float | None = None
    square_ppsi_least: float | None = None
    contact_least_percent: float | None = None
    contact_most_percent: float | None = None
    bare_circle_most_mm: float | None = None
    spread_most_percent: float | None = None
    balance_most_percent: float | None = None
    haze_most_percent: float | None = None
    prints_apart_most_percent: float | None = None
    origins: tuple[tuple[str, Origin], ...] = ()

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise SettingsError("A target needs a name, such as the kind of face it is for.")
        for asked in ASKED:
            value = getattr(self, asked.name)
            if value is not None and not 0 <= value <= asked.most:
                raise SettingsError(
                    f"In the target '{self.name}', {asked.meaning.partition(':')[0]}: give 0 to "
                    f"{asked.most:g} {asked.unit}, not {value:g}."
                )
        for least, most, what in _PAIRS:
            low, high = getattr(self, least), getattr(self, most)
            if low is not None and high is not None and low > high:
                raise SettingsError(f"The target '{self.name}' asks {what}.")
        told = {name: Origin(*origin) for name, origin in self.origins}
        for name, origin in told.items():
            if origin.sure not in SURE_WORDS or not isinstance(origin.source, str):
                raise SettingsError(f"The target '{self.name}' does not say where {name} is from.")
        held = {n: told[n] for n in sorted(told.keys() & ASKED_BY_NAME) if self._asked(n)}
        object.__setattr__(self, "origins", tuple(held.items()))

    def _asked(self, name: str) -> bool:
        return getattr(self, name) is not None

    def origin(self, name: str) -> Origin:
        """Return where one value comes from."""
        return dict(self.origins).get(name, OWN)

    @property
    def asks(self) -> bool:
        """Whether anything is asked at all."""
        return any(self._asked(asked.name) for asked in ASKED)

    def as_dict(self) -> dict[str, Any]:
        """Return the target as plain values for JSON."""
        asked = {asked.name: getattr(self, asked.name) for asked in ASKED}
        origins = {name: list(origin) for name, origin in self.origins}
        return {"name": self.name, **asked, "origins": origins}

    @classmethod
    def from_dict(cls, values: Mapping[str, Any]) -> "Target":
        """Return the target of `as_dict`, or of one kept with a single source for all values.

        Raises
        ------
        SettingsError
            Where it holds names that are not known, or values out of their range.
        """
        told = dict(values)
        source = told.pop("source", None)
        unknown = set(told) - {f.name for f in fields(cls)}
        if unknown:
            raise SettingsError(f"Unknown values of a target: {', '.join(sorted(unknown))}.")
        try:
            origins = dict(told.pop("origins", {}))
            if source is not None:
                origins |= {asked.name: origin_of_source(source) for asked in ASKED}
            return cls(**told, origins=tuple((n, Origin(*o)) for n, o in origins.items()))
        except (TypeError, ValueError, AttributeError):
            raise SettingsError("A target needs a name, and numbers for what it asks.") from None


_PAIRS = (
    ("contact_least_percent", "contact_most_percent", "for more contact than it allows"),
    ("square_ppsi_least", "ppsi_least", "for more points in any square than on the whole"),
)


def origin_of_source(source: str) -> Origin:
    """Return the origin that one source told for a whole target stands for."""
    if source in ("", SURE_WORDS["own"]):
        return OWN
    if source == SURE_WORDS["practice"]:
        return Origin("practice")
    return Origin("second-hand" if source.startswith("ISO 8512-1") else "own", source)


NO_TARGET = Target(name="no target")
_PLATES = Origin("second-hand", "ISO 8512-1:1990 bearing area, as quoted by AS 1004.1-1998")
_AS_PLATES = Origin("suggestion", "as ISO 8512-1:1990 asks of cast-iron plates of grade 0")
_PRACTICE = Origin("practice")
_SUGGESTED = Origin("suggestion")
_AS_GENERAL = Origin("suggestion", "as common practice has it for general slideways")
_AS_ROUGH = Origin("suggestion", "as common practice has it for rough bearing")
_NO_WRINGING = Origin("suggestion", "ISO 8512-1 asks that plates do not wring, and gives no number")
_WIDER_AT_ENDS = Origin(
    "suggestion", "a fitters' examination text asks for more and harder points at the ends"
)


def _shipped(name: str, **told: tuple[float, Origin]) -> Target:
    common = {
        "haze_most_percent": (15.0, _SUGGESTED),
        "prints_apart_most_percent": (25.0, _SUGGESTED),
    }
    all_told = common | told
    return Target(
        name=name,
        origins=tuple((key, origin) for key, (_, origin) in all_told.items()),
        **{key: value for key, (value, _) in all_told.items()},
    )


def _even(square: float, bare_mm: float, spread: float) -> dict[str, tuple[float, Origin]]:
    return {
        "square_ppsi_least": (square, _SUGGESTED),
        "bare_circle_most_mm": (bare_mm, _SUGGESTED),
        "spread_most_percent": (spread, _SUGGESTED),
        "balance_most_percent": (25.0, _SUGGESTED),
    }


SHIPPED_TARGETS = (
    _shipped(
        "reference face", ppsi_least=(25, _PRACTICE), contact_least_percent=(20, _AS_PLATES),
        contact_most_percent=(60, _NO_WRINGING), **_even(15, 12.7, 35),
    ),
    _shipped(
        "precision slideway", ppsi_least=(20, _PRACTICE), contact_least_percent=(40, _PRACTICE),
        contact_most_percent=(60, _PRACTICE), **_even(12, 12.7, 35),
    ),
    _shipped(
        "general slideway", ppsi_least=(10, _PRACTICE), contact_least_percent=(40, _PRACTICE),
        contact_most_percent=(60, _PRACTICE), **_even(5, 19.05, 45),
    ),
    _shipped(
        "gib", ppsi_least=(10, _AS_GENERAL), contact_least_percent=(40, _AS_GENERAL),
        contact_most_percent=(60, _AS_GENERAL), **_even(5, 19.05, 45),
    ),
    _shipped(
        "bonded liner", ppsi_least=(10, _AS_GENERAL), contact_least_percent=(40, _AS_GENERAL),
        contact_most_percent=(60, _AS_GENERAL), **_even(5, 19.05, 45),
    ),
    _shipped(
        "fixed joint", ppsi_least=(5, _AS_ROUGH), bare_circle_most_mm=(38.1, _SUGGESTED),
    ),
    _shipped(
        "plain bearing shell", ppsi_least=(10, _WIDER_AT_ENDS),
        bare_circle_most_mm=(19.05, _SUGGESTED),
    ),
    _shipped("cast-iron surface plate, grade 0", contact_least_percent=(20, _PLATES)),
    _shipped("cast-iron surface plate, grade 1", contact_least_percent=(15, _PLATES)),
    _shipped("cast-iron surface plate, grades 2 and 3", contact_least_percent=(10, _PLATES)),
)  # fmt: skip
