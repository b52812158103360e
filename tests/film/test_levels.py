"""Levels of metal and film against scikit-image, and on pictures with known levels."""

import numpy as np
import pytest
from skimage.filters import threshold_otsu

from scrapeview.film.levels import local_levels, otsu_threshold, robust_spread


def two_heaps(seed, share, apart=1.0, spread=0.1, size=20000):
    rng = np.random.default_rng(seed)
    high = rng.random(size) < share
    return (np.where(high, apart, 0) + rng.normal(0, spread, size)).astype(np.float32)


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.8])
def test_otsu_is_scikit_images(share):
    values = two_heaps(3, share)
    threshold, explained = otsu_threshold(values)
    assert threshold == pytest.approx(threshold_otsu(values, nbins=256), abs=0.02)
    # derived: between-class variance p q d^2 over the whole variance
    between = share * (1 - share)
    assert explained == pytest.approx(between / (between + 0.01), abs=0.01)


def test_one_gaussian_cut_in_two_explains_two_over_pi():
    values = np.random.default_rng(4).normal(size=200_000).astype(np.float32)
    # derived: the halves' means lie sqrt(2 / pi) from the middle
    assert otsu_threshold(values)[1] == pytest.approx(2 / np.pi, abs=0.005)


def test_a_flat_picture_explains_nothing():
    assert otsu_threshold(np.full(50, 0.3, np.float32))[1] == 0


def test_robust_spread_is_the_deviation_and_ignores_the_upper_half():
    values = np.random.default_rng(5).normal(2, 0.3, 100_001).astype(np.float32)
    assert robust_spread(values) == pytest.approx(0.3, rel=0.02)
    assert robust_spread(np.where(values > 2.2, 50, values)) == pytest.approx(0.3, rel=0.02)


@pytest.mark.parametrize("share", [0.1, 0.4, 0.75])
@pytest.mark.parametrize("drift", [0.0, 0.8])
def test_levels_of_a_checkered_film(share, drift):
    """Film of contrast 1 on metal that drifts over the face; film may be the majority."""
    rng = np.random.default_rng(6)
    h, w = 120, 180
    blocks = rng.random((h // 6, w // 6)) < share
    film = np.kron(blocks, np.ones((6, 6), bool))
    metal = drift * np.linspace(0, 1, w)[None, :] * np.ones((h, 1))
    values = (metal + film + rng.normal(0, 0.04, (h, w))).astype(np.float32)
    levels = local_levels(values, np.ones((h, w), bool), 2.0, 0.5)
    assert levels.typical_film == pytest.approx(1, abs=0.08)
    told = levels.contrast > 0.5 * levels.film
    assert (told == film).mean() > 0.99
    assert levels.metal_spread == pytest.approx(0.04, abs=0.02)
