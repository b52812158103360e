"""The values a target can ask for, as a shop reads and gives them: named, and in its units."""

from collections.abc import Mapping

from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.errors import SettingsError
from scrapeview.targets import NO_TARGET, OWN, SURE_WORDS, Asked, Origin, Sure, Target
from scrapeview.units import MM_PER_INCH

DENSITY, LENGTH = "1/in2", "mm"
"""Units of the package that a shop may see in its own."""
FOUR_DIGITS = "%.4g"
"""How a field shows a value."""

_SHORT = {
    "ppsi_least": "{points}, whole face",
    "square_ppsi_least": "{points}, any square",
    "contact_least_percent": "Contact, {unit}",
    "contact_most_percent": "Contact, {unit}",
    "bare_circle_most_mm": "Bare circle, {unit}",
    "spread_most_percent": "Spread of squares, {unit}",
    "balance_most_percent": "Ends, sides, rails differ, {unit}",
    "haze_most_percent": "Film between points, {unit}",
    "prints_apart_most_percent": "Two prints differ, {unit}",
}
SURE_LETTERS: dict[Sure, str] = {
    "read": "R",
    "second-hand": "Q",
    "practice": "P",
    "suggestion": "S",
    "own": "O",
}
"""Read, Quoted, Practice, Suggestion, Own: what stands beside each value of the table."""

Given = Mapping[str, tuple[float | None, Origin]]
"""Values of a target in the package's units with their origins, by name."""


def is_least(asked: Asked) -> bool:
    """Whether a value is asked at least, not at most."""
    return "_least" in asked.name


def short_name(asked: Asked, units: Units) -> str:
    """Return the head of a value's column: Bare circle, mm."""
    unit = _unit(asked, units)
    return _SHORT[asked.name].format(points=f"Points/{points_unit(units)}", unit=unit)


def long_name(asked: Asked, units: Units) -> str:
    """Return the label of a value's field, with its unit."""
    named = _capital(meaning_in(asked, units))
    return named if asked.unit == DENSITY else f"{named}, {_unit(asked, units)}"


def meaning_in(asked: Asked, units: Units) -> str:
    """Return what a value means, counting as the shop does."""
    return (
        asked.meaning if units == "inch" else asked.meaning.replace("square inch", "25 mm square")
    )


def hint_of(asked: Asked) -> str | None:
    """Return what is to be said of a value beyond its label; None where there is nothing."""
    return asked.meaning.partition(": ")[2].capitalize() or None


def _unit(asked: Asked, units: Units) -> str:
    if asked.unit == LENGTH and units == "inch":
        return "in"
    return f"per {points_unit(units)}" if asked.unit == DENSITY else asked.unit


def shown_value(asked: Asked, value: float, units: Units) -> float:
    """Return a value in the shop's units, to four digits."""
    return float(f"{value * _shown_by_one(asked, units):.4g}")


def stored_value(
    asked: Asked, given: float | None, units: Units, before: float | None = None
) -> float | None:
    """Return what was given in the shop's units in the package's.

    Parameters
    ----------
    asked : Asked
    given : float or None
    units : {"metric", "inch"}
    before : float or None
        What stood in the field; given untouched, it stays exactly as it was.

    Raises
    ------
    SettingsError
        Where it is out of its range.
    """
    if given is None:
        return None
    if before is not None and given == shown_value(asked, before, units):
        return before
    by_one = _shown_by_one(asked, units)
    most = shown_value(asked, asked.most, units)
    if not 0 <= given <= most:
        raise SettingsError(f"{long_name(asked, units)}: give 0 to {most:g}, not {given:g}.")
    return min(given / by_one, asked.most)


def _shown_by_one(asked: Asked, units: Units) -> float:
    if asked.unit == DENSITY:
        return points_by(1.0, units)
    return 1.0 / MM_PER_INCH if asked.unit == LENGTH and units == "inch" else 1.0


def step_of(asked: Asked, units: Units) -> float:
    """Return by how much the buttons of a value's field change it."""
    return 0.125 if asked.unit == LENGTH and units == "inch" else 1.0


def value_words(asked: Asked, value: float, units: Units) -> str:
    """Return a value with the side of it that is asked: ≥ 19.4, ≤ 12.7."""
    return f"{'≥' if is_least(asked) else '≤'} {shown_value(asked, value, units):.3g}"


def origin_given(asked: Asked, sure: Sure, source: str, units: Units) -> Origin:
    """Return where a value comes from as it was given.

    Raises
    ------
    SettingsError
        Where it is called published without naming where.
    """
    source = " ".join(source.split())
    if sure in ("read", "second-hand") and not source:
        raise SettingsError(
            f"{_capital(meaning_in(asked, units))}: it is said to be published, so name its "
            f"source, or choose '{SURE_WORDS['practice']}' or '{SURE_WORDS['own']}'."
        )
    return Origin(sure, source)


def target_given(name: str, given: Given) -> Target:
    """Return the target that was given.

    Raises
    ------
    SettingsError
        Where it cannot be, as least above most.
    """
    return Target(
        name=" ".join(name.split()),
        origins=tuple((key, origin) for key, (_, origin) in given.items() if origin != OWN),
        **{key: value for key, (value, _) in given.items()},
    )


def with_own_values(target: Target, values: Mapping[str, float | None], name: str) -> Target:
    """Return a target with the values of one face; those that differ are the shop's own.

    Parameters
    ----------
    target : Target
    values : mapping of str to float or None
        In the package's units, by name.
    name : str
        What it is called where there is no target.

    Raises
    ------
    SettingsError
        Where a value is out of its range.
    """
    if all(getattr(target, key) == value for key, value in values.items()):
        return target
    given = {
        key: (value, target.origin(key) if value == getattr(target, key) else OWN)
        for key, value in values.items()
    }
    return target_given(name if target == NO_TARGET else target.name, given)


def _capital(meaning: str) -> str:
    told = meaning.partition(":")[0]
    return told[:1].upper() + told[1:]
