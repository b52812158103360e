"""Points that stayed, went and came are the ones that did, and chance is told beside them."""

import dataclasses
import itertools

import known_prints
import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from known_prints import SIZE_MM, print_of, spread_points, strewn_points

import scrapeview
from scrapeview.bearing import Interval
from scrapeview.columns import columns_of
from scrapeview.corrections import Correction
from scrapeview.judge import (
    NO_SHIFT,
    Shift,
    compare_prints,
    grid_for,
    lay,
    over_passes,
    shift_between,
    shifts_to_last,
)
from scrapeview.judge.compare.change import difference
from scrapeview.judge.compare.matched import FATES, registration_error_mm
from scrapeview.judge.compare.pairs import nearest_pairs


def counts(found):
    return found.stayed, found.went, found.came


def kept_removed_added(seed, removed=60, added=45):
    """Two prints of known points: what stayed is common to both."""
    points = spread_points(seed, spacing_mm=5.0)
    order = np.random.default_rng(seed).permutation(len(points))
    new, gone, kept = np.split(points[order], (added, added + removed))
    return np.vstack((kept, gone)), np.vstack((kept, new)), (len(kept), removed, added)


def test_known_points_are_told_apart(base):
    before, after, known = kept_removed_added(1)
    found = compare_prints(print_of(base, before), print_of(base, after))
    assert counts(found) == known
    assert found.not_known_before == found.not_known_after == 0
    stayed = found.points[found.points["fate"] == "stayed"]
    assert stayed["apart_mm"].max() < 0.05
    assert found.stayed > found.chance.high


@pytest.mark.parametrize("seed", [3, 4])
def test_known_points_are_told_apart_on_photographs(seed):
    before, after, known = kept_removed_added(seed)
    one = known_prints.photographed(before, seed=seed, px_per_mm=8.0, tilt_deg=12.0)
    two = known_prints.photographed(
        after, seed=seed + 50, px_per_mm=6.5, tilt_deg=5.0, tilt_towards_deg=20.0, roll_deg=-3.0
    )
    found = compare_prints(one, two)
    assert np.abs(np.subtract(counts(found), known)).max() <= 2
    assert found.shift.clear
    assert found.shift.distance_mm < 0.1
    apart = found.points.loc[found.points["fate"] == "stayed", "apart_mm"]
    assert apart.quantile(0.9) < registration_error_mm(one, two)


def test_corners_picked_wrong_are_found_and_taken_out():
    before, after, known = kept_removed_added(5)
    one = known_prints.photographed(before, seed=5, px_per_mm=8.0, tilt_deg=4.0)
    off_px = np.array([7.0, -5.0])
    two = known_prints.photographed(
        after, seed=6, px_per_mm=8.0, tilt_deg=4.0, corners_off_px=off_px, roll_deg=0.0
    )
    found = compare_prints(one, two)
    # picks moved right make every place read too far left
    assert found.shift.clear
    assert (found.shift.x_mm, found.shift.y_mm) == pytest.approx(tuple(-off_px / 8.0), abs=0.15)
    assert abs(found.stayed - known[0]) <= 3


@pytest.mark.parametrize("moved_mm", [(0.6, -0.35), (-3.2, 1.9), (5.0, 6.0)])
def test_a_shift_of_all_points_is_taken_out(moved_mm, base):
    before, after, known = kept_removed_added(7)
    found = compare_prints(print_of(base, before), print_of(base, after, moved_mm=moved_mm))
    assert found.shift.clear
    assert (found.shift.x_mm, found.shift.y_mm) == pytest.approx(moved_mm, abs=0.08)
    # what was moved off the face or onto its border is gone
    assert found.stayed >= known[0] - 12
    assert found.points["apart_mm"].median() < 0.1


def test_a_face_placed_by_a_length_alone_is_found_however_it_lay_in_the_photo(base):
    before, after, known = kept_removed_added(8)
    one = print_of(base, before)
    two = print_of(base, after, moved_mm=(21.0, -13.5), start_mm=(21.0, -13.5))
    one, two = (
        dataclasses.replace(r, plane=dataclasses.replace(r.plane, kind="length", face_mm=()))
        for r in (one, two)
    )
    found = compare_prints(one, two)
    assert (found.shift.x_mm, found.shift.y_mm) == pytest.approx((21.0, -13.5), abs=0.1)
    assert counts(found) == known
    assert found.known_mm2 == pytest.approx(96 * 64, rel=0.02)


def test_shifts_add_up_over_several_prints_and_noise_does_not():
    plain = Shift(1.0, -0.5, True, 0.05, 0.6)
    noise = Shift(0.06, 0.02, True, 0.05, 0.6)
    off = shifts_to_last([plain, noise, NO_SHIFT, plain])
    assert off == ((-2.0, 1.0), (-1.0, 0.5), (-1.0, 0.5), (-1.0, 0.5), (0.0, 0.0))
    assert shifts_to_last([]) == ((0.0, 0.0),)


def test_passes_that_lie_off_each_other_are_brought_together(base):
    points = spread_points(31)
    moves = [(0.0, 0.0), (0.9, -0.4), (1.6, 0.5)]
    readings = [print_of(base, points, moved_mm=moved) for moved in moves]
    off = shifts_to_last([shift_between(a, b) for a, b in itertools.pairwise(readings)])
    grid = grid_for(readings)
    plain = over_passes([lay(reading, grid) for reading in readings])
    aligned = over_passes(
        [lay(r, grid, shift_mm=moved) for r, moved in zip(readings, off, strict=True)]
    )
    whole_mm2 = lay(readings[-1], grid).contact.sum() * grid.square_mm2
    assert aligned.always.area_mm2 > 0.85 * whole_mm2
    assert plain.always.area_mm2 < 0.5 * whole_mm2


def test_unrelated_prints_have_no_shift_and_match_as_chance_says(base):
    matched, expected, within = [], [], []
    for one, two in itertools.pairwise(range(20, 32)):
        a, b = (print_of(base, strewn_points(seed)) for seed in (one, two))
        found = compare_prints(a, b)
        assert not found.shift.clear
        assert (found.shift.x_mm, found.shift.y_mm) == (0, 0)
        matched.append(found.stayed)
        expected.append(found.chance.expected)
        within.append(found.chance.low <= found.stayed <= found.chance.high)
    assert np.mean(matched) == pytest.approx(np.mean(expected), rel=0.2)
    assert np.mean(within) > 0.7
    assert np.mean(expected) > 10


def test_identical_readings_all_stayed(base):
    one = print_of(base, spread_points(9))
    found = compare_prints(one, one)
    assert counts(found) == (len(one.points), 0, 0)
    assert found.went_mm2 == found.came_mm2 == 0
    assert found.stayed_mm2 == pytest.approx(one.contact_mask.sum() / one.px_per_mm**2, rel=0.02)
    assert found.contact_change.value == 0
    assert found.shift.distance_mm < 1e-6


@hypothesis_settings(max_examples=20)
@given(
    seeds=st.tuples(st.integers(0, 999), st.integers(0, 999)),
    share=st.floats(0.0, 1.0),
    scales=st.tuples(st.sampled_from([3.0, 4.0, 5.0, 7.5]), st.sampled_from([3.0, 4.0, 5.0])),
)
def test_swapping_the_prints_swaps_went_and_came(seeds, share, scales, base):
    points = spread_points(seeds[0], 6.0), spread_points(seeds[1], 6.0)
    cut = int(share * len(points[0]))
    mixed = np.vstack((points[0][:cut], points[1][cut:]))
    one = print_of(base, points[0], px_per_mm=scales[0])
    two = print_of(base, mixed, px_per_mm=scales[1])
    there = compare_prints(one, two, shift=NO_SHIFT)
    back = compare_prints(two, one, shift=NO_SHIFT)
    assert (there.stayed, there.went, there.came) == (back.stayed, back.came, back.went)
    assert (there.went_mm2, there.came_mm2) == (back.came_mm2, back.went_mm2)
    assert there.stayed_mm2 == back.stayed_mm2
    assert there.contact_change.value == -back.contact_change.value


def test_the_shift_of_swapped_prints_is_the_opposite(base):
    before, after, _ = kept_removed_added(11)
    one, two = print_of(base, before), print_of(base, after, moved_mm=(1.1, -0.7))
    there, back = compare_prints(one, two).shift, compare_prints(two, one).shift
    assert (there.x_mm, there.y_mm) == pytest.approx((-back.x_mm, -back.y_mm), abs=0.02)


def turned(points, how):
    x, y, across = points.T
    width, height = SIZE_MM
    return {
        "half a turn": (np.column_stack((width - x, height - y, across)), SIZE_MM),
        "a quarter turn": (np.column_stack((height - y, x, across)), SIZE_MM[::-1]),
        "mirrored": (np.column_stack((width - x, y, across)), SIZE_MM),
    }[how]


@pytest.mark.parametrize("how", ["half a turn", "a quarter turn", "mirrored"])
def test_a_face_turned_or_mirrored_tells_the_same(how, base):
    before, after, _ = kept_removed_added(13)
    plain = compare_prints(print_of(base, before), print_of(base, after))
    (one, size_mm), (two, _) = turned(before, how), turned(after, how)
    other = compare_prints(
        print_of(base, one, size_mm=size_mm), print_of(base, two, size_mm=size_mm)
    )
    assert counts(other) == counts(plain)
    assert other.stayed_mm2 == pytest.approx(plain.stayed_mm2, rel=0.01)
    assert other.chance.expected == pytest.approx(plain.chance.expected, rel=0.15)


@pytest.mark.parametrize(("px_per_mm", "border_share"), [(2.5, 0.08), (3.7, 0.08), (9.0, 0.04)])
def test_scale_and_origin_of_a_reading_do_not_matter(px_per_mm, border_share, base):
    before, after, known = kept_removed_added(15)
    two = print_of(base, after, px_per_mm=px_per_mm, margin_mm=1.3)
    found = compare_prints(print_of(base, before), two)
    assert counts(found) == known
    same = compare_prints(print_of(base, before), print_of(base, after))
    # coarse pixels leave the border of a point two millimetres across to chance
    assert found.stayed_mm2 == pytest.approx(same.stayed_mm2, rel=border_share)


def test_a_blank_print_keeps_nothing(base):
    one, blank = print_of(base, spread_points(17)), print_of(base, np.empty((0, 3)))
    for found, fates in (
        (compare_prints(one, blank), (0, len(one.points), 0)),
        (compare_prints(blank, one), (0, 0, len(one.points))),
        (compare_prints(blank, blank), (0, 0, 0)),
    ):
        assert counts(found) == fates
        assert not found.shift.clear
        assert found.chance.expected == found.stayed_mm2 == 0
        assert list(found.points.columns) == [column.name for column in columns_of("compared")]
        assert found.points["x_mm"].dtype == np.float64


def hole(x0, y0, x1, y1):
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def test_what_a_print_does_not_show_is_not_known_never_bare(base):
    points = spread_points(19)
    box = 20.0, 10.0, 60.0, 40.0
    inside = (points[:, 0] > 20) & (points[:, 0] < 60) & (points[:, 1] > 10) & (points[:, 1] < 40)
    whole, outside = print_of(base, points), points[~inside]
    cut = print_of(base, outside, openings_mm=(hole(*box),))
    left_out = dataclasses.replace(
        print_of(base, outside), corrections=(Correction("leave_out", tuple(hole(*box))),)
    )
    for other in (cut, left_out):
        found = compare_prints(whole, other, shift=NO_SHIFT)
        back = compare_prints(other, whole, shift=NO_SHIFT)
        assert (found.went, found.came) == (back.went, back.came) == (0, 0)
        assert found.not_known_before == back.not_known_after == inside.sum()
        assert found.known_mm2 == pytest.approx(96 * 64 - 40 * 30, rel=0.01)
        assert found.went_mm2 < 2


def test_points_at_the_edge_of_the_face_are_known(base):
    edge = np.array([[0.2, 20.0, 1.6], [95.9, 30.0, 1.6], [40.0, 0.1, 1.6], [50.0, 63.9, 1.6]])
    one, none = print_of(base, edge), print_of(base, np.empty((0, 3)))
    assert counts(compare_prints(one, none)) == (0, 4, 0)
    assert counts(compare_prints(none, one)) == (0, 0, 4)


def test_what_glare_took_is_not_known(base):
    points = spread_points(21)
    one, two = print_of(base, points), print_of(base, points[points[:, 0] < 50])
    glare = np.zeros_like(two.contact_mask)
    glare[:, int((50 + 3) * two.px_per_mm) :] = True
    found = compare_prints(one, two, washed_out=(None, glare), shift=NO_SHIFT)
    plain = compare_prints(one, two, shift=NO_SHIFT)
    assert found.went <= 4 < plain.went
    assert found.known_mm2 == pytest.approx(50 * 64, rel=0.02)
    with pytest.raises(scrapeview.errors.ReadingError, match="glare"):
        compare_prints(one, two, washed_out=(None, glare[:-1]), shift=NO_SHIFT)


def test_a_point_that_is_cut_in_two_stays_once(base):
    whole = np.array([[30.0, 30.0, 4.0]])
    halves = np.array([[29.1, 30.0, 1.6], [31.0, 30.0, 1.6]])
    found = compare_prints(print_of(base, whole), print_of(base, halves), shift=NO_SHIFT)
    assert counts(found) == (1, 0, 1)


def test_points_farther_apart_than_their_size_are_not_the_same(base):
    one = print_of(base, [[30.0, 30.0, 2.0]])
    for apart, stayed in ((0.8, 1), (1.4, 0)):
        two = print_of(base, [[30.0 + apart, 30.0, 2.0]])
        assert compare_prints(one, two, shift=NO_SHIFT).stayed == stayed


def test_pairs_are_one_to_one_and_the_nearest_first():
    first = np.array([[0.0, 0.0, 4.0], [1.5, 0.0, 4.0]])
    second = np.array([[1.0, 0.0, 4.0]])
    assert nearest_pairs(first, second, 0.0).tolist() == [[1, 0]]
    assert nearest_pairs(first, np.empty((0, 3)), 0.0).shape == (0, 2)


@given(st.lists(st.tuples(*[st.floats(0, 12)] * 2, st.floats(0.5, 5)), min_size=1, max_size=25))
def test_no_point_is_paired_twice(rows):
    first = np.array(rows)
    second = first[::-1] + np.array([0.31, -0.22, 0.0])
    pairs = nearest_pairs(first, second, 0.4)
    assert len(set(pairs[:, 0])) == len(set(pairs[:, 1])) == len(pairs)
    apart = np.hypot(*(first[pairs[:, 0], :2] - second[pairs[:, 1], :2]).T)
    assert (np.diff(apart) > -1e-9).all()


def test_every_fate_is_one_of_the_list(base):
    before, after, _ = kept_removed_added(23)
    found = compare_prints(print_of(base, before), print_of(base, after))
    assert set(found.points["fate"]) <= set(FATES)
    assert len(found.points) == found.stayed + found.went + found.came


def test_a_count_of_merged_patches_is_not_relied_on(base):
    points = spread_points(25)
    fine, merged = print_of(base, points), print_of(base, points, merged_percent=35.0)
    assert compare_prints(fine, fine).count_reliable
    assert not compare_prints(fine, merged).count_reliable


def test_the_interval_of_a_change_follows_from_both():
    change = difference(20.0, Interval(17.0, 24.0), 30.0, Interval(26.0, 33.0))
    assert change.value == 10
    assert change.interval.low == pytest.approx(10 - np.hypot(4, 4))
    assert change.interval.high == pytest.approx(10 + np.hypot(3, 3))
    assert change.plain
    unknown = difference(20.0, Interval(0.0, np.inf), 30.0, Interval(26.0, 33.0))
    assert not unknown.plain


def test_the_interval_of_a_change_holds_the_truth_as_often_as_it_says():
    rng = np.random.default_rng(4)
    held = 0
    for _ in range(2000):
        a, b = rng.normal((20, 26), (1.5, 2.5))
        wide = 1.96 * np.array([1.5, 2.5])
        found = difference(
            a, Interval(a - wide[0], a + wide[0]), b, Interval(b - wide[1], b + wide[1])
        )
        held += found.interval.low <= 6 <= found.interval.high
    assert 0.93 < held / 2000 < 0.97
