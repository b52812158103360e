"""A reading to JSON and back, without loss: floats exact, tables typed, the mask bit by bit.

Strict JSON: numbers that JSON cannot hold are written as the strings "inf", "-inf" and "nan".
"""

import dataclasses
import json
import math
import types
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np
import pandas as pd

from scrapeview.errors import ReadingError, ScrapeviewError
from scrapeview.json_values import (
    PLAIN,
    float_out,
    mask_in,
    mask_out,
    of_kind,
    one_of,
    polygon_in,
    table_in,
    table_out,
    text_in,
    wrong,
)
from scrapeview.plane import Plane
from scrapeview.result import Reading
from scrapeview.settings import Settings

FORMAT = 3
"""Number of the layout below; it goes up when an older version could no longer read it.

2 knew only planes from picks by hand; it is read as it is.
"""
KIND = "scrapeview reading"


def to_json(reading: Reading) -> str:
    """Return a reading as strict JSON text, one field a line.

    `derived` repeats what follows from the other fields, for readers of the JSON alone.

    Raises
    ------
    ReadingError
        Where a table does not have the columns of its kind.
    """
    hints = _hints(Reading)
    stored: dict[str, Any] = {"kind": KIND, "format": FORMAT, "derived": _derived(reading)}
    for name, hint in hints.items():
        stored[name] = _encode(getattr(reading, name), hint, name)
    lines = (
        f"  {json.dumps(name)}: {json.dumps(value, allow_nan=False)}"
        for name, value in stored.items()
    )
    return "{\n" + ",\n".join(lines) + "\n}\n"


def from_json(text: str) -> Reading:
    """Return the reading that `to_json` wrote.

    Raises
    ------
    ReadingError
        Where the text is damaged, not a reading, of a newer format, or holds a wrong type.
    """
    stored = _parsed(text)
    if not isinstance(stored, dict) or stored.get("kind") != KIND:
        raise ReadingError("This is not a stored reading: give a file written with --json.")
    _require_known_format(stored.get("format"))
    if stored["format"] == 1:
        stored = _from_format_1(stored)
    hints = _hints(Reading)
    missing = [name for name in hints if name not in stored]
    if missing:
        raise ReadingError(f"The stored reading lacks {', '.join(missing)}: read the photo again.")
    reading = Reading(**{name: _decode(stored[name], hint, name) for name, hint in hints.items()})
    if not reading.px_per_mm > 0:
        raise wrong("px_per_mm")
    if not reading.regions_mm:
        raise wrong("regions_mm")
    return reading


def _from_format_1(stored: dict[str, Any]) -> dict[str, Any]:
    """Format 1 knew no corrections by hand."""
    points = stored.get("points")
    if isinstance(points, dict) and isinstance(points.get("mark"), list):
        points = {**points, "by_hand": [False] * len(points["mark"])}
    return {**stored, "points": points, "corrections": []}


def _derived(reading: Reading) -> dict[str, Any]:
    interval = reading.p25_interval
    return {
        "point_count": len(reading.points),
        "count_reliable": bool(reading.count_reliable),
        "points_per_25mm_square": float_out(reading.points_per_25mm_square),
        "p25_interval": {"low": float_out(interval.low), "high": float_out(interval.high)},
    }


def _require_known_format(number: object) -> None:
    if isinstance(number, bool) or not isinstance(number, int):
        raise ReadingError("The stored reading does not say which format it has: it is damaged.")
    if number > FORMAT:
        raise ReadingError(
            f"The stored reading has format {str(number)[:9]}, newer than the {FORMAT} this "
            "version knows: update scrapeview."
        )
    if number < 1:
        raise ReadingError(f"The stored reading has format {str(number)[:9]}, which never was.")


def _parsed(text: str) -> Any:
    try:
        return json.loads(text, parse_float=_strict_float, parse_constant=_refuse_constant)
    except (ValueError, TypeError, RecursionError):
        raise ReadingError("The stored reading is damaged: it is not whole JSON text.") from None


def _strict_float(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(text)
    return value


def _refuse_constant(text: str) -> float:
    raise ValueError(text)


@cache
def _hints(record: type) -> dict[str, Any]:
    known = get_type_hints(record)
    return {field.name: known[field.name] for field in dataclasses.fields(record) if field.init}


def _encode(value: Any, hint: Any, where: str) -> Any:
    if value is None:
        return None
    hint = _without_none(hint)
    if hint in PLAIN:
        return PLAIN[hint][0](value)
    if get_origin(hint) is Literal:
        return value
    if get_origin(hint) is tuple:
        return [_encode(v, h, where) for v, h in _items(value, hint, where)]
    if get_origin(hint) is dict:
        return dict(value)
    if hint is pd.DataFrame:
        return table_out(value, where)
    if _is_mask(hint):
        return mask_out(value)
    if _is_array(hint):
        return [[float_out(v) for v in row] for row in value]
    if hint in (Plane, Settings):
        return value.as_dict()
    return {n: _encode(getattr(value, n), h, f"{where}.{n}") for n, h in _hints(hint).items()}


def _decode(stored: Any, hint: Any, where: str) -> Any:
    if stored is None and _may_be_none(hint):
        return None
    hint = _without_none(hint)
    if hint in PLAIN:
        return PLAIN[hint][1](stored, where)
    if get_origin(hint) is Literal:
        return one_of(stored, get_args(hint), where)
    if get_origin(hint) is tuple:
        listed = of_kind(stored, list, where)
        return tuple(_decode(v, h, where) for v, h in _items(listed, hint, where))
    if get_origin(hint) is dict:
        pairs = of_kind(stored, dict, where)
        return {name: text_in(value, where) for name, value in pairs.items()}
    if hint is pd.DataFrame:
        return table_in(stored, where)
    if _is_mask(hint):
        return mask_in(stored, where)
    if _is_array(hint):
        return polygon_in(stored, where)
    if hint in (Plane, Settings):
        return _own_record_in(stored, hint, where)
    return _record_in(stored, hint, where)


def _record_in(stored: Any, record: type, where: str) -> Any:
    values = of_kind(stored, dict, where)
    hints = _hints(record)
    if set(values) != set(hints):
        raise wrong(where)
    return record(**{n: _decode(values[n], h, f"{where}.{n}") for n, h in hints.items()})


def _own_record_in(stored: Any, record: Any, where: str) -> Any:
    values = of_kind(stored, dict, where)
    try:
        with np.errstate(all="ignore"):
            made = record.from_dict(values)
    except (TypeError, ValueError, OverflowError, LookupError, ScrapeviewError):
        raise wrong(where) from None
    if set(made.as_dict()) != set(values):
        raise wrong(where)
    return made


def _items(values: Any, hint: Any, where: str) -> list[tuple[Any, Any]]:
    kinds = get_args(hint)
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return [(value, kinds[0]) for value in values]
    if len(values) != len(kinds):
        raise wrong(where)
    return list(zip(values, kinds, strict=True))


def _may_be_none(hint: Any) -> bool:
    return get_origin(hint) in (Union, types.UnionType) and type(None) in get_args(hint)


def _without_none(hint: Any) -> Any:
    if not _may_be_none(hint):
        return hint
    (kind,) = (h for h in get_args(hint) if h is not type(None))
    return kind


def _is_array(hint: Any) -> bool:
    return get_origin(hint) is np.ndarray


def _is_mask(hint: Any) -> bool:
    return _is_array(hint) and get_args(get_args(hint)[1]) == (np.bool_,)
