"""A straight face lies in line, a built-in step, bend or twist is found; else it says why not."""

from dataclasses import replace

import numpy as np
import pytest
from in_line_coverage import long_cases
from simulated_long_faces import (
    Bend,
    Rub,
    Texture,
    bent,
    box,
    contact_of,
    placed,
    prints_along,
    reading_of_contact,
    textured,
)

from scrapeview.errors import ReadingError
from scrapeview.judge.inline import in_line
from scrapeview.judge.inline.estimates import FilmUnit, PlacedPrint
from scrapeview.judge.verdict.stretches import JudgedPrint
from scrapeview.placements import Placement

SHORT_MM = (640.0, 80.0)
TWO = ((0.0, 380.0), (260.0, 640.0))
JOINT_MM = 320.0
RUB = Rub(film_um=3.0)


@pytest.fixture(scope="module")
def short():
    """Texture of a face that two placements cover, with a little waviness; and its deviation."""
    return textured(3, SHORT_MM, Texture(long_um=0.3))


def printed(short, *bends, laid=TWO, rubs=None, **told):
    return prints_along(bent(short[0], bends), laid, rubs or [RUB] * len(laid), **told)


def only_joint(prints, **told):
    (joint,) = in_line(prints, **told).joints
    return joint


@pytest.fixture(scope="module")
def crooked(short):
    bend = Bend(at_mm=JOINT_MM, step_um=-2.0, along_um_m=25.0, across_um_m=60.0)
    return printed(short, bend)


def test_a_straight_face_is_zero_inside_its_intervals():
    """24 intervals of 95 %: more than 4 misses come about once in 100 times."""
    textures = ("and waves of 40 mm", "and waves of 60 mm")
    cases = [c for seed in (11, 12) for name in textures for c in long_cases(name, seed)]
    missed = [c for c in cases if not c.low <= 0 <= c.high]
    assert len(cases) == 24
    assert len(missed) <= 4, missed
    # intervals that could hold anything would be no use: heights in film units, tilts per metre
    widest = {kind: np.mean([c.high - c.low for c in cases if c.kind == kind]) for kind in
              ("step", "along", "across")}  # fmt: skip
    assert widest["step"] < 1.2
    assert widest["along"] < 8
    assert widest["across"] < 17


def test_step_bend_and_twist_are_found_with_sign_and_size(short, crooked):
    _, deviation_um = short
    joint = only_joint(crooked)
    for found, built_in_um in (
        (joint.step, -2.0), (joint.tilt_along, 25.0), (joint.tilt_across, 60.0)
    ):  # fmt: skip
        assert found.stands_off
        assert np.sign(found.value) == np.sign(built_in_um)
        assert found.low <= built_in_um / deviation_um <= found.high


def test_micrometres_come_with_the_doubt_of_the_unit(short, crooked):
    _, deviation_um = short
    sure = only_joint(
        crooked, unit=FilmUnit(deviation_um, deviation_um, deviation_um, "own figure")
    )
    loose = only_joint(
        crooked, unit=FilmUnit(deviation_um, 0.7 * deviation_um, 1.4 * deviation_um, "shim")
    )
    for one in (sure, loose):
        assert one.tilt_along.low_um <= 25.0 <= one.tilt_along.high_um
        assert one.tilt_along.value_um == pytest.approx(one.tilt_along.value * deviation_um)
        # what stands off zero in film units does so in micrometres
        assert one.step.high_um < 0
    assert sure.step.low_um == pytest.approx(sure.step.low * deviation_um)
    assert loose.tilt_along.high_um - loose.tilt_along.low_um > 1.2 * (
        sure.tilt_along.high_um - sure.tilt_along.low_um
    )
    assert only_joint(crooked).step.value_um is None


def test_no_order_of_prints_changes_the_answer(crooked):
    assert in_line(crooked[::-1]).joints == in_line(crooked).joints


def test_mirrored_end_for_end_a_hump_stays_a_hump_and_a_step_turns_round(crooked):
    there = only_joint(crooked)
    back = only_joint([mirrored(one, SHORT_MM) for one in crooked])
    for name, sign in (("step", -1), ("tilt_along", 1), ("tilt_across", -1)):
        one, other = getattr(there, name), getattr(back, name)
        assert other.value == pytest.approx(sign * one.value, rel=0.05, abs=0.05), name
        assert other.high - other.low == pytest.approx(one.high - one.low, rel=0.1)


def mirrored(one, size_mm):
    reading, placement = one.printed.reading, one.placement
    grid = textured(3, size_mm)[0].grid
    x0, y0, x1, y1 = *reading.regions_mm[0][0], *reading.regions_mm[0][2]
    length = size_mm[0]
    turned = reading_of_contact(
        np.ascontiguousarray(reading.contact_mask[:, ::-1]), grid,
        [box(length - x1, y0, length - x0, y1)],
    )  # fmt: skip
    name = "B" if one.placement.name == "A" else "A"
    start = length - placement.end_mm
    return PlacedPrint(
        JudgedPrint(3, 1 if name == "A" else 2, name, turned),
        Placement(name=name, start_mm=start, length_mm=placement.length_mm),
    )


def test_a_lean_of_the_reference_changes_no_joint(short):
    level = only_joint(printed(short))
    leaning = only_joint(printed(short, rubs=[RUB, replace(RUB, lean_um=0.8, film_um=3.6)]))
    for name in ("step", "tilt_along", "tilt_across"):
        one, other = getattr(level, name), getattr(leaning, name)
        # taken for a bend of the face, the lean would come to half the interval's length
        assert other.value == pytest.approx(one.value, abs=0.15 * (one.high - one.low)), name
        assert not other.stands_off


def test_a_bent_reference_bends_a_straight_face_by_what_the_docs_say(short):
    # a reference bent by h over L, laid every D: 8 h D / L^2; sagging in its middle: a hollow
    height, deviation_um = short
    length, apart = 380.0, 260.0
    x = np.arange(int(length * 2)) / (length * 2)
    prints = []
    for i, x_mm in enumerate(TWO):
        here = np.zeros(height.grid.shape)
        columns = slice(int(x_mm[0] * 2), int(x_mm[0] * 2) + len(x))
        here[:, columns] = 4 * 1.5 * x * (1 - x)
        sagged = replace(height, height_um=height.height_um + here)
        prints.append(placed(sagged, x_mm, "AB"[i], rub=RUB, print_id=i + 1))
    # the sag reaches up into the face just as if the face rose there: the stretches make a hump
    expected = -8 * 1.5 * apart / length**2 * 1000 / deviation_um
    found = only_joint(prints).tilt_along
    assert found.low < expected < found.high
    assert found.value - only_joint(printed(short)).tilt_along.value == pytest.approx(
        expected, rel=0.35
    )


def test_without_an_overlap_a_joint_says_why_it_cannot_be_told(short):
    apart = printed(short, laid=((0.0, 310.0), (300.0, 640.0)))
    joint = only_joint(apart)
    assert joint.step is joint.tilt_along is joint.tilt_across is None
    assert "overlap by less than 40 mm" in joint.why_not
    assert joint.overlap_mm == pytest.approx(10.0)


def test_a_stretch_without_contact_tells_no_height(short):
    far_below = only_joint(printed(short, Bend(at_mm=JOINT_MM, step_um=-40.0)))
    assert far_below.step is None
    assert "nearly bare" in far_below.why_not


def test_marks_that_do_not_fall_on_each_other_are_of_different_places(crooked):
    other = prints_along(bent(textured(8, SHORT_MM)[0]), TWO, [RUB] * 2)
    joint = only_joint([crooked[0], other[1]])
    assert joint.step is None
    assert "where along the face" in joint.why_not


def test_the_last_pass_and_the_last_print_of_a_stretch_count(crooked):
    first = replace(crooked[0].printed, pass_number=2)
    again = replace(crooked[0].printed, print_id=9)
    prints = [replace(crooked[0], printed=first), *crooked, replace(crooked[0], printed=again)]
    line = in_line(prints)
    assert line.pass_number == 3
    assert [joint.first for joint in line.joints] == ["A (print 9)"]


def test_a_print_of_a_part_and_one_that_is_none_make_no_joint(crooked):
    part = replace(
        crooked[0], printed=replace(crooked[0].printed, print_id=9),
        placement=Placement(name="part", start_mm=60.0, length_mm=150.0),
    )  # fmt: skip
    assert in_line([*crooked, part]) == in_line(crooked)
    blank = replace(crooked[1].printed, reading=replace(crooked[1].printed.reading, is_print=False))
    assert in_line([crooked[0], replace(crooked[1], printed=blank)]).joints == ()


def test_a_single_placement_has_no_joint_and_none_is_refused(crooked):
    assert in_line(crooked[:1]).joints == ()
    with pytest.raises(ReadingError, match="keep a print"):
        in_line([])


def test_sides_are_chains_of_their_own(short):
    height = bent(short[0])
    prints = []
    for side, top, foot in (("far", 0.0, 40.0), ("near", 40.0, 80.0)):
        for i, x_mm in enumerate(TWO):
            contact = contact_of(height, x_mm, RUB)
            reading = reading_of_contact(contact, height.grid, [box(x_mm[0], top, x_mm[1], foot)])
            name = f"{side} {i}"
            place = Placement(name=name, start_mm=x_mm[0], length_mm=380.0, side=side)
            prints.append(PlacedPrint(JudgedPrint(1, len(prints), name, reading), place))
    joints = in_line(prints).joints
    assert [(joint.first, joint.second) for joint in joints] == [
        ("far 0", "far 1"), ("near 0", "near 1")
    ]  # fmt: skip
    assert all(joint.step is not None for joint in joints)


def test_ways_that_lie_in_different_planes_still_make_one_line(short):
    """The near way 3 um higher than the far one, all along: no joint stands off for it."""
    height, _ = short
    lifted = height.height_um.copy()
    lifted[80:] += 3.0
    metal = height.metal.copy()
    metal[60:100] = False
    ways = replace(height, height_um=lifted, metal=metal)
    prints = prints_along(ways, TWO, [RUB] * 2, ways_mm=((0.0, 30.0), (50.0, 80.0)))
    joint = only_joint(prints)
    assert not joint.step.stands_off
    assert not joint.tilt_along.stands_off


def test_regions_end_to_end_are_one_way(short):
    _, deviation_um = short
    prints = printed(short, Bend(at_mm=JOINT_MM, step_um=3.0))
    parted = []
    for one in prints:
        x0, x1 = one.placement.start_mm, one.placement.end_mm
        regions = (box(x0, 0, JOINT_MM - 10, 80.0), box(JOINT_MM + 10, 0, x1, 80.0))
        reading = replace(one.printed.reading, regions_mm=regions)
        parted.append(replace(one, printed=replace(one.printed, reading=reading)))
    step = only_joint(parted).step
    assert step.low < 3.0 / deviation_um < step.high
    assert step.stands_off


def test_many_placements_are_fitted_a_few_at_a_time():
    size = (1080.0, 60.0)
    laid = tuple((at, at + 280.0) for at in np.arange(0.0, 801.0, 160.0))
    height, deviation_um = textured(5, size, px_per_mm=1.0)
    bends = [Bend(at_mm=laid[3][0] + 60, step_um=4.0)]
    joints = in_line(prints_along(bent(height, bends), laid, [RUB] * len(laid))).joints
    assert len(joints) == 5
    assert [joint.step.stands_off for joint in joints] == [False, False, True, False, False]
    assert joints[2].step.low < 4.0 / deviation_um < joints[2].step.high


def test_a_joint_beyond_telling_spoils_no_other():
    laid = ((0.0, 400.0), (250.0, 650.0), (500.0, 900.0))
    height, deviation_um = textured(6, (900.0, 80.0), px_per_mm=1.0)
    bends = [Bend(at_mm=325.0, step_um=5.5), Bend(at_mm=575.0, along_um_m=15.0)]
    prints = prints_along(bent(height, bends), laid, [replace(RUB, film_um=2.0)] * 3)
    first, second = in_line(prints).joints
    assert first.step is None
    assert second.tilt_along.low < 15.0 / deviation_um < second.tilt_along.high
    assert not second.step.stands_off
