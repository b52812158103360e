"""A stall is called after three passes without gain, and neither sooner nor for a bad print."""

import numpy as np
import pytest
from known_passes import passes_of

from scrapeview.judge.forecast.stall import stall_of
from scrapeview.targets import NO_TARGET, Target

POINTS = Target(name="points", ppsi_least=20)
BAND = Target(name="band", contact_least_percent=40, contact_most_percent=60)
ERROR = 0.04
CASES = 60


def scattered(curve, seed, error=ERROR):
    rng = np.random.default_rng(seed)
    return np.asarray(curve) * (1 + error * rng.standard_normal(len(curve)))


def called(curve, target=POINTS):
    """Share of series about a curve that are called stalled."""
    found = [stall_of(passes_of(scattered(curve, s), error=ERROR), target) for s in range(CASES)]
    return np.mean([f.stalled for f in found])


def test_three_passes_without_gain_are_a_stall():
    found = stall_of(passes_of([6, 9, 12, 12, 12, 12], error=0.03), POINTS)
    assert found.stalled
    assert found.passes == (3, 6)
    assert found.gains[0].percent == pytest.approx(0, abs=1)


def test_two_passes_without_gain_are_none():
    assert not stall_of(passes_of([6, 9, 12, 12, 12], error=0.03), POINTS).stalled


def test_stalled_series_are_found_and_steady_ones_are_not_called_stalled():
    # see docs/forecast.md for what was measured
    assert called([5, 8, 10, 10, 10, 10]) > 0.75
    assert called(5 * 1.06 ** np.arange(6)) < 0.08
    assert called(5 * 1.08 ** np.arange(6)) < 0.04


def test_noisy_readings_do_not_pass_for_a_stall():
    # with errors of 20 % three flat passes prove nothing
    assert not stall_of(passes_of([6, 9, 12, 12, 12, 12], error=0.2), POINTS).stalled


@pytest.mark.parametrize("bad", range(6))
def test_one_bad_print_makes_no_stall(bad):
    points = np.array([4, 6, 8, 10, 12, 14.0])
    points[bad] *= 0.6
    assert not stall_of(passes_of(points, error=0.03), POINTS).stalled


def test_one_bad_print_does_not_hide_a_stall():
    points = [6, 9, 12, 12, 12, 12, 7, 12]
    assert stall_of(passes_of(points, error=0.02), POINTS).stalled


def test_a_face_on_target_is_not_stalled():
    assert not stall_of(passes_of([15, 20.5, 20.5, 20.5, 20.5], error=0.02), POINTS).stalled
    inside = passes_of(np.full(6, 9.0), np.full(6, 50.0))
    assert not stall_of(inside, BAND).stalled
    assert not stall_of(inside, NO_TARGET).stalled


def test_points_that_come_along_outweigh_contact_that_does_not():
    both = Target(name="both", ppsi_least=20, contact_least_percent=40)
    flat = np.full(6, 30.0)
    coming = passes_of([5, 7, 9, 11, 13, 15], flat, error=0.03, contact_error=0.03)
    assert not stall_of(coming, both).stalled
    assert [gain.which for gain in stall_of(coming, both).gains] == ["points", "contact"]
    assert stall_of(passes_of(np.full(6, 9.0), flat, error=0.03, contact_error=0.03), both).stalled


def test_contact_above_its_band_gains_by_falling():
    points = np.full(5, 30.0)
    falling, rising = (passes_of(points, 82 + way * 4.0 * np.arange(5), contact_error=0.02)
                       for way in (-1, 1))  # fmt: skip
    assert not stall_of(falling, BAND).stalled
    assert stall_of(falling, BAND).gains[0].percent > 5
    assert stall_of(rising, BAND).stalled


def test_the_order_of_rows_changes_nothing():
    rows = passes_of([6, 9, 12, 12, 11, 12], error=0.03)
    assert stall_of(rows.sample(frac=1, random_state=1), POINTS) == stall_of(rows, POINTS)


def test_too_few_passes_say_nothing():
    found = stall_of(passes_of([9, 9, 9]), POINTS)
    assert (found.stalled, found.gains, found.passes) == (False, (), (0, 0))
    assert not stall_of(passes_of([]), POINTS).stalled
