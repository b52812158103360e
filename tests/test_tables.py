"""Tables as files: each kind reads back equal, typed also when empty, with its units told."""

import json
import math
from io import BytesIO

import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview.columns import COLUMNS, columns_of, table
from scrapeview.tables import KINDS, MIME, table_bytes

TABLES = tuple(dict.fromkeys(column.table for column in COLUMNS))
EVERY_FLOAT = st.floats(allow_nan=True, allow_infinity=True)
LINES = st.text(st.characters(codec="utf-8", exclude_characters="\r\0"), max_size=12)


def read_back(data, kind, like):
    """Read a file with a plain reader of its kind, into the column types that are documented."""
    dtypes = {name: str(dtype) for name, dtype in like.dtypes.items()}
    if kind == "parquet":
        return pd.read_parquet(BytesIO(data))
    if kind == "json":
        records = json.loads(data, parse_constant=pytest.fail)
        values = {name: [record[name] for record in records] for name in dtypes}
        return pd.DataFrame({n: np.asarray(v, dtype=dtypes[n]) for n, v in values.items()})
    floats = [name for name, dtype in dtypes.items() if dtype.startswith("float")]
    return pd.read_csv(
        BytesIO(data), dtype=dtypes,
        keep_default_na=False, na_values={name: [""] for name in floats},
    )  # fmt: skip


def some_passes(texts, numbers):
    """A table of passes that holds these texts and numbers wherever they fit."""
    values = {}
    for column in columns_of("passes"):
        kind = np.dtype(column.dtype).kind if column.dtype != "str" else "s"
        values[column.name] = {
            "s": texts,
            "f": numbers,
            "b": [len(t) % 2 == 0 for t in texts],
            "i": [len(t) for t in texts],
        }[kind]
    return table("passes", values)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["points", "cells", "regions", "sizes"])
def test_a_reading_s_tables_read_back_equal(name, kind, reading):
    frame = getattr(reading("plain", 2), name)
    assert len(frame) > 0
    back = read_back(table_bytes(frame, kind), kind, frame)
    pd.testing.assert_frame_equal(back, frame, check_exact=True)


@pytest.mark.parametrize("kind", KINDS)
@given(rows=st.lists(st.tuples(LINES, EVERY_FLOAT), max_size=4))
def test_any_text_and_number_reads_back_equal(kind, rows):
    frame = some_passes([text for text, _ in rows], [number for _, number in rows])
    back = read_back(table_bytes(frame, kind), kind, frame)
    pd.testing.assert_frame_equal(back, frame, check_exact=True)


@pytest.mark.parametrize("name", TABLES)
def test_empty_tables_keep_their_columns(name):
    frame = table(name)
    names = [column.name for column in columns_of(name)]
    assert table_bytes(frame, "csv").decode() == ",".join(names) + "\n"
    assert json.loads(table_bytes(frame, "json")) == []
    pd.testing.assert_frame_equal(read_back(table_bytes(frame, "parquet"), "parquet", frame), frame)


@pytest.mark.parametrize("name", TABLES)
def test_parquet_tells_unit_and_meaning_of_each_column(name):
    schema = pq.read_schema(BytesIO(table_bytes(table(name), "parquet")))
    told = [(f.metadata[b"unit"].decode(), f.metadata[b"meaning"].decode()) for f in schema]
    assert told == [(c.unit, c.meaning) for c in columns_of(name)]


def test_columns_of_no_table_are_written_untold():
    frame = table("cells").assign(own_number=np.array([], dtype="int64"))
    schema = pq.read_schema(BytesIO(table_bytes(frame, "parquet")))
    assert schema.field("own_number").metadata is None
    assert schema.field("x_mm").metadata[b"meaning"] == b"left side of the cell"


def test_json_says_null_where_there_is_no_number_and_keeps_lists():
    frame = pd.DataFrame({"hours": [math.nan, 1.5], "trend_ppsi": [[3.0, math.nan], []]})
    records = json.loads(table_bytes(frame, "json"), parse_constant=pytest.fail)
    assert records == [
        {"hours": None, "trend_ppsi": [3.0, None]},
        {"hours": 1.5, "trend_ppsi": []},
    ]


def test_csv_has_one_line_a_row_of_names_with_their_units(reading):
    frame = reading("plain", 2).points
    lines = table_bytes(frame, "csv").decode("ascii").splitlines()
    assert len(lines) == len(frame) + 1
    assert lines[0].startswith("x_mm,y_mm,area_mm2,")


def test_every_kind_has_its_media_type_and_no_other_is_known():
    assert set(MIME) == set(KINDS)
    with pytest.raises(ValueError, match="csv, parquet, json"):
        table_bytes(table("cells"), "xlsx")
