"""Sheets cover the face, overlap, and are as few as the paper allows."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from known_sheets import box

from scrapeview.errors import SettingsError
from scrapeview.sheet import PAPERS, layout_for
from scrapeview.sheet.layout import OVERLAP_MM, row_letters, window_mm

A4 = PAPERS["a4"]


def covers(layout, places):
    held = np.zeros(len(places), dtype=bool)
    for tile in layout.tiles:
        low, size = np.array([[tile.x_mm, tile.y_mm], [tile.width_mm, tile.height_mm]])
        held |= ((places >= low) & (places <= low + size)).all(axis=1)
    return held


@settings(max_examples=40)
@given(st.floats(5, 2500), st.floats(5, 900), st.sampled_from(sorted(PAPERS)))
def test_every_place_of_a_face_is_on_a_sheet(width, height, paper):
    layout = layout_for([box(-7, 3, width, height)], PAPERS[paper])
    share = np.linspace(0, 1, 23)
    places = np.array([(-7 + a * width, 3 + b * height) for a in share for b in share])
    assert covers(layout, places).all()
    assert len(layout.tiles) == layout.rows * layout.columns
    for tile in layout.tiles:
        beside = [t for t in layout.tiles if (t.row, t.column) == (tile.row, tile.column + 1)]
        for other in beside:
            assert tile.x_mm + tile.width_mm - other.x_mm == pytest.approx(OVERLAP_MM)
            assert tile.y_mm == other.y_mm


@settings(max_examples=40)
@given(st.floats(5, 2500), st.floats(5, 900))
def test_the_paper_is_turned_so_that_sheets_are_fewest(width, height):
    chosen = layout_for([box(0, 0, width, height)], A4)
    for paper in (A4, A4.turned()):
        inner = np.array(window_mm(paper)) - OVERLAP_MM
        counts = np.ceil((np.array([width, height]) + 4 - OVERLAP_MM) / inner - 1e-9)
        assert len(chosen.tiles) <= np.maximum(1, counts).prod()


def test_a_long_way_lies_along_the_paper_and_a_small_face_on_one_sheet():
    way = layout_for([box(0, 0, 1200, 60)], A4)
    assert (way.paper.width_mm, way.rows) == (297.0, 1)
    assert [tile.name for tile in way.tiles] == ["A1", "A2", "A3", "A4", "A5"]
    upright = layout_for([box(0, 0, 60, 1200)], A4)
    assert [tile.name for tile in upright.tiles] == ["A1", "B1", "C1", "D1", "E1", "F1"]
    assert len(layout_for([box(0, 0, 220, 150)], A4).tiles) == 1


def test_a_sheet_that_shows_nothing_is_left_out():
    bent = [box(0, 0, 800, 60), box(0, 60, 60, 500)]
    layout = layout_for(bent, A4)
    names = {tile.name for tile in layout.tiles}
    assert "A1" in names
    assert len(names) < layout.rows * layout.columns
    corners = np.concatenate(bent)
    assert covers(layout, corners).all()


def test_a_face_of_too_many_sheets_is_refused():
    with pytest.raises(SettingsError, match="sheets of A4"):
        layout_for([box(0, 0, 9000, 6000)], A4)


def test_rows_are_lettered_on_past_z():
    assert [row_letters(n) for n in (0, 1, 25, 26, 27, 51, 52)] == [
        "A", "B", "Z", "AA", "AB", "AZ", "BA",
    ]  # fmt: skip
