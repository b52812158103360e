"""Exact conversions."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview import units


def test_one_square_inch_is_1_032256_squares_of_25_mm():
    # exact, from 1 in = 25.4 mm (derived)
    assert pytest.approx(1.032256, rel=1e-12) == units.SQUARES_25MM_PER_SQUARE_INCH
    assert pytest.approx(645.16) == units.MM2_PER_SQUARE_INCH


def test_20_points_per_square_inch_are_19_375_per_25_mm_square():
    # derived; and the other way 20 per 25 mm square are 20.645 per square inch
    assert units.per_25mm_square(20, 645.16) == pytest.approx(19.375, abs=5e-4)
    assert units.per_square_inch(20, 625.0) == pytest.approx(20.645, abs=5e-4)
    # 1 per cm2 = 6.4516 per square inch (derived)
    assert units.per_square_inch(1, 100.0) == pytest.approx(6.4516)


@pytest.mark.parametrize(
    ("ppsi", "pitch_mm", "disc_mm"),
    [(5, 11.359, 8.107), (10, 8.032, 5.732), (20, 5.680, 4.053), (40, 4.016, 2.866)],
)
def test_square_lattice_of_discs(ppsi, pitch_mm, disc_mm):
    # derived: pitch of a lattice at a density, disc that covers 40 % of it
    assert units.per_square_inch(1, pitch_mm**2) == pytest.approx(ppsi, rel=5e-4)
    assert np.pi / 4 * disc_mm**2 / pitch_mm**2 == pytest.approx(0.4, rel=1e-3)


@given(st.integers(0, 10**6), st.floats(1e-3, 1e7))
def test_both_densities_stand_in_the_exact_ratio(count, area_mm2):
    ratio = units.SQUARES_25MM_PER_SQUARE_INCH
    per_inch = units.per_square_inch(count, area_mm2)
    assert per_inch == pytest.approx(ratio * units.per_25mm_square(count, area_mm2))
    assert per_inch * area_mm2 / units.MM2_PER_SQUARE_INCH == pytest.approx(count)


def test_no_area_is_no_density():
    assert units.per_square_inch(3, 0.0) == 0
    assert units.per_25mm_square(3, -1.0) == 0
    densities = units.per_square_inch(np.array([1, 2]), np.array([645.16, 0.0]))
    assert densities.tolist() == [1, 0]
