"""What an overlap says, each cause built into the prints of a simulated face."""

from dataclasses import replace

import numpy as np
import pytest
from simulated_long_faces import Bend, Rub, Texture, bent, box, prints_along, textured

from scrapeview.judge.inline import compare_overlaps, in_line

SIZE_MM = (900.0, 100.0)
LAID = ((0.0, 400.0), (250.0, 650.0), (500.0, 900.0))
RUB = Rub(film_um=3.0)


@pytest.fixture(scope="module")
def textures():
    return textured(21, SIZE_MM, Texture(long_um=0.2), px_per_mm=1.0)[0]


def overlaps(textures, *bends, middle=RUB):
    height = bent(textures, bends)
    return compare_overlaps(prints_along(height, LAID, [RUB, middle, RUB]))


@pytest.mark.parametrize(
    ("bends", "middle", "says"),
    [
        ((), RUB, ("agree", "agree")),
        ((), replace(RUB, film_um=4.2), ("film differs", "film differs")),
        ((), replace(RUB, lean_um=1.5), ("rocked", "rocked")),
        ((), replace(RUB, rock_um=2.0), ("rocked", "rocked")),
        ((Bend(at_mm=325.0, along_um_m=25.0),), RUB, ("not in line", "agree")),
        ((Bend(at_mm=575.0, step_um=3.0),), RUB, ("agree", "not in line")),
    ],
    ids=["agree", "film", "lean", "rock", "bend", "step"],
)
def test_each_cause_is_told(textures, bends, middle, says):
    assert tuple(one.reason for one in overlaps(textures, *bends, middle=middle)) == says


def test_figures_of_an_overlap_add_up(textures):
    first, second = overlaps(textures, middle=replace(RUB, film_um=4.2))
    assert (first.first, first.second, first.from_mm, first.to_mm) == ("A", "B", 250.0, 400.0)
    for one in (first, second):
        assert one.only_first + one.both == pytest.approx(one.contact_first)
        assert one.only_second + one.both == pytest.approx(one.contact_second)
        # one texture cut at two levels: what touches at the lower one touches at the higher
        assert one.both == pytest.approx(min(one.contact_first, one.contact_second), abs=1.0)
        assert one.both_by_chance == pytest.approx(
            one.contact_first * one.contact_second / 100, rel=0.2
        )
    assert first.contact_second > first.contact_first + 6
    assert abs(first.drift_percent) < 8


def test_a_lean_drifts_the_other_way_at_the_other_end(textures):
    level = overlaps(textures)
    leaning = overlaps(textures, middle=replace(RUB, lean_um=-1.5))
    drifts = [b.drift_percent - a.drift_percent for a, b in zip(level, leaning, strict=True)]
    # pressed at its right end, the second gains contact to the right in the first overlap, and
    # against the third loses as much the other way round
    assert drifts[0] * drifts[1] < 0
    assert min(abs(drift) for drift in drifts) > 5


def test_too_short_an_overlap_and_a_gap_are_too_little(textures):
    for second in ((370.0, 770.0), (480.0, 880.0)):
        prints = prints_along(bent(textures), ((0.0, 400.0), second), [RUB, RUB])
        (overlap,) = compare_overlaps(prints)
        assert overlap.reason == "too little"
        assert overlap.from_mm <= overlap.to_mm


def test_marks_of_another_place_are_told(textures):
    prints = prints_along(bent(textures), LAID[:2], [RUB, RUB])
    reading = prints[1].printed.reading
    x, y = reading.origin_mm
    wrong = replace(reading, origin_mm=(x + 30.0, y), regions_mm=(box(280.0, 0, 680.0, 100.0),))
    moved = replace(prints[1], printed=replace(prints[1].printed, reading=wrong),
                    placement=replace(prints[1].placement, start_mm=280.0))  # fmt: skip
    (overlap,) = compare_overlaps([prints[0], moved])
    assert overlap.reason == "marks elsewhere"
    assert in_line([prints[0], moved]).joints[0].step is None


def test_marks_all_over_are_not_said_to_be_elsewhere(textures):
    prints = [
        replace(one, printed=replace(one.printed, reading=replace(
            one.printed.reading, contact_mask=np.ones_like(one.printed.reading.contact_mask))))
        for one in prints_along(bent(textures), LAID[:2], [RUB, RUB])
    ]  # fmt: skip
    (joint,) = in_line(prints).joints
    assert "nearly covered" in joint.why_not
