"""Sentences on shape start with their number and claim no more than the print shows."""

import dataclasses

import numpy as np
import pytest

from scrapeview.bearing import Interval, Pivot, Relief
from scrapeview.charts.shape_words import (
    height,
    pivot_note,
    pivot_sentence,
    reference_sentences,
    relief_note,
    relief_sentence,
    shape_sentence,
    swing_sentence,
)
from scrapeview.errors import SettingsError
from scrapeview.flatness import NOT_KNOWN, ReferenceFlatness
from scrapeview.judge.compare.laid import FaceGrid
from scrapeview.judge.shape import Shape
from scrapeview.record.entries import SwingTest

GRADE_A = ReferenceFlatness(grade="GGG-P-463c A", length_mm=609.6, width_mm=457.2)


def pivot(pushed, share, form):
    interval = Interval(share - 0.02, share + 0.02)
    return Pivot(pushed=pushed, share=share, interval=interval, even_share=0.28, shape=form)


def shape_with(*pivots, heights=((0.6, 0.1, -0.8), (0.0, 0.2, -0.1)), error=0.2):
    height = np.array(heights)
    relief = Relief(
        height=height, error=np.where(np.isfinite(height), error, np.nan),
        beyond=np.zeros(height.shape, np.int8), length_mm=25.4, px_per_mm=0.1,
        origin_mm=(0.0, 0.0), spot_mm2=4.0, datum="plane",
    )  # fmt: skip
    face = np.array([(0, 0), (300, 0), (300, 100), (0, 100)], float)
    return Shape(
        relief=relief, pivots=pivots, along="x", start_mm=0.0, length_mm=300.0,
        across_mm=(0.0, 100.0), stretch_mm=np.array([150.0]), bears_percent=np.array([30.0]),
        regions_mm=(face,), openings_mm=(),
        relief_grid=FaceGrid(0.1, (5.0, 5.0), (2, 3)),
    )  # fmt: skip


CONVEX = shape_with(pivot("left", 0.36, "convex"), pivot("right", 0.33, "convex"))
EVEN = shape_with(pivot("left", 0.28, "even"), pivot("right", 0.27, "even"))
ONE_END = shape_with(pivot("left", 0.2, "hollow"), pivot("right", 0.41, "convex"))
OPEN = shape_with(pivot("left", 0.28, "even"), pivot("right", 0.24, "hollow"))
NOTHING = shape_with(heights=((np.nan,) * 3,) * 2)


def test_heights_have_their_unit():
    assert height(3.86, "metric") == "3.9 µm"
    assert height(3.86, "inch") == "0.00015 in"


def test_relief_tells_its_span_and_where_its_ends_lie():
    told = relief_sentence(CONVEX, "metric")
    assert told.startswith("1.4 texture heights lie between the highest place (5 mm from the left")
    assert "(25 mm from the left, 5 mm from the top)" in told
    assert "estimate" in told
    assert "25.4 mm" in told
    assert "0.2 in from the left" in relief_sentence(CONVEX, "inch")
    assert "1.00 in" in relief_note(CONVEX, "inch")


def test_relief_within_its_error_is_level():
    level = dataclasses.replace(CONVEX, relief=shape_with(error=0.6).relief)
    assert "no more than chance" in relief_sentence(level, "metric")
    assert "highest place (" not in relief_sentence(level, "metric")


def test_relief_that_tells_nothing_says_so():
    assert relief_sentence(NOTHING, "metric").startswith("0 places")


def test_a_pivot_is_told_in_percent_and_in_the_shop_s_unit():
    told = pivot_sentence(CONVEX.pivots[0], CONVEX, "metric")
    assert told.startswith("36 % of the length (108.0 mm) from the right end")
    assert "pushed at the left end" in told
    assert "34 to 38 %" in told
    assert "28 %" in told
    assert "convex" in told
    assert "(4.25 in) from the right" in pivot_sentence(CONVEX.pivots[0], CONVEX, "inch")


@pytest.mark.parametrize(
    ("shape", "starts", "holds"),
    [
        (CONVEX, "36 and 33 %", "swings from nearer the middle"),
        (EVEN, "28 and 27 %", "glides"),
        (ONE_END, "20 and 41 %", "the right end bears more"),
        (OPEN, "28 and 24 %", "only one end"),
        (NOTHING, "0 %", "nothing to turn on"),
    ],
)
def test_both_ends_together_say_one_thing(shape, starts, holds):
    told = shape_sentence(shape)
    assert told.startswith(starts)
    assert holds in told


@pytest.mark.parametrize(
    ("shape", "result", "holds"),
    [
        (CONVEX, "convex", "the print says the same"),
        (CONVEX, "hollow", "but the print says convex"),
        (EVEN, "convex", "but the print says even"),
        (ONE_END, "even", "but the print says one end bears more"),
        (OPEN, "hollow", "cannot tell"),
        (NOTHING, "even", "no contact"),
    ],
)
def test_the_swing_test_and_the_print_agree_or_not(shape, result, holds):
    told = swing_sentence(shape, SwingTest(pass_number=5, result=result, pivot_percent=35.0))
    assert told.startswith(f"Pass 5: the swing test said {result}, turning 35 %")
    assert holds in told
    bare = swing_sentence(shape, SwingTest(pass_number=5, result=result))
    assert "turning" not in bare


def test_sag_and_friction_are_kept_apart():
    # 0.292893 and 0.211325 of the length (derived; read, recomputed)
    assert pivot_note().startswith("29.3 %")
    assert "21.1 %" in pivot_note()
    assert "not friction" in pivot_note()


def test_a_known_reference_says_what_can_be_claimed():
    claim, report, turned = reference_sentences(GRADE_A, "shop plate", "metric")
    # GGG-P-463c A, 24 x 18 in: twice 76.00 microinch
    assert claim.startswith("3.9 µm is what the reference (shop plate) may")
    assert "GGG-P-463c A allows over 610 x 457 mm" in claim
    assert "not flatness" in report
    # seminar report on an 18 in straightedge: 55 points per in2, 40 %, 15 to 20 um from flat (read)
    assert report.startswith("53 points per 25 mm square with 40 % contact, yet 15 to 20 µm")
    assert turned.startswith("90 degrees")


def test_in_inches_the_reference_is_too():
    claim, report, _ = reference_sentences(GRADE_A, "", "inch")
    assert claim.startswith("0.00015 in is what the reference may")
    assert "over 24 x 18 in" in claim
    assert report.startswith("55 points per in2 with 40 % contact, yet 0.0006 to 0.0008 in")
    assert "18 in straightedge" in report


def test_a_certificate_goes_before_the_grade():
    own = dataclasses.replace(GRADE_A, own_um=1.2)
    claim, *_ = reference_sentences(own, "", "metric")
    assert claim.startswith("1.2 µm")
    assert "certificate" in claim
    assert "GGG" not in claim


def test_where_nothing_is_known_it_says_what_to_enter():
    claim, report, _ = reference_sentences(NOT_KNOWN, "old straightedge", "metric")
    assert claim.startswith("Nothing is known of how flat the reference (old straightedge) is")
    assert "enter its grade and size" in claim
    assert "not flatness" in report
    with pytest.raises(SettingsError):
        reference_sentences(ReferenceFlatness(own_um=-1.0), "", "metric")
