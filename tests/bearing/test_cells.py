"""Cells and sliding squares of masks with known sums."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.measure import block_reduce

from scrapeview.bearing import measure_cells, sliding_squares, sums_of

PX = 4.0


def face_of(width_mm, height_mm):
    face = np.ones((round(height_mm * PX), round(width_mm * PX)), bool)
    return face, (0.5 / PX, 0.5 / PX), (0.0, 0.0, width_mm, height_mm)


def points_at(xy):
    return pd.DataFrame(np.reshape(xy, (-1, 2)), columns=["x_mm", "y_mm"])


def test_cells_are_scikit_images_block_sums():
    face, origin, bounds = face_of(60, 45)
    rng = np.random.default_rng(1)
    contact = rng.random(face.shape) < 0.3
    cells = measure_cells(sums_of(face, contact, PX, origin), points_at([]), bounds, 15.0)
    blocks = block_reduce(contact, (60, 60), np.sum)
    got = cells.pivot(index="row", columns="column", values="contact_percent").to_numpy()
    assert got == pytest.approx(100 * blocks / 3600)
    assert (cells["area_mm2"] == 225).all()


def test_cells_at_the_far_sides_hold_what_is_left():
    face, origin, bounds = face_of(60, 40)
    sums = sums_of(face, face, PX, origin)
    cells = measure_cells(sums, points_at([(59.9, 39.9), (0.1, 0.1)]), bounds, 25.0)
    assert cells[["column", "row"]].max().tolist() == [2, 1]
    assert cells["area_mm2"].sum() == pytest.approx(60 * 40)
    corner = cells[(cells["column"] == 2) & (cells["row"] == 1)].iloc[0]
    assert corner["area_mm2"] == pytest.approx(10 * 15)
    assert corner["points"] == 1
    assert corner["points_per_square_inch"] == pytest.approx(645.16 / 150)
    assert corner["points_per_25mm_square"] == pytest.approx(625 / 150)
    assert not corner["enough_area"]
    assert cells["enough_area"].sum() == 4


@given(st.integers(0, 10**6), st.floats(7, 30))
def test_cells_add_up_to_the_face(seed, cell_mm):
    rng = np.random.default_rng(seed)
    face, origin, bounds = face_of(50, 35)
    face &= rng.random(face.shape) < 0.9
    contact = face & (rng.random(face.shape) < 0.4)
    points = points_at(rng.uniform((0, 0), (50, 35), (40, 2)))
    cells = measure_cells(sums_of(face, contact, PX, origin), points, bounds, cell_mm)
    assert cells["area_mm2"].sum() == pytest.approx(face.sum() / PX**2)
    assert cells["points"].sum() == 40
    held = (cells["contact_percent"] * cells["area_mm2"]).sum() / 100
    assert held == pytest.approx(contact.sum() / PX**2)


def test_cells_without_any_face_are_left_out():
    face, origin, bounds = face_of(60, 30)
    face[:, 80:160] = False
    cells = measure_cells(sums_of(face, face, PX, origin), points_at([]), bounds, 20.0)
    assert sorted(cells["column"].unique()) == [0, 2]


@given(st.integers(0, 10**6))
def test_the_worst_square_is_no_better_than_the_worst_whole_cell(seed):
    rng = np.random.default_rng(seed)
    face, origin, bounds = face_of(80, 54)
    contact = rng.random(face.shape) < 0.3
    points = points_at(rng.uniform((0, 0), (80, 54), (60, 2)))
    sums = sums_of(face, contact, PX, origin)
    # a side of whole millimetres, so that the cells are among the sliding squares
    cells = measure_cells(sums, points, bounds, 25.0)
    whole = cells[cells["area_mm2"] >= 624.9]
    worst, best = sliding_squares(sums, points, bounds, 25.0)
    assert worst.points_per_square_inch <= whole["points_per_square_inch"].min() + 1e-9
    assert best.points_per_square_inch >= whole["points_per_square_inch"].max() - 1e-9


def test_a_bare_square_off_the_grid_is_found():
    face, origin, bounds = face_of(90, 60)
    lattice = np.stack(np.meshgrid(np.arange(2.5, 90, 5), np.arange(2.5, 60, 5)), -1).reshape(-1, 2)
    hole = (np.abs(lattice - (45, 30)) < 13).all(axis=1)
    points = points_at(lattice[~hole])
    sums = sums_of(face, np.zeros_like(face), PX, origin)
    worst, best = sliding_squares(sums, points, bounds, 25.0)
    assert worst.points == 0
    # points around it lie at 27.5 and 62.5 mm, at 12.5 and 47.5 mm
    assert 27.5 < worst.x_mm <= 37.5
    assert 12.5 < worst.y_mm <= 22.5
    assert best.points == 25
    assert best.points_per_25mm_square == pytest.approx(25)
    assert best.points_per_square_inch == pytest.approx(25 * 1.032256)


def test_contact_decides_between_squares_of_equal_points():
    face, origin, bounds = face_of(80, 40)
    contact = np.zeros_like(face)
    contact[:, 160:] = True
    worst, best = sliding_squares(sums_of(face, contact, PX, origin), points_at([]), bounds, 20.0)
    assert worst.contact_percent == 0
    assert best.contact_percent == 100
    assert best.x_mm >= 40


def test_a_face_narrower_than_a_square_still_has_one():
    face, origin, bounds = face_of(90, 12)
    worst, _ = sliding_squares(sums_of(face, face, PX, origin), points_at([]), bounds, 25.0)
    assert worst.area_mm2 == pytest.approx(25 * 12, rel=0.02)


def test_no_face_has_no_square():
    face, origin, bounds = face_of(30, 20)
    nothing = np.zeros_like(face)
    assert sliding_squares(sums_of(nothing, nothing, PX, origin), points_at([]), bounds, 25) is None
