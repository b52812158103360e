"""Where a face stands, in words: its last figures beside its target."""

import math
from typing import get_args

import pytest

from scrapeview.dashboard.judge_look import unbroken
from scrapeview.dashboard.standing import (
    NO_PRINT,
    against,
    card_html,
    contact_figure,
    day,
    points_figure,
    range_words,
    target_words,
    trend_svg,
    verdict_html,
    verdict_word,
)
from scrapeview.dashboard.standing import NO_TARGET as NO_TARGET_STANDS
from scrapeview.judge.verdict.criteria import Outcome
from scrapeview.targets import NO_TARGET, SHIPPED_TARGETS, Target

ROW = {
    "face": "Way", "role": "way", "passes": 3, "last_printed_at": "2026-11-25T10:00:00+00:00",
    "contact_percent": 47.24, "points_per_square_inch": 18.06, "count_reliable": True,
    "is_print": True, "target_contact_least_percent": 40.0, "target_contact_most_percent": 60.0,
    "target_ppsi_least": 20.0, "trend_contact_percent": [60.0, 50.0, 47.2],
    "trend_ppsi": [4.0, 12.0, 18.1], "verdict": "keep scraping", "verdict_reason": "18 < 20.",
}  # fmt: skip


@pytest.mark.parametrize(
    ("value", "least", "most", "stands"),
    [
        (40.0, 40.0, 60.0, "met"),
        (39.9, 40.0, 60.0, "below"),
        (60.0, 40.0, 60.0, "met"),
        (60.1, 40.0, 60.0, "above"),
        (50.0, None, None, ""),
        (50.0, math.nan, math.nan, ""),
        (0.0, 0.0, None, "met"),
        (61.0, None, 60.0, "above"),
    ],
)
def test_a_figure_stands_to_its_target(value, least, most, stands):
    assert against(value, least, most) == stands


@pytest.mark.parametrize(
    ("least", "most", "words"),
    [
        (40.0, 60.0, "40 to 60"),
        (19.375, None, "at least 19.4"),
        (None, 60.0, "at most 60"),
        (math.nan, math.nan, ""),
    ],
)
def test_what_is_asked_in_words(least, most, words):
    assert range_words(least, most) == words


def test_figures_stand_beside_their_target():
    assert contact_figure(ROW) == ("47.2 %", "✓ met: 40 to 60 %")
    assert points_figure(ROW, "inch") == ("18.1", "▽ below: at least 20")


def test_a_metric_shop_counts_by_the_25_mm_square():
    # 1 in2 = 1.032256 squares of 25 mm
    assert points_figure(ROW, "metric") == ("17.5", "▽ below: at least 19.4")


@pytest.mark.parametrize(
    ("changed", "figure"),
    [
        ({"passes": 0}, ("-", "no print yet")),
        ({"is_print": False}, ("-", "no print was found")),
        ({"count_reliable": False}, ("-", "marks merge: go by contact")),
        ({"target_ppsi_least": math.nan}, ("18.1", "no target")),
    ],
)
def test_a_count_is_shown_only_where_there_is_one(changed, figure):
    assert points_figure(ROW | changed, "inch") == figure


def test_no_contact_is_told_where_no_print_was_found():
    assert contact_figure(ROW | {"is_print": False}) == ("-", "no print was found")


@pytest.mark.parametrize(
    ("text", "parted"),
    [
        ("40.0 % contact", "40.0_% contact"),
        ("12.7 mm across", "12.7_mm across"),
        ("0.63 in from", "0.63_in from"),
        ("3 in2, 4 intervals", "3_in2, 4 intervals"),
        ("of 4 passes", "of 4 passes"),
    ],
)
def test_a_number_keeps_its_unit_where_a_line_breaks(text, parted):
    assert unbroken(text) == parted.replace("_", "\N{NO-BREAK SPACE}")


def test_a_target_is_told_in_a_line():
    general = next(target for target in SHIPPED_TARGETS if target.name == "general slideway")
    assert target_words(general, "inch") == (
        "general slideway: contact 40 to 60 %, at least 10 points per in2"
    )
    assert "at least 9.69 points per 25 mm square" in target_words(general, "metric")
    assert target_words(NO_TARGET, "inch") == "no target"
    assert target_words(Target(name="mine"), "inch") == "mine"


@pytest.mark.parametrize(
    ("iso", "shown"),
    [
        ("2026-11-05T23:59:00+00:00", "5 Nov 2026"),
        ("2026-11-25", "25 Nov 2026"),
        ("last week, I think", "last week,"),
        ("", ""),
        (None, ""),
    ],
)
def test_a_day_is_shown_as_people_write_it(iso, shown):
    assert day(iso) == shown


def test_the_trend_runs_from_left_to_right_and_from_zero_up():
    drawn = trend_svg([0.0, 10.0, 5.0])
    points = drawn.split("points='")[1].split("'")[0].split()
    xs, ys = zip(*(map(float, point.split(",")) for point in points), strict=True)
    assert list(xs) == sorted(xs)
    assert ys[1] < ys[2] < ys[0]
    assert ys[2] == pytest.approx((ys[0] + ys[1]) / 2, abs=0.1)


def test_a_card_has_a_line_only_from_two_prints_on():
    assert card_html(ROW, "inch").count("<img") == 2
    assert "<img" not in card_html(ROW | {"trend_contact_percent": [5.0], "trend_ppsi": []}, "inch")


def test_all_zero_trends_are_drawn():
    assert "nan" not in trend_svg([0.0, 0.0])


@pytest.mark.parametrize(("passes", "words"), [(0, "no pass yet"), (1, "1 pass,"), (3, "3 passes")])
def test_passes_are_counted_in_words(passes, words):
    assert words in card_html(ROW | {"passes": passes}, "inch")


def test_a_card_says_the_verdict_with_its_sign_and_why():
    card = card_html(ROW, "inch")
    assert "✗ Keep scraping:" in card
    assert "18 &lt; 20." in card


def test_every_way_a_face_stands_has_a_sign_of_its_own():
    ways = (*get_args(Outcome), NO_TARGET_STANDS, NO_PRINT)
    assert len({verdict_word(stands)[0] for stands in ways}) == len(ways)
    assert verdict_word("") == ""


@pytest.mark.parametrize("stands", ["", NO_PRINT])
def test_without_a_print_there_is_no_verdict(stands):
    assert verdict_html(stands, "why") == ""
