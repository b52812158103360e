"""The next pass in words: the number first, then the reason, in the user's own units."""

import dataclasses
import re

import numpy as np
import pytest

from scrapeview.charts import next_words as words
from scrapeview.judge.next.next_pass import next_pass
from scrapeview.judge.next.stage import stage_of, stroke_for
from scrapeview.targets import NO_TARGET, Target

TARGET = Target(name="t", ppsi_least=20)
SEED = 2


@pytest.fixture(scope="module", params=["plain", "merged", "rings", "rails"])
def advised(request, reading):
    found = reading(request.param, SEED)
    return found, next_pass(found, TARGET)


def test_every_sentence_begins_with_a_number_and_ends_with_a_stop(advised):
    for units in ("metric", "inch"):
        told = words.next_sentences(*advised, units)
        cautions = set(words.USUAL_CAUTIONS)
        assert set(told) >= cautions
        for sentence in told:
            assert sentence.endswith(".")
            assert sentence in cautions or re.match(r"\d", sentence)
            assert "nan" not in sentence


def test_the_counts_told_are_those_of_the_table(advised):
    _, advice = advised
    first = words.take_sentence(advice)
    numbers = [int(n) for n in re.findall(r"\d+", first)]
    assert numbers[0] == len(advice.to_take)
    assert numbers[1] == len(advice.points)
    assert sum(numbers[2:]) == len(advice.to_take)


def test_lengths_and_densities_follow_the_units(advised):
    _, advice = advised
    metric, inch = (words.stroke_sentence(advice, units) for units in ("metric", "inch"))
    assert " mm from stroke to stroke" in metric
    assert "25 mm square" in metric
    assert " in from stroke to stroke" in inch
    assert "in2" in inch
    pitch = float(metric.split(" mm")[0])
    assert pitch == pytest.approx(advice.stroke.pitch_mm, abs=0.05)
    assert float(inch.split(" in")[0]) == pytest.approx(advice.stroke.pitch_mm / 25.4, abs=0.005)


def test_all_that_is_suggested_says_so(advised):
    _, advice = advised
    assert "our suggestion" in words.stage_sentence(advice, "metric")
    assert "our suggestion" in words.stroke_sentence(advice, "metric")
    later = words.share_sentence(advice)
    assert ("our suggestion" in later) == (advice.points["what"] == "later").any()


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"merged_percent": 67.0}, "67 % of the contact lies in patches, so go on rough"),
        ({"points_per_square_inch": 10.0, "merged_percent": 0.0}, "10.0 points per in2 of 20.0"),
        ({"points_per_square_inch": 31.0, "merged_percent": 0.0}, "touch single points only"),
    ],
)
def test_the_stage_is_told_with_its_figure(reading, changed, told):
    found = dataclasses.replace(reading("plain", SEED), **changed)
    stage = stage_of(found, TARGET)
    advice = dataclasses.replace(
        next_pass(found, TARGET), stage=stage, stroke=stroke_for(found, TARGET, stage)
    )
    assert told in words.stage_sentence(advice, "inch")


def test_without_points_asked_the_stage_says_that_none_are(reading):
    advice = next_pass(reading("plain", SEED), NO_TARGET)
    assert "asks for no number" in words.stage_sentence(advice, "metric")


@pytest.mark.parametrize(
    ("halt", "told"),
    [
        ("done", "leave it alone"), ("enough", "print it once more"),
        ("heavy film", "wipe thinner and print again"), ("no print", "no print was found"),
    ],
)  # fmt: skip
def test_where_nothing_is_to_be_taken_only_that_is_said(reading, halt, told):
    found = reading("plain", SEED)
    advice = dataclasses.replace(next_pass(found, TARGET), halt=halt)
    sentences = words.next_sentences(found, advice, "metric")
    assert len(sentences) == 1
    assert sentences[0].startswith("0 points to take")
    assert told in sentences[0]


def test_a_print_where_nothing_stands_out_says_what_to_do(reading):
    advice = next_pass(reading("plain", SEED), TARGET)
    none = dataclasses.replace(
        advice, points=advice.points.assign(what="", why="ordinary"), contact_short=None
    )
    assert "print again" in words.take_sentence(none)


def test_contact_that_is_short_of_points_that_suffice_is_not_said_to_need_no_scraping(reading):
    found = reading("plain", SEED)
    target = dataclasses.replace(TARGET, ppsi_least=5, square_ppsi_least=1)
    target = dataclasses.replace(
        target, contact_least_percent=found.contact_percent + 10, contact_most_percent=90
    )
    advice = next_pass(found, target)
    none = dataclasses.replace(advice, points=advice.points.assign(what="", why="ordinary"))
    said = words.take_sentence(none)
    assert said.startswith(f"{found.contact_percent:.1f} % contact")
    assert "take all of them lightly" in said


def test_places_to_leave_and_cautions_are_counted(reading):
    found = reading("plain", SEED)
    advice = next_pass(found, TARGET)
    taken = advice.points["what"] == "take"
    assert taken.sum() > 3
    caution = np.where(taken, "edge", "").astype(object)
    caution[0] = "faint"
    why = advice.points["why"].to_numpy(dtype=object).copy()
    why[-1] = "hollow, sparse"
    told = dataclasses.replace(advice, points=advice.points.assign(caution=caution, why=why))
    sentences = words.caution_sentences(told)
    assert sentences[0].startswith(f"{taken.sum() - 1} of the points to take touch the edge")
    assert any(s.startswith("1 of the points to take have a thin film") for s in sentences)
    assert any(s.startswith("1 bright point nearly alone") for s in sentences)


def test_every_code_of_the_table_has_words(advised):
    _, advice = advised
    assert set(advice.points["why"]) <= set(words.WHY)
    assert set(advice.points["caution"]) <= set(words.CAUTION)
    assert all(words.WHY.values())
