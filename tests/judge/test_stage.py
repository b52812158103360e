"""The stage and the strokes: closed forms of the square lattice, and limits that hold."""

import dataclasses

import numpy as np
import pytest
from known_prints import print_of, spread_points

from scrapeview.judge.next.stage import disc_mm, pitch_mm, sized_for_percent, stage_of, stroke_for
from scrapeview.targets import NO_TARGET, Target

TARGET = Target(name="t", ppsi_least=20, contact_least_percent=40, contact_most_percent=40)


def found(base, *, ppsi=18.0, merged=0.0, spread=10.0, contact=40.0):
    even = dataclasses.replace(base.evenness, cell_points_spread_percent=spread)
    return dataclasses.replace(
        base, points_per_square_inch=ppsi, merged_percent=merged, evenness=even,
        contact_percent=contact,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("ppsi", "pitch", "disc"),
    [(5, 11.359, 8.107), (10, 8.032, 5.732), (20, 5.680, 4.053), (40, 4.016, 2.866)],
)
def test_the_lattice_has_the_pitch_and_discs_of_its_closed_forms(ppsi, pitch, disc):
    assert pitch_mm(ppsi) == pytest.approx(pitch, abs=5e-4)
    assert disc_mm(ppsi, 40) == pytest.approx(disc, abs=5e-4)
    assert np.pi / 4 * disc_mm(ppsi, 40) ** 2 / pitch_mm(ppsi) ** 2 == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("told", "name", "why"),
    [
        ({"merged": 67}, "rough", "merged"),
        ({"merged": 50, "ppsi": 40}, "rough", "merged"),
        ({"ppsi": 5.9}, "rough", "few points"),
        ({"merged": 10}, "spacing out", "merged"),
        ({"ppsi": 13.9}, "spacing out", "few points"),
        ({"spread": 46, "ppsi": 30}, "spacing out", "uneven"),
        ({"ppsi": 14.1}, "finish", "nearly there"),
        ({"ppsi": 19.99}, "finish", "nearly there"),
        ({"ppsi": 20}, "single points", "last places"),
    ],
)
def test_the_stage_follows_patches_then_points_then_evenness(base, told, name, why):
    stage = stage_of(found(base, **told), TARGET)
    assert (stage.name, stage.why) == (name, why)


def test_a_target_s_own_spread_goes_before_the_usual_one(base):
    strict = dataclasses.replace(TARGET, spread_most_percent=20)
    assert stage_of(found(base, spread=30, ppsi=25), TARGET).name == "single points"
    assert stage_of(found(base, spread=30, ppsi=25), strict).why == "uneven"


def test_without_points_asked_the_patches_decide(base):
    assert stage_of(found(base, merged=60), NO_TARGET).name == "rough"
    assert stage_of(found(base, merged=20), NO_TARGET).name == "spacing out"
    assert stage_of(found(base), NO_TARGET).why == "no target"


def test_points_are_sized_for_the_face_s_own_contact_within_what_is_asked(base):
    wide = dataclasses.replace(TARGET, contact_least_percent=20, contact_most_percent=60)
    assert sized_for_percent(found(base, contact=31), wide) == 31
    assert sized_for_percent(found(base, contact=12), wide) == 20
    assert sized_for_percent(found(base, contact=85), wide) == 60
    assert sized_for_percent(found(base, contact=85), NO_TARGET) == 60
    low = Target(name="low", contact_most_percent=2)
    assert sized_for_percent(found(base, contact=1), low) == 5


def test_a_stroke_lies_between_the_gap_and_the_point(base):
    reading = found(base)
    stroke = stroke_for(reading, TARGET, stage_of(reading, TARGET))
    assert stroke.ppsi == 20
    assert stroke.pitch_mm == pytest.approx(5.680, abs=5e-4)
    assert stroke.widest_mm == pytest.approx(4.053, abs=5e-4)
    assert stroke.narrowest_mm == pytest.approx(5.680 - 4.053, abs=1e-3)


def test_no_pass_is_asked_for_more_than_twice_the_points(base):
    reading = found(base, ppsi=6, merged=60)
    assert stroke_for(reading, TARGET, stage_of(reading, TARGET)).ppsi == 12
    assert stroke_for(reading, NO_TARGET, stage_of(reading, NO_TARGET)).ppsi == 12


def test_a_face_without_points_gets_strokes_only_where_points_are_asked(base):
    reading = found(base, ppsi=0)
    assert stroke_for(reading, TARGET, stage_of(reading, TARGET)).ppsi == 20
    assert stroke_for(reading, NO_TARGET, stage_of(reading, NO_TARGET)) is None


def test_a_print_as_drawn_gives_finite_strokes(base):
    reading = print_of(base, spread_points(3))
    stroke = stroke_for(reading, TARGET, stage_of(reading, TARGET))
    assert 0 < stroke.narrowest_mm < stroke.pitch_mm
    assert 0 < stroke.widest_mm < stroke.pitch_mm
