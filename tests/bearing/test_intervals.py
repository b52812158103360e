"""Intervals against published forms and against what they promise."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from scrapeview.bearing.intervals import counting_half_width, ratio_half_width, widened

E562_COUNTS = np.array([6, 9, 4, 7, 8, 5, 10, 6, 7, 8.5])


def test_e562_manual_point_count_form():
    # form of ASTM E562 / ISO 9042 (t s / sqrt(n), a hit on the boundary counts 1/2), second-hand;
    # figures derived: mean 28.2 %, s 7.450578, 95 % CI 5.329822, relative accuracy 18.900 %
    percent = 100 * E562_COUNTS / 25
    half = ratio_half_width(percent, np.ones(10))
    assert percent.mean() == pytest.approx(28.2)
    assert half == pytest.approx(5.329822, abs=1e-6)
    assert half * np.sqrt(10) / stats.t.ppf(0.975, 9) == pytest.approx(7.450578, abs=1e-6)
    assert 100 * half / percent.mean() == pytest.approx(18.900079, abs=1e-5)


def test_a_field_s_unit_of_area_does_not_matter():
    areas = np.full(10, 645.16)
    half = ratio_half_width(E562_COUNTS * areas, areas)
    assert half == pytest.approx(ratio_half_width(E562_COUNTS, np.ones(10)))


def test_fields_of_one_density_leave_no_doubt():
    areas = np.array([600.0, 645.0, 120.0, 300.0])
    assert ratio_half_width(0.03 * areas, areas) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("n", [0, 1])
def test_one_field_says_nothing_of_the_spread(n):
    assert ratio_half_width(np.ones(n), np.ones(n)) == np.inf


def test_fields_without_area_say_nothing():
    assert ratio_half_width(np.zeros(3), np.zeros(3)) == np.inf


@pytest.mark.parametrize("areas", [np.ones(16), np.linspace(0.3, 1.7, 16)])
def test_the_ratio_interval_covers_as_often_as_it_says(areas):
    rng = np.random.default_rng(4)
    trials = 3000
    inside = 0
    for _ in range(trials):
        amounts = rng.poisson(12 * areas).astype(float)
        half = ratio_half_width(amounts, areas)
        inside += abs(amounts.sum() / areas.sum() - 12) <= half
    # 95 % within four standard errors of the trials, and two points for the t approximation
    assert inside / trials == pytest.approx(0.95, abs=4 * np.sqrt(0.05 * 0.95 / trials) + 0.02)


def test_a_count_of_20_is_garwood_s_exact_interval():
    # exact Poisson 95 %: 20 [12.22, 30.89], 40 [28.58, 54.47], 10 [4.80, 18.39], derived
    for count, low, high in ((10, 4.80, 18.39), (20, 12.22, 30.89), (40, 28.58, 54.47)):
        assert counting_half_width(count) == pytest.approx((high - low) / 2, abs=0.01)
        # the limits' own definition: tails of 2.5 %
        assert stats.poisson.sf(count - 1, low) == pytest.approx(0.025, abs=2e-4)
        assert stats.poisson.cdf(count, high) == pytest.approx(0.025, abs=2e-4)


def test_no_points_still_leave_a_doubt():
    # exact Poisson upper limit of a count of 0: -ln(0.025) = 3.689
    assert counting_half_width(0) == pytest.approx(3.689 / 2, abs=1e-3)


@given(st.floats(0, 100), st.lists(st.floats(0, 50), min_size=1, max_size=4), st.floats(100, 200))
def test_half_widths_add_in_quadrature_and_stay_in_range(estimate, halves, high):
    interval = widened(estimate, *halves, high=high)
    assert 0 <= interval.low <= estimate + 1e-9
    assert estimate - 1e-9 <= interval.high <= high
    together = np.sqrt(np.square(halves).sum())
    assert interval.high == pytest.approx(min(high, estimate + together))
    assert interval.low == pytest.approx(max(0, estimate - together))
