"""Sizes and spacing of points on lattices that are known in closed form."""

import numpy as np
import pandas as pd
import pytest

from scrapeview.bearing import measure_evenness, size_classes
from scrapeview.bearing.evenness import spacing_index


def lattice(columns, rows, step, row_step=None, shift=0.0):
    x, y = np.meshgrid(np.arange(columns), np.arange(rows))
    return np.stack([step * (x + shift * (y % 2)), (row_step or step) * y], -1).reshape(-1, 2) * 1.0


def test_a_square_lattice_has_index_2():
    # P. J. Clark and F. C. Evans, Ecology 35 (1954); derived: a / (0.5 a)
    xy = lattice(12, 9, 5.68)
    assert spacing_index(xy, len(xy) * 5.68**2) == pytest.approx(2)


def test_a_hexagonal_lattice_has_the_greatest_index():
    # same source: 2 / sqrt(sin 60 deg) = 2.1491, derived
    xy = lattice(12, 9, 5.0, 5.0 * np.sqrt(3) / 2, 0.5)
    assert spacing_index(xy, len(xy) * 25 * np.sqrt(3) / 2) == pytest.approx(2.1491, abs=1e-4)


def test_a_random_scatter_has_index_1():
    rng = np.random.default_rng(11)
    # same source: standard error 0.5227 / n of the index; edges add a little
    indices = [spacing_index(rng.uniform((0, 0), (120, 80), (400, 2)), 9600) for _ in range(30)]
    assert np.mean(indices) == pytest.approx(1, abs=0.05)


@pytest.mark.parametrize("xy", [np.zeros((0, 2)), np.ones((1, 2))])
def test_fewer_than_two_points_have_no_spacing(xy):
    assert spacing_index(xy, 100.0) == 0


def test_size_classes_hold_every_point_and_all_of_its_area():
    diameters = np.array([0.9, 1.2, 1.2, 2.7, 4.5, 9.0, 14.0])
    points = pd.DataFrame({"diameter_mm": diameters, "area_mm2": np.pi / 4 * diameters**2})
    classes = size_classes(points)
    assert classes["points"].sum() == 7
    assert classes["contact_share_percent"].sum() == pytest.approx(100)
    assert classes.set_index("from_mm").loc[1.0, "points"] == 2
    assert (classes["to_mm"].to_numpy()[:-1] == classes["from_mm"].to_numpy()[1:]).all()


def test_no_points_are_empty_classes():
    none = size_classes(pd.DataFrame({"diameter_mm": [], "area_mm2": []}, dtype=float))
    assert (none["points"] == 0).all()
    assert (none["contact_share_percent"] == 0).all()


def test_evenness_of_equal_cells_and_sizes():
    cells = pd.DataFrame(
        {
            "enough_area": [True, True, True, False],
            "points_per_square_inch": [10.0, 20.0, 30.0, 500.0],
            "contact_percent": [40.0, 40.0, 40.0, 0.0],
        }
    )
    xy = lattice(5, 4, 4.0)
    points = pd.DataFrame(xy, columns=["x_mm", "y_mm"])
    points["diameter_mm"] = np.linspace(1, 3, 20)
    evenness = measure_evenness(points, cells, 320.0)
    # cells with too little area are left out: 10, 20, 30 have mean 20 and deviation 10
    assert evenness.cell_points_spread_percent == pytest.approx(50)
    assert evenness.cell_contact_spread_percent == 0
    assert evenness.spacing_index == pytest.approx(2)
    assert evenness.median_diameter_mm == pytest.approx(2)
    assert evenness.small_diameter_mm == pytest.approx(1.2)
    assert evenness.large_diameter_mm == pytest.approx(2.8)
