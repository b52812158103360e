"""One table of columns serves code, exports and docs."""

import numpy as np
import pytest

from scrapeview.columns import COLUMNS, columns_of, table
from scrapeview.flags import FLAG_NAMES, FLAGS

OF_A_READING = ("points", "cells", "regions", "sizes")
TABLES = (
    *OF_A_READING, "passes", "history", "faces", "eye_counts", "swing_tests", "film_calibrations",
    "line_checks", "moved", "compared", "places", "criteria", "balance", "to_take", "seams", "gaps",
    "joined",
)  # fmt: skip


def test_every_column_is_described_once():
    keys = [(column.table, column.name) for column in COLUMNS]
    assert len(set(keys)) == len(keys)
    assert {column.table for column in COLUMNS} == set(TABLES)
    for column in COLUMNS:
        assert column.meaning
        assert np.dtype(column.dtype)
        assert column.name.isidentifier()


@pytest.mark.parametrize(("ending", "unit"), [("_mm", "mm"), ("_mm2", "mm2"), ("_percent", "%")])
def test_names_carry_their_units(ending, unit):
    assert all((c.unit == unit) == c.name.endswith(ending) for c in COLUMNS)


def test_every_flag_is_a_column_of_points():
    flags = [column.name for column in columns_of("points") if column.dtype == "bool"]
    assert flags == list(FLAG_NAMES)
    assert all(flag.meaning for flag in FLAGS)


@pytest.mark.parametrize("name", TABLES)
def test_an_empty_table_is_typed(name):
    empty = table(name)
    assert len(empty) == 0
    assert {n: str(t) for n, t in empty.dtypes.items()} == {
        c.name: c.dtype for c in columns_of(name)
    }


@pytest.mark.parametrize("name", OF_A_READING)
@pytest.mark.parametrize("scene", ["plain", "merged", "blank"])
def test_a_reading_s_tables_have_these_columns(name, scene, reading):
    frame = getattr(reading(scene, 2), name)
    assert dict(frame.dtypes) == {c.name: np.dtype(c.dtype) for c in columns_of(name)}
    assert not frame.isna().any().any()


def test_a_missing_column_is_an_error():
    with pytest.raises(KeyError):
        table("sizes", {"from_mm": [], "to_mm": []})


def test_what_no_column_names_is_left_out():
    values = {column.name: [1] for column in columns_of("regions")} | {"other": [2]}
    assert "other" not in table("regions", values)
