"""What holds for the whole shop: its targets and the names of its scrapers, from the record."""

from collections.abc import Sequence

from scrapeview.errors import SettingsError
from scrapeview.record import Record
from scrapeview.targets import NO_TARGET, SHIPPED_TARGETS, Target

NEW_TARGET = "a new target"
"""What stands among the names of targets for one that is yet to be added."""


def shop_targets(record: Record) -> tuple[Target, ...]:
    """Return the shop's targets, those shipped with the program where it has set none.

    Raises
    ------
    SettingsError
        Where what is stored is no target.
    """
    stored = record.setting("targets", None)
    if stored is None:
        return SHIPPED_TARGETS
    try:
        return tuple(Target.from_dict(values) for values in stored)
    except (TypeError, SettingsError):
        raise SettingsError(
            "The targets in the record cannot be understood: set them anew on the page Settings."
        ) from None


def keep_targets(record: Record, targets: Sequence[Target]) -> None:
    """Keep the shop's targets.

    Raises
    ------
    SettingsError
        Where two targets have the same name.
    """
    names = [target.name for target in targets]
    alike = [name.casefold() for name in (*names, NO_TARGET.name, NEW_TARGET)]
    for name in names:
        if alike.count(name.casefold()) > 1:
            raise SettingsError(f"There is a target '{name}' already: give each its own name.")
    record.set_setting("targets", [target.as_dict() for target in targets])


def scrapers(record: Record) -> tuple[str, ...]:
    """Return the names of those who scrape in this shop."""
    return tuple(str(name) for name in record.setting("scrapers", []))


def keep_scrapers(record: Record, names: Sequence[str]) -> None:
    """Keep the names of those who scrape, each once, without blanks around them."""
    record.set_setting(
        "scrapers", list(dict.fromkeys(name.strip() for name in names if name.strip()))
    )
