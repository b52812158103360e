"""The member record.json of an archive: the machine with all that was told of it."""

import dataclasses
import json
import math
from typing import Any, Literal, get_args, get_origin, get_type_hints

from scrapeview.archive_manifest import strict_json
from scrapeview.archive_members import RECORD, refusal, shown
from scrapeview.errors import ArchiveError, ScrapeviewError
from scrapeview.placements import Placement
from scrapeview.record.histories import MachineHistory
from scrapeview.targets import Target

EARLIER = {"source": str}
"""What targets told in format 1: one source for all values."""


def history_json(history: MachineHistory) -> bytes:
    """Return a machine's history as the bytes of its member."""
    told = dataclasses.asdict(history)
    return (json.dumps(told, indent=1, allow_nan=False) + "\n").encode()


def read_history(data: bytes) -> MachineHistory:
    """Return the history that `history_json` wrote.

    Raises
    ------
    ArchiveError
        Where a value is missing, not known, of the wrong kind or out of its range.
    """
    told = strict_json(data, RECORD)
    history: MachineHistory = _read(told, MachineHistory, "machine")
    return history


def _read(told: Any, hint: Any, where: str) -> Any:
    if hint is Target:
        # from its dictionary, which understands earlier formats too
        return _record(told, get_type_hints(Target) | EARLIER, _target, where)
    if hint is Placement and isinstance(told, str):
        # formats 1 and 2 told the name only
        return Placement(name=told)
    if dataclasses.is_dataclass(hint):
        return _record(told, get_type_hints(hint), hint, where)
    if type(None) in get_args(hint):
        (hint,) = (kind for kind in get_args(hint) if kind is not type(None))
        return None if told is None else _read(told, hint, where)
    if get_origin(hint) is Literal:
        return told if isinstance(told, str) and told in get_args(hint) else _wrong(where)
    if get_origin(hint) is tuple:
        return _listed(told, get_args(hint), where)
    if hasattr(hint, "_fields"):
        return hint(*_listed(told, tuple(get_type_hints(hint).values()), where))
    if hint is float:
        return _number(told, where)
    if isinstance(told, bool) or not isinstance(told, hint):
        _wrong(where)
    return told


def _record(told: Any, hints: dict[str, Any], made_from: Any, where: str) -> Any:
    if not isinstance(told, dict) or not set(told) <= set(hints):
        _wrong(where)
    values = {name: _read(value, hints[name], f"{where}.{name}") for name, value in told.items()}
    try:
        return made_from(**values)
    except TypeError:
        _wrong(where)
    except ScrapeviewError as error:
        raise refusal(f"{shown(where)} in it cannot be: {str(error).rstrip('.')}") from None


def _target(**told: Any) -> Target:
    return Target.from_dict(told)


def _listed(told: Any, kinds: tuple[Any, ...], where: str) -> tuple[Any, ...]:
    if not isinstance(told, list):
        _wrong(where)
    if kinds[-1] is not Ellipsis and len(told) != len(kinds):
        _wrong(where)
    each = kinds[:1] * len(told) if kinds[-1] is Ellipsis else kinds
    return tuple(_read(value, kind, where) for value, kind in zip(told, each, strict=True))


def _number(told: Any, where: str) -> float:
    if isinstance(told, bool) or not isinstance(told, (int, float)):
        _wrong(where)
    try:
        value = float(told)
    except OverflowError:
        _wrong(where)
    return value if math.isfinite(value) else _wrong(where)


def _wrong(where: str) -> Any:
    raise _damaged(where)


def _damaged(where: str) -> ArchiveError:
    return refusal(f"{shown(where)} in its record is not what it should be")
