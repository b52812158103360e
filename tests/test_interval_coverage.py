"""Stated intervals cover the truth at least nine times in ten; see interval_coverage for more."""

import pytest
from interval_coverage import coverage

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
