"""Stated intervals cover the truth at least nine times in ten; see interval_coverage for more."""

import numpy as np
import pytest
from interval_coverage import coverage

from scrapeview.columns import columns_of, table
from scrapeview.confidence import points_interval

COUNT = 12


@pytest.fixture(scope="module")
def results():
    return coverage(COUNT, first_seed=100)


def test_points_per_square_inch_are_covered(results):
    assert sum(r.points for r in results) >= 0.9 * COUNT


def test_intervals_are_narrow_enough_to_say_something(results):
    # a one-inch square of Poisson points is known to +-45 % (exact Poisson, 20: 12.22-30.89)
    found = [r for r in results if r.points_per_square_inch[1] > 0]
    assert len(found) >= 0.9 * COUNT
    for r in found:
        low, figure, high = r.points_per_square_inch
        assert low < figure < high
        assert high - low < 2 * 0.467 * figure + 1


def test_a_face_of_one_field_goes_by_the_chance_of_a_count():
    # exact Poisson 95 % for 20 points: 12.22 to 30.89 (derived), here on one square inch
    points = table("points", {c.name: np.zeros(20) for c in columns_of("points")})
    one = table("cells", {c.name: np.ones(1) for c in columns_of("cells")})
    interval = points_interval(20.0, points, one, 645.16, 0.0, 0.95)
    assert interval.high - interval.low == pytest.approx(30.89 - 12.22, abs=0.05)
