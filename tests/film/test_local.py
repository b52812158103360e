"""Local means and smooth surfaces against what they stand for."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview.film.local import grow, local_mean, shrink
from scrapeview.film.surface import smooth_surface


def test_shrinking_averages_blocks():
    picture = np.random.default_rng(1).random((24, 36)).astype(np.float32)
    blocks = picture.reshape(6, 4, 9, 4).mean(axis=(1, 3))
    assert shrink(picture, 4) == pytest.approx(blocks, abs=1e-5)


@pytest.mark.parametrize("shape", [(24, 36), (26, 39)])
def test_growing_keeps_a_ramp_in_its_place(shape):
    y, x = np.mgrid[: shape[0], : shape[1]].astype(np.float32)
    ramp = x + 2 * y
    grown = grow(shrink(ramp, 3), shape, 3)
    inner = np.s_[4:-6, 4:-6]
    assert grown[inner] == pytest.approx(ramp[inner], abs=0.05)


@given(st.floats(-3, 3), st.integers(0, 99))
def test_the_mean_of_one_value_is_that_value(value, seed):
    weight = (np.random.default_rng(seed).random((40, 60)) < 0.5).astype(np.float32)
    values = np.full((40, 60), value, np.float32)
    mean = local_mean(values, weight, 6.0, 0.01, value)
    assert mean == pytest.approx(np.full((40, 60), value), abs=1e-3)


def test_what_has_no_weight_does_not_count():
    values = np.ones((40, 60), np.float32)
    values[:, 30:] = 100
    weight = np.zeros((40, 60), np.float32)
    weight[:, :30] = 1
    mean = local_mean(values, weight, 4.0, 1e-4, 1.0)
    assert mean[:, :33].max() < 1.05


def test_without_weight_the_fallback_holds():
    nothing = np.zeros((30, 50), np.float32)
    assert local_mean(nothing, nothing, 5.0, 0.1, 7.0) == pytest.approx(np.full((30, 50), 7.0))


def test_a_quadratic_is_fitted_through_outliers():
    rng = np.random.default_rng(2)
    y, x = np.mgrid[0:60, 0:90] / 90
    true = 1 + 0.5 * x - 0.3 * y + 0.4 * x * x - 0.2 * x * y
    values = (true + rng.normal(0, 0.01, true.shape)).astype(np.float32)
    values[rng.random(true.shape) < 0.25] += 1.5
    fitted = smooth_surface(values, np.ones(true.shape, bool), true.shape, outliers_above=True)
    assert np.abs(fitted - true).max() < 0.05


def test_few_values_carry_no_curvature():
    values = np.full((2, 3), 0.4, np.float32)
    fitted = smooth_surface(values, np.ones((2, 3), bool), (20, 30), outliers_above=True)
    assert fitted == pytest.approx(np.full((20, 30), 0.4), abs=1e-4)
