"""What a face still needs is told from its prints, honestly and whatever the order of rows."""

import time

import numpy as np
import pytest
from known_passes import passes_of

from scrapeview.judge.forecast.clearing import HORIZON, needed
from scrapeview.judge.forecast.forecast import forecast
from scrapeview.targets import NO_TARGET, Target

POINTS = Target(name="points", ppsi_least=20)
BOTH = Target(name="both", ppsi_least=20, contact_least_percent=40, contact_most_percent=60)
RISING = np.array([5.0, 8.0, 10.6, 12.8, 14.7])


def told(found):
    return found.passes, found.never_chance, found.hours, found.points.limit, found.contact.limit


def test_a_rising_face_needs_the_passes_its_curve_needs():
    # 14.6 on the fifth pass; 19.6 on the ninth clears 18 by its bound, 4 passes on
    points = 25 - 20 * 0.85 ** np.arange(5)
    found = forecast(passes_of(points, error=0.02), Target(name="points", ppsi_least=18))
    assert found.state == "ahead"
    assert found.passes.low <= 4 <= found.passes.high
    assert found.chances.sum() == pytest.approx(1)


def test_the_order_of_rows_changes_nothing():
    rows = passes_of(RISING, hours=[2.0, 1.5, np.nan, 1.0, 1.0])
    mixed = rows.sample(frac=1, random_state=3)
    assert told(forecast(mixed, BOTH)) == told(forecast(rows, BOTH))
    assert told(forecast(rows, BOTH)) == told(forecast(rows, BOTH))


def test_later_prints_make_it_surer():
    curve = 30 - 26 * 0.8 ** np.arange(9)
    early, late = (forecast(passes_of(curve[:n], error=0.02), POINTS) for n in (3, 5))
    assert late.never_chance < early.never_chance
    spread = [f.points.limit.high - f.points.limit.low for f in (early, late)]
    assert spread[1] < spread[0]


@pytest.mark.parametrize("count", [0, 1, 2])
def test_fewer_than_three_passes_give_a_typed_answer_and_no_forecast(count):
    found = forecast(passes_of(RISING[:count]), POINTS)
    assert found.state == "too few"
    assert found.short_of == ("points",)
    assert found.passes.low is found.passes.high is None
    assert np.isnan(found.never_chance)
    assert list(found.points.curve.columns) == ["pass", "middle", "low", "high"]
    assert found.points.curve.empty
    assert found.chances.size == 0


def test_two_prints_of_one_pass_are_not_two_passes():
    rows = passes_of([9.0, 10.0, 11.0, 12.0], number=[1, 1, 2, 2])
    assert forecast(rows, POINTS).state == "too few"


@pytest.mark.parametrize(
    "changed",
    [
        {"is_print": [True, False, True, True]},
        {"merged_percent": [0.0, 80.0, 0.0, 0.0], "count_reliable": [True, False, True, True]},
        {"haze_percent": [0.0, 40.0, 0.0, 0.0]},
    ],
)
def test_a_print_that_cannot_be_relied_on_makes_no_usable_pass(changed):
    assert forecast(passes_of(RISING[:4], **changed), POINTS).points.usable_passes == 3


def test_a_print_without_marks_changes_nothing_but_the_pass_number():
    rows = passes_of(RISING, is_print=[True, True, True, True, False])
    assert forecast(rows, POINTS).last_pass == 5
    assert forecast(rows, POINTS).points.usable_passes == 4


def test_one_bad_print_moves_the_forecast_little():
    curve = 30 - 26 * 0.8 ** np.arange(7)
    bad = curve.copy()
    bad[3] *= 0.5
    good, spoilt = (
        forecast(passes_of(points, error=0.03), Target(name="far", ppsi_least=23))
        for points in (curve, bad)
    )
    assert spoilt.points.limit.middle == pytest.approx(good.points.limit.middle, rel=0.15)
    assert abs(spoilt.passes.middle - good.passes.middle) <= 1


def test_prints_of_one_pass_are_pooled_by_their_area():
    one = forecast(passes_of(RISING, error=0.03), POINTS)
    two = forecast(
        passes_of(
            np.repeat(RISING, 2) * np.tile([0.8, 1.4], 5), np.full(10, 45.0),
            error=0.03, number=np.repeat(np.arange(1, 6), 2), area_mm2=np.tile([2e4, 1e4], 5),
        ),
        POINTS,
    )  # fmt: skip
    assert two.points.usable_passes == 5
    at = [f.points.curve.set_index("pass")["middle"] for f in (one, two)]
    assert np.allclose(at[0][:5], at[1][:5], rtol=0.08)


def test_nothing_more_is_needed_where_the_last_print_clears_the_target_by_its_bounds():
    found = forecast(passes_of([10.0, 17.0, 22.5], error=0.03), BOTH)
    assert found.state == "there"
    assert (found.passes.low, found.passes.high, found.never_chance) == (0, 0, 0)
    assert found.hours.high == 0
    # the figure is above 20, its bound is not
    assert forecast(passes_of([10.0, 17.0, 21.0], error=0.05), BOTH).state == "ahead"
    # two passes are enough for that
    assert forecast(passes_of([17.0, 22.5], error=0.03), BOTH).state == "there"


def test_every_print_of_the_last_pass_must_clear_it():
    rows = passes_of([10.0, 17.0, 24.0, 16.0], error=0.02, number=[1, 2, 3, 3])
    assert forecast(rows, POINTS).state != "there"


def test_contact_may_fall_into_its_band_and_out_of_it():
    falling = 45 + 40 * 0.75 ** np.arange(6)
    points = np.full(6, 25.0)
    asked = Target(name="most", contact_most_percent=60)
    found = forecast(passes_of(points[:4], falling[:4], contact_error=0.02), asked)
    assert found.state == "ahead"
    assert found.passes.low <= 3 <= found.passes.high
    # it runs through the band to 10 %
    through = 10 + 60 * 0.7 ** np.arange(4, 9)
    floor = Target(name="least", contact_least_percent=40)
    gone = forecast(passes_of(points[:5], through, contact_error=0.02), floor)
    assert gone.state == "never"
    assert gone.never_chance > 0.8


def test_contact_may_rise():
    rising = 50 - 40 * 0.75 ** np.arange(6)
    found = forecast(
        passes_of(np.full(4, 25.0), rising[:4], contact_error=0.02),
        Target(name="least", contact_least_percent=37),
    )
    # 37.3 on the next pass is not beyond 37 by its bound, 40.5 on the one after is
    assert found.passes.low <= 2 <= found.passes.high


def test_one_print_must_clear_both():
    contact = 45 + 40 * 0.75 ** np.arange(5)
    rows = passes_of(RISING, contact, error=0.02, contact_error=0.02)
    found = forecast(rows, BOTH)
    assert found.passes.middle >= max(found.points.passes.middle, found.contact.passes.middle)


def test_a_face_that_no_longer_gains_is_told_that_it_is_not_reached():
    flat = np.array([6.0, 9.0, 10.0, 10.2, 9.9, 10.1, 10.0, 10.0])
    found = forecast(passes_of(flat, error=0.02), POINTS)
    assert found.state == "never"
    assert found.passes.middle is None
    assert found.passes.high is None
    assert found.never_chance > 0.7


def test_a_shallow_gain_leaves_the_interval_open_upwards():
    found = forecast(passes_of([14.0, 14.6, 15.0, 15.5], error=0.04), POINTS)
    assert found.passes.low is not None
    assert found.passes.high is None


def test_hours_follow_from_what_passes_took():
    hours = [3.0, 2.0, 2.0, 2.0, 2.0]
    found = forecast(passes_of(RISING, error=0.02, hours=hours), POINTS)
    each = found.hours.middle / found.passes.middle
    assert 1.6 < each < 2.8
    assert found.hours.low < found.hours.middle
    assert forecast(passes_of(RISING), POINTS).hours is None
    twice = forecast(passes_of(RISING, error=0.02, hours=2 * np.array(hours)), POINTS)
    assert twice.hours.low == pytest.approx(2 * found.hours.low)


def test_hours_of_a_pass_count_once_however_many_prints_it_has():
    numbers = np.repeat(np.arange(1, 6), 2)
    once = passes_of(RISING, hours=[2.0] * 5)
    twice = passes_of(np.repeat(RISING, 2), number=numbers, hours=[2.0] * 10)
    each = [f.hours.middle / f.passes.middle for f in (forecast(once, POINTS),
                                                       forecast(twice, POINTS))]  # fmt: skip
    assert each[1] == pytest.approx(each[0], rel=0.2)


def test_without_a_target_there_is_a_curve_and_no_forecast():
    found = forecast(passes_of(RISING), NO_TARGET)
    assert found.state == "nothing asked"
    assert len(found.points.curve)
    assert len(found.contact.curve)


def test_the_curve_only_rises_and_its_band_holds_it():
    curve = forecast(passes_of(RISING), POINTS).points.curve
    assert (np.diff(curve["middle"]) >= -1e-9).all()
    assert (curve["low"] <= curve["middle"]).all()
    assert (curve["middle"] <= curve["high"]).all()
    assert curve["pass"].tolist() == list(range(1, 18))


def test_a_face_too_small_for_intervals_is_still_forecast():
    rows = passes_of(RISING, ppsi_low=[-np.inf] * 5, ppsi_high=[np.inf] * 5)
    found = forecast(rows, POINTS)
    assert found.state in ("ahead", "never")
    assert np.isfinite(found.points.curve.to_numpy()).all()


def test_no_points_at_all_is_no_error():
    found = forecast(passes_of(np.zeros(4), np.zeros(4)), BOTH)
    assert found.state == "never"


def test_whole_passes_end_the_interval_where_half_of_their_chance_lies_inside():
    # of the first 0.15 only 0.05 lie inside 0.1 to 0.9, less than half; so of the last
    first = np.repeat([1, 2, 3], [15, 70, 15])
    found = needed(first, 0.8)
    assert (found.low, found.middle, found.high) == (2, 2, 2)
    first = np.repeat([1, 2, 4, HORIZON + 1], [30, 30, 25, 15])
    found = needed(first, 0.8)
    assert (found.low, found.middle, found.high) == (1, 2, 4)
    first = np.repeat([1, 2, 4, HORIZON + 1], [5, 45, 25, 25])
    found = needed(first, 0.8)
    assert (found.low, found.middle, found.high) == (2, 2, None)
    first = np.repeat([1, HORIZON + 1], [30, 70])
    assert needed(first, 0.8).middle is None


def test_it_is_quick():
    rows = passes_of(np.linspace(5, 19, 12), np.linspace(70, 50, 12))
    begun = time.process_time()
    forecast(rows, BOTH)
    assert time.process_time() - begun < 0.6
