"""Log light: film adds, light and exposure drop out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import rgb2xyz

from scrapeview.film.light import DARK_FLOOR, LEAST_FLOOR, floor_for, log_light, project


def test_log_light_is_the_logarithm_of_linear_srgb():
    # reference: scikit-image's IEC 61966-2-1 decoding, seen in the luminance of greys
    grey = np.arange(256, dtype=np.uint8).reshape(16, 16)
    picture = np.stack([grey] * 3, axis=-1)
    luminance = rgb2xyz(picture)[..., 1]
    assert log_light(picture)[..., 0] == pytest.approx(np.log(luminance + DARK_FLOOR), abs=1e-3)


def test_log_light_grows_with_every_level():
    picture = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    assert (np.diff(log_light(picture)[0, :, 1]) > 0).all()


@given(st.lists(st.floats(-2, 2), min_size=3, max_size=3))
def test_projection_is_the_dot_product(axis):
    rng = np.random.default_rng(1)
    picture = rng.normal(size=(5, 9, 3)).astype(np.float32)
    axis = np.array(axis)
    assert project(picture, axis) == pytest.approx(picture @ axis, abs=1e-4)


@pytest.mark.parametrize("gain", [0.5, 0.8])
def test_an_axis_that_sums_to_nothing_is_blind_to_exposure(gain):
    linear = np.random.default_rng(2).uniform(0.2, 0.9, (6, 11, 3))

    def srgb(light):
        return np.rint(255 * (1.055 * light ** (1 / 2.4) - 0.055)).astype(np.uint8)

    axis = np.array([-0.7, -0.3, 1.0])
    before, after = (project(log_light(srgb(v)), axis) for v in (linear, gain * linear))
    # what is left is the rounding to 8 bits and the floor under the darks
    assert after == pytest.approx(before, abs=0.05)


def test_the_floor_follows_a_dim_photograph_down_and_no_further():
    inside = np.ones((40, 60), bool)
    floors = [
        floor_for(np.full((40, 60, 3), level, np.uint8), inside) for level in (0, 40, 90, 110, 200)
    ]
    assert floors == sorted(floors)
    assert floors[0] == LEAST_FLOOR
    assert LEAST_FLOOR < floors[2] < DARK_FLOOR
    assert floors[-1] == DARK_FLOOR
    assert floor_for(np.zeros((40, 60, 3), np.uint8), ~inside) == DARK_FLOOR
