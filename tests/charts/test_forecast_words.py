"""What is said of the forecast, a stall and counting by eye: number first, reason second."""

import re

import numpy as np
import pytest
from forecast_series import passes_table

from scrapeview.charts.forecast_words import (
    NO_HOURS,
    agreement_sentences,
    asked_words,
    chances_words,
    forecast_sentence,
    hours_sentence,
    limit_sentence,
    passes_words,
    squares_sentence,
    stall_sentence,
)
from scrapeview.judge.eye import SquaresToCount, agreement_of
from scrapeview.judge.forecast.clearing import Needed
from scrapeview.judge.forecast.forecast import forecast
from scrapeview.judge.forecast.stall import stall_of
from scrapeview.record.entries import EyeCount
from scrapeview.targets import NO_TARGET, Target

POINTS = Target(name="points", ppsi_least=20)
BOTH = Target(name="both", ppsi_least=20, contact_least_percent=40, contact_most_percent=60)


def passes_of(points, error=0.03, **changed):
    points = np.asarray(points, dtype=float)
    ends = points * (1 - 1.96 * error), points * (1 + 1.96 * error)
    still = tuple(np.full(len(points), value) for value in (50.0, 48.0, 52.0))
    return passes_table((points, *ends), still, **changed)


RISING = 30 - 26 * 0.8 ** np.arange(5)


def said(points, target=POINTS, units="inch", **changed):
    return forecast_sentence(forecast(passes_of(points, **changed), target), units)


def test_passes_needed_come_first_and_the_reason_second():
    sentence = said(RISING, BOTH)
    assert re.match(r"\d+( to \d+)? more pass(es)?", sentence)
    assert "20 points per in2 and 40 to 60 % contact" in sentence
    assert "8 cases of 10" in sentence
    assert sentence.count(".") == 1


def test_it_is_said_in_the_units_of_the_shop():
    assert "19.4 points per 25 mm square" in said(RISING, units="metric")


def test_what_is_done_needs_no_more():
    assert said([10, 17, 23]).startswith("0 more passes: the print of pass 3 clears")


def test_what_is_not_reached_is_said_with_its_chance_and_what_to_change():
    sentence = said([6.0, 9.0, 10.0, 10.2, 9.9, 10.1, 10.0, 10.0], error=0.02)
    assert re.match(r"\d+ chances in 100", sentence)
    assert "change the stroke, the film or the reference" in sentence
    assert "points per in2" in sentence


def test_too_few_passes_say_how_many_and_why():
    assert said(RISING[:2]).startswith("2 of 3 passes")
    sentence = said(RISING[:4], merged_percent=[90.0, 80.0, 70.0, 0.0])
    assert sentence.startswith("1 of 3 passes")
    assert "marks ran together" in sentence


def test_no_target_says_what_to_do():
    assert "choose one with the face" in said(RISING, NO_TARGET)


def test_hours_are_told_where_they_were_noted():
    told = hours_sentence(forecast(passes_of(RISING, hours=np.full(5, 2.0)), POINTS))
    assert re.match(r"\d+\.\d to \d+\.\d h more work", told)
    assert hours_sentence(forecast(passes_of(RISING), POINTS)) == NO_HOURS
    assert hours_sentence(forecast(passes_of(RISING[:2]), POINTS)) == ""


@pytest.mark.parametrize(
    ("needed", "words"),
    [
        ((1, 1, 1), "1 more pass"),
        ((3, 3, 3), "3 more passes"),
        ((2, 3, 5), "2 to 5 more passes"),
        ((2, 3, None), "2 or more passes"),
        ((None, None, None), "More than 30 passes"),
    ],
)
def test_passes_in_words(needed, words):
    assert passes_words(Needed(*needed)) == words


@pytest.mark.parametrize(
    ("target", "words"),
    [
        (POINTS, "20 points per in2"),
        (Target(name="a", contact_least_percent=40), "40 % contact"),
        (Target(name="b", contact_most_percent=60), "at most 60 % contact"),
    ],
)
def test_targets_in_words(target, words):
    assert asked_words(target, "inch") == words


def test_chances_are_never_none_and_never_all():
    assert chances_words(0.0) == "less than 1 chance in 100"
    assert chances_words(0.01) == "1 chance in 100"
    assert chances_words(0.5) == "50 chances in 100"
    assert chances_words(1.0) == "99 chances in 100"


def test_a_level_is_told_where_the_prints_show_it():
    level = forecast(passes_of(RISING), POINTS).contact
    told = limit_sentence(level)
    assert re.match(r"(4[5-9]|5[0-5]) % contact \(\d+ to \d+\) is where the prints level off", told)
    assert limit_sentence(forecast(passes_of(RISING[:2]), POINTS).points) == ""


def test_where_it_levels_off_is_not_told_while_it_still_grows():
    found = forecast(passes_of(6 * 1.3 ** np.arange(4)), POINTS)
    told = limit_sentence(found.points, "inch")
    assert re.match(r"1[5-8] points per in2 \(1[3-7] to 1[6-9]\) is what pass 5 leaves", told)
    assert "do not tell yet" in told


def test_a_stall_says_what_to_change():
    stalled = stall_sentence(stall_of(passes_of([6, 9, 12, 12, 12, 12]), POINTS))
    assert stalled.startswith("3 passes without gain (pass 3 to 6: points ")
    assert stalled.endswith("change the stroke, the film or the reference.")
    assert stall_sentence(stall_of(passes_of(RISING), POINTS)) == ""


def counts_of(eye, tool):
    return [
        EyeCount(print_id=1, reading_id=1, x_mm=0.0, y_mm=0.0, side_mm=25.4, by_eye=a, by_tool=b)
        for a, b in zip(eye, tool, strict=True)
    ]


def test_agreement_says_bias_and_limits():
    bias, limits = agreement_sentences(agreement_of(counts_of([22, 19, 25], [20, 20, 22])), "inch")
    assert bias.startswith("+1.3 points per in2 is what the eye counts")
    assert "do not plainly differ in 3 squares" in bias
    assert limits.startswith("-2.7 to +5.4 points per in2 is how far 19 of 20 squares differ")


def test_agreement_of_few_squares_asks_for_more():
    assert "count a few" in agreement_sentences(agreement_of([]))[0]
    one = agreement_sentences(agreement_of(counts_of([22], [20])), "inch")
    assert one == (
        "+2.0 points per in2 is what the eye counts against the program, in 1 square only: "
        "count 2 more.",
    )
    two = agreement_sentences(agreement_of(counts_of([22, 21], [20, 20])), "inch")
    assert two[1].startswith("1 more square must be counted")


def test_a_difference_that_grows_is_said():
    tool = np.arange(10, 40, 3)
    told = agreement_sentences(agreement_of(counts_of(tool + tool // 8, tool)))
    assert "the more the eye counts" in told[-1]


def test_squares_that_do_not_fit_are_explained():
    assert squares_sentence(SquaresToCount((), "no print"), 4).startswith("0 squares")
    assert squares_sentence(SquaresToCount((), "none"), 4).startswith("0 squares")
    assert squares_sentence(SquaresToCount((), "all"), 0) == ""
