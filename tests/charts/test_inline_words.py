"""Estimates of line and plane in words: labelled, with units, and set beside checks."""

from dataclasses import replace
from typing import get_args

import pytest

from scrapeview.charts.inline_words import (
    CHECK_IT,
    OVERLAP_REASONS,
    SHIM_PROCEDURE,
    TITLES,
    estimate_words,
    joint_sentences,
    overlap_sentence,
    plane_sentences,
    unit_sentence,
)
from scrapeview.judge.inline.estimates import (
    Estimate,
    FilmUnit,
    Joint,
    Overlap,
    OverlapReason,
    SharedPlane,
)
from scrapeview.record.entries import LineCheck

STEP = Estimate("height", 0.5, 0.2, 0.8, 1.0, 0.4, 1.7)
HUMP = Estimate("tilt", -6.0, -9.0, -3.0, -12.0, -19.0, -5.0)
NOTHING = Estimate("tilt", 1.0, -4.0, 6.0, 2.0, -8.0, 12.0)
BARE = Estimate("tilt", 3.0, 1.0, 5.0)
JOINT = Joint("left end", "middle", 425.0, 150.0, STEP, HUMP, NOTHING)
SHARED = SharedPlane("far way", "near way", STEP, STEP, NOTHING, HUMP)


def check(what, value_um, **told):
    return LineCheck(pass_number=4, what=what, between="left end and middle", value_um=value_um,
                     **{"instrument": "level", "error_um": 3.0, **told})  # fmt: skip


def overlap(reason):
    return Overlap("A", "B", 350.0, 500.0, 36.0, 48.0, 1.0, 13.0, 35.0, 17.0, -0.7, reason)


def test_amounts_have_their_units_and_intervals_in_both():
    assert estimate_words(STEP, "metric") == (
        "+1.0 µm (95 %: +0.4 to +1.7), +0.50 film units (95 %: +0.20 to +0.80)"
    )
    # 1 um is 0.3937 ten-thousandths; 12 um per m is 0.144 thousandths per foot; 1 m 3.28 ft
    assert estimate_words(STEP, "inch").startswith("+0.4 x 0.0001 in (95 %: +0.2 to +0.7), ")
    assert estimate_words(HUMP, "inch") == (
        "-0.144 thousandths of an inch per ft (95 %: -0.228 to -0.060), "
        "-1.83 film units per ft (95 %: -2.74 to -0.91)"
    )
    assert estimate_words(HUMP, "metric").startswith("-12.0 µm per m (95 %: -19.0 to -5.0), -6.00")
    assert estimate_words(BARE, "metric") == "+3.00 film units per m (95 %: +1.00 to +5.00)"
    unknown = Estimate("height", 0.0, float("-inf"), float("inf"))
    assert estimate_words(unknown, "metric") == "cannot be told"


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_every_estimate_is_labelled_and_its_check_recommended(units):
    for said, count in ((joint_sentences(JOINT, units), 3), (plane_sentences(SHARED, units), 4)):
        assert sum(sentence.startswith("Estimate: ") for sentence in said) == count
        assert said[-1] == CHECK_IT
        assert len(said) == count + 1


def test_signs_are_said_in_words():
    step, along, across = joint_sentences(JOINT, "metric")[:3]
    assert "middle begins higher than left end ends" in step
    assert "make a hump" in along
    assert "no twist from one stretch to the other beyond chance" in across
    turned = Joint("a", "b", 1.0, 2.0, Estimate("height", -0.5, -0.8, -0.2), BARE, HUMP)
    step, along, across = joint_sentences(turned, "metric")[:3]
    assert "b begins lower than a ends" in step
    assert "make a hollow" in along
    assert "higher at its far side" in across
    balance, offset, lean, twist = plane_sentences(SHARED, "metric")[:4]
    assert "near way bears more" in balance
    assert "near way lies above far way" in offset
    assert "lean across alike" in lean
    assert "near way stands higher at its left end" in twist
    beside = replace(SHARED, first="left way", second="right way")
    assert "right way stands higher at its far end" in plane_sentences(beside, "metric")[3]


@pytest.mark.parametrize(
    ("value_um", "error_um", "says"),
    [
        (-10.0, 3.0, "the estimate agrees within its interval"),
        (-3.0, 2.5, "the estimate agrees within its interval"),
        (-3.0, 1.0, "Go by the level"),
        (10.0, None, "Go by the level"),
    ],
)
def test_a_check_stands_beside_what_it_checked(value_um, error_um, says):
    said = joint_sentences(JOINT, "metric", (check("tilt along", value_um, error_um=error_um),))
    at = next(i for i, sentence in enumerate(said) if "by the level on pass 4" in sentence)
    assert "hump" in said[at - 1]
    assert says in said[at]
    assert said[at].startswith(f"{value_um:+.1f}")


def test_a_check_in_inches_has_its_error_without_a_sign():
    (said,) = (s for s in joint_sentences(JOINT, "inch", (check("step", 2.54),)) if "pass 4" in s)
    assert said.startswith("+1.0 ± 1.2 x 0.0001 in by the level on pass 4")


def test_without_micrometres_only_the_direction_is_compared():
    joint = Joint("a", "b", 1.0, 2.0, Estimate("height", 0.1, -0.2, 0.4), BARE, BARE)
    said = joint_sentences(
        joint, "metric",
        (check("tilt along", 8.0), check("tilt across", -8.0, instrument="other"),
         check("step", 1.0)),
    )  # fmt: skip
    assert any("points the same way. Calibrate the film" in sentence for sentence in said)
    assert any("the other way. Go by another instrument" in sentence for sentence in said)
    assert any("no direction beyond chance" in sentence for sentence in said)


def test_what_cannot_be_told_says_why_and_keeps_its_checks():
    joint = Joint("a", "b", 1.0, 0.0, None, None, None, "They do not overlap.")
    said = joint_sentences(joint, "metric", (check("step", 2.0),))
    assert said[0] == "Between a and b nothing can be told. They do not overlap."
    assert "there is no estimate to set beside it" in said[1]
    assert said[-1] == CHECK_IT
    shared = SharedPlane("x", "y", STEP, STEP, BARE, BARE, "The x is bare.")
    assert plane_sentences(shared, "inch")[0].endswith("The x is bare.")
    assert not any(s.startswith("Estimate") for s in plane_sentences(shared, "inch"))


def test_every_reason_of_an_overlap_has_words():
    assert set(OVERLAP_REASONS) == set(get_args(OverlapReason))
    said = {overlap_sentence(overlap(reason), "metric") for reason in get_args(OverlapReason)}
    assert len(said) == len(OVERLAP_REASONS)
    assert overlap_sentence(overlap("film differs"), "inch").startswith(
        "36 and 48 % contact on the 5.91 in that both A and B covered, 35 % marked in both"
    )


def test_the_film_unit_says_where_it_comes_from():
    assert unit_sentence(FilmUnit(2.0, 1.7, 2.6, "shim"), "metric") == (
        "2.00 µm is one film unit, from the shim print (95 %: 1.70 µm to 2.60 µm)."
    )
    assert unit_sentence(FilmUnit(2.54, 2.54, 2.54, "own figure"), "inch") == (
        "1.00 x 0.0001 in is one film unit, your own figure, taken as exact."
    )
    assert "Measure it with a shim" in unit_sentence(None, "metric")


def test_the_procedure_and_titles_are_there():
    assert len(SHIM_PROCEDURE) == 6
    assert all(step.endswith(".") for step in SHIM_PROCEDURE)
    assert {"step", "tilt along", "tilt across", "twist", "offset", "balance"} == set(TITLES)
