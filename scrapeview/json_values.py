"""The values a stored reading is made of, to JSON and back, each checked on the way in."""

import base64
import binascii
import math
import zlib
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from scrapeview.columns import columns_of, table
from scrapeview.errors import ReadingError

NOT_FINITE = {"inf": math.inf, "-inf": -math.inf, "nan": math.nan}
"""Numbers that JSON cannot hold, and the strings that stand for them."""
LARGEST_MASK_PX = 400_000_000
MASK_LEVEL = 5
"""How hard masks are pressed: 6 % larger than at best, in a thirtieth of the time."""


def wrong(where: str) -> ReadingError:
    """Return the error that says which field is damaged."""
    return ReadingError(f"The stored reading is damaged: '{where}' is not what it should be.")


def of_kind(stored: Any, kind: type, where: str) -> Any:
    """Return what is stored where it is of the kind due, else raise ReadingError."""
    if not isinstance(stored, kind):
        raise wrong(where)
    return stored


def one_of(stored: Any, choices: tuple[Any, ...], where: str) -> Any:
    """Return what is stored where it is one of the texts allowed, else raise ReadingError."""
    if not isinstance(stored, str) or stored not in choices:
        raise wrong(where)
    return stored


def float_out(value: float) -> float | str:
    """Return a number for JSON; one that is not finite as a string."""
    number = float(value)
    if math.isfinite(number):
        return number
    return "nan" if math.isnan(number) else ("inf" if number > 0 else "-inf")


def float_in(stored: Any, where: str) -> float:
    """Return the number that `float_out` wrote, else raise ReadingError."""
    if isinstance(stored, str) and stored in NOT_FINITE:
        return NOT_FINITE[stored]
    if isinstance(stored, bool) or not isinstance(stored, (int, float)):
        raise wrong(where)
    try:
        return float(stored)
    except OverflowError:
        raise wrong(where) from None


def int_in(stored: Any, where: str) -> int:
    """Return a whole number, else raise ReadingError."""
    if isinstance(stored, bool) or not isinstance(stored, int):
        raise wrong(where)
    return stored


def bool_in(stored: Any, where: str) -> bool:
    """Return true or false, else raise ReadingError."""
    return bool(of_kind(stored, bool, where))


def text_in(stored: Any, where: str) -> str:
    """Return a text, else raise ReadingError."""
    return str(of_kind(stored, str, where))


PLAIN: dict[type, tuple[Callable[[Any], Any], Callable[[Any, str], Any]]] = {
    bool: (bool, bool_in),
    int: (int, int_in),
    float: (float_out, float_in),
    str: (str, text_in),
}
"""How each plain type is written and read."""


def _kind_of(dtype: str) -> type:
    return {"f": float, "b": bool}.get(np.dtype(dtype).kind, int)


def table_out(frame: pd.DataFrame, name: str) -> dict[str, Any]:
    """Return a table as lists by column; one without exactly its own columns is refused."""
    columns = columns_of(name)
    if [(c.name, c.dtype) for c in columns] != [(n, str(t)) for n, t in frame.dtypes.items()]:
        raise ReadingError(f"The table '{name}' of this reading does not have its own columns.")
    out = {c.name: PLAIN[_kind_of(c.dtype)][0] for c in columns}
    return {n: [write(v) for v in frame[n].tolist()] for n, write in out.items()}


def table_in(stored: Any, name: str) -> pd.DataFrame:
    """Return the table that `table_out` wrote, typed also when empty, else raise ReadingError."""
    columns = columns_of(name)
    held = of_kind(stored, dict, name)
    if set(held) != {c.name for c in columns}:
        raise wrong(name)
    values = {}
    for column in columns:
        where = f"{name}.{column.name}"
        read = PLAIN[_kind_of(column.dtype)][1]
        values[column.name] = [read(v, where) for v in of_kind(held[column.name], list, where)]
    try:
        return table(name, dict(values))
    except (ValueError, OverflowError):
        raise wrong(name) from None


def polygon_in(stored: Any, where: str) -> np.ndarray:
    """Return a polygon, (N, 2), from a list of pairs, else raise ReadingError."""
    rows = [of_kind(row, list, where) for row in of_kind(stored, list, where)]
    if not rows or any(len(row) != 2 for row in rows):
        raise wrong(where)
    return np.array([[float_in(v, where) for v in row] for row in rows], dtype=np.float64)


def mask_out(mask: np.ndarray) -> dict[str, Any]:
    """Return a mask as its shape and its bits, packed and deflated."""
    packed = zlib.compress(np.packbits(mask, axis=None).tobytes(), MASK_LEVEL)
    return {
        "shape": list(mask.shape),
        "packed_bits_zlib_base64": base64.b64encode(packed).decode("ascii"),
    }


def mask_in(stored: Any, where: str) -> np.ndarray:
    """Return the mask that `mask_out` wrote, else raise ReadingError."""
    held = of_kind(stored, dict, where)
    if set(held) != {"shape", "packed_bits_zlib_base64"}:
        raise wrong(where)
    shape = [int_in(side, where) for side in of_kind(held["shape"], list, where)]
    if len(shape) != 2 or min(shape) < 0 or shape[0] * shape[1] > LARGEST_MASK_PX:
        raise wrong(where)
    size = shape[0] * shape[1]
    bits = _unpacked(text_in(held["packed_bits_zlib_base64"], where), -(-size // 8), where)
    return np.unpackbits(bits, count=size).astype(bool).reshape(shape)


def _unpacked(text: str, expected: int, where: str) -> np.ndarray:
    unpacker = zlib.decompressobj()
    try:
        # never more than is due, so that a damaged text cannot fill the memory
        data = unpacker.decompress(base64.b64decode(text, validate=True), expected + 1)
    except (binascii.Error, ValueError, zlib.error):
        raise wrong(where) from None
    if len(data) != expected or not unpacker.eof:
        raise wrong(where)
    return np.frombuffer(data, dtype=np.uint8)
