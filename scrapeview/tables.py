"""Tables as files: CSV, Parquet and JSON, with units in the names and, in Parquet, beside them."""

import json
import math
from io import BytesIO
from typing import Any, Literal, get_args

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from scrapeview.columns import COLUMNS, Column

Kind = Literal["csv", "parquet", "json"]
KINDS: tuple[str, ...] = get_args(Kind)
"""Kinds of file a table can be had as; each is also the file's ending."""
MIME = {
    "csv": "text/csv",
    "parquet": "application/vnd.apache.parquet",
    "json": "application/json",
}


def table_bytes(frame: pd.DataFrame, kind: str) -> bytes:
    """Return a table as the bytes of a file.

    Parameters
    ----------
    frame : DataFrame
        Any of the tables; its index is left out. Names say the units, as in `COLUMNS`.
    kind : {"csv", "parquet", "json"}
        csv: one line of names, numbers to the last bit, nothing where there is no number.
        parquet: typed also when empty; unit and meaning of each column in its metadata.
        json: a list of records, one a line; null where there is no number.

    Raises
    ------
    ValueError
        Where there is no such kind.
    """
    if kind not in KINDS:
        raise ValueError(f"There is no kind of table '{kind}': choose one of {', '.join(KINDS)}.")
    return {"csv": _csv, "parquet": _parquet, "json": _json}[kind](frame)


def _csv(frame: pd.DataFrame) -> bytes:
    return frame.to_csv(index=False, lineterminator="\n").encode("utf-8")


def _json(frame: pd.DataFrame) -> bytes:
    plain = {name: [_plain(v) for v in column.tolist()] for name, column in frame.items()}
    rows = zip(*plain.values(), strict=True)
    lines = [json.dumps(dict(zip(plain, row, strict=True)), allow_nan=False) for row in rows]
    return ("[\n" + ",\n".join(lines) + "\n]\n" if lines else "[]\n").encode("utf-8")


def _plain(value: Any) -> Any:
    """Return a value that strict JSON can hold."""
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None if math.isnan(value) else ("inf" if value > 0 else "-inf")
    return value


def _parquet(frame: pd.DataFrame) -> bytes:
    table = pa.Table.from_pandas(frame, preserve_index=False)
    for number, field in enumerate(table.schema):
        described = _described(field.name, list(frame.columns))
        if described is not None:
            told = field.with_metadata({"unit": described.unit, "meaning": described.meaning})
            table = table.set_column(number, told, table.column(number))
    held = BytesIO()
    pq.write_table(table, held)
    return held.getvalue()


def _described(name: str, beside: list[str]) -> Column | None:
    """Return the column of that name, of the table that shares most names with those beside it."""
    names = set(beside)
    found = [column for column in COLUMNS if column.name == name]
    shared = {c.table: sum(o.name in names for o in COLUMNS if o.table == c.table) for c in found}
    return max(found, key=lambda column: shared[column.table], default=None)
