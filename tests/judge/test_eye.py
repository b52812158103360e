"""Squares for the eye are chosen by chance, whole and apart; agreement is Bland and Altman's."""

import dataclasses

import numpy as np
import pytest
from known_prints import SIZE_MM, print_of, spread_points

from scrapeview.bearing import Interval
from scrapeview.judge.eye import agreement_of, by_tool, squares_to_count
from scrapeview.record.entries import EyeCount

SIDE = 25.4
SLOT = ((40.0, 0.0), (44.0, 0.0), (44.0, 64.0), (40.0, 64.0))

# peak flow in l/min of 17 subjects, first reading by the large and by the mini meter, with their
# mean difference, SD and limits at 2 SD: J. M. Bland and D. G. Altman, Lancet 1986 i: 307-310.
# The readings were checked against the table on J. M. Bland's own pages at the University of
# York; the published mean, SD and limits are from memory, and the readings reproduce them.
LARGE = (494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427)
MINI = (512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451)


def counts_of(eye, tool, side_mm=SIDE):
    return [
        EyeCount(print_id=1, reading_id=1, x_mm=0.0, y_mm=0.0, side_mm=side_mm, by_eye=a, by_tool=b)
        for a, b in zip(eye, tool, strict=True)
    ]


def starts(squares):
    return np.array([[s.x_mm, s.y_mm] for s in squares]).reshape(-1, 2)


def apart(squares):
    """Least distance, along the farther axis, between the corners of two squares."""
    at = starts(squares)
    far = np.abs(at[:, None] - at[None]).max(axis=2)
    return far[np.triu_indices(len(at), 1)].min()


@pytest.fixture(scope="module")
def face(base):
    return print_of(base, spread_points(3))


def test_squares_are_whole_apart_and_the_same_for_the_same_seed(face):
    found = squares_to_count(face, 4, seed=7)
    assert found.room == "all"
    assert len(found) == 4
    at = starts(found)
    assert (at >= 0).all()
    assert (at + SIDE <= np.array(SIZE_MM) + 1e-6).all()
    assert apart(found) >= SIDE
    assert all(s.area_mm2 == pytest.approx(SIDE**2, rel=0.006) for s in found)
    assert squares_to_count(face, 4, seed=7) == found
    assert squares_to_count(face, 4, seed=8) != found


def test_every_place_is_as_likely_for_the_first_square(face):
    at = np.array([starts(squares_to_count(face, 1, seed=s))[0] for s in range(240)])
    room = np.array(SIZE_MM) - SIDE
    quarters = (at < room / 2).astype(int) @ (1, 2)
    # 60 expected in each: more than 4 standard deviations off would be no chance
    assert (np.abs(np.bincount(quarters, minlength=4) - 60) < 27).all()


def test_points_count_where_their_middle_lies(face):
    for square in squares_to_count(face, 4, seed=1):
        x, y = face.points["x_mm"] - square.x_mm, face.points["y_mm"] - square.y_mm
        inside = (x >= 0) & (x < SIDE) & (y >= 0) & (y < SIDE)
        assert square.points == inside.sum()
        assert square.points_per_square_inch == pytest.approx(square.points, rel=0.006)
    edge = face.points.head(1).assign(x_mm=10.0, y_mm=10.0)
    assert [by_tool(edge, *at, 5.0) for at in ((10, 10), (5, 10), (5.1, 9))] == [1, 0, 1]


def test_openings_and_glare_are_kept_off(base):
    slotted = print_of(base, spread_points(3), openings_mm=(SLOT,))
    washed = np.zeros(slotted.contact_mask.shape, dtype=bool)
    washed[:, : washed.shape[1] // 3] = True
    for seed in range(12):
        at = starts(squares_to_count(slotted, 2, seed=seed))
        assert ((at[:, 0] + SIDE <= 40.3) | (at[:, 0] >= 43.7)).all()
        at = starts(squares_to_count(slotted, 2, seed=seed, washed_out=washed))
        assert (at[:, 0] >= 43.7).all()


def test_squares_counted_before_are_kept_off(face):
    first = squares_to_count(face, 2, seed=5)
    more = squares_to_count(face, 2, seed=5, already=first.squares)
    assert apart([*first, *more]) >= SIDE
    kept = [
        EyeCount(print_id=1, reading_id=1, x_mm=s.x_mm, y_mm=s.y_mm, side_mm=s.side_mm,
                 by_eye=1, by_tool=s.points)
        for s in first
    ]  # fmt: skip
    assert squares_to_count(face, 2, seed=5, already=kept) == more


def test_a_small_face_gives_as_many_as_fit_and_says_so(base):
    narrow = print_of(base, spread_points(1, size_mm=(60.0, 30.0)), size_mm=(60.0, 30.0))
    found = squares_to_count(narrow, 6, seed=2)
    assert found.room == "few"
    assert 1 <= len(found) <= 2
    sliver = print_of(base, spread_points(1, size_mm=(60.0, 20.0)), size_mm=(60.0, 20.0))
    assert squares_to_count(sliver, 4, seed=2).room == "none"
    assert len(squares_to_count(sliver, 4, seed=2)) == 0


def test_without_a_print_there_is_nothing_to_count(face):
    blank = dataclasses.replace(face, is_print=False)
    assert squares_to_count(blank, 4, seed=1).room == "no print"


def test_cells_that_glare_thinned_are_kept_off(face):
    cells = face.cells.head(3).assign(
        x_mm=[0.0, SIDE, 2 * SIDE], y_mm=0.0, area_mm2=[300.0, SIDE**2, SIDE**2]
    )
    glary = dataclasses.replace(face, washed_out_percent=4.0, cells=cells)
    for seed in range(20):
        at = starts(squares_to_count(glary, 1, seed=seed))[0]
        assert at[0] >= SIDE - 0.5 or at[1] >= SIDE - 0.5


def test_the_published_example_is_reproduced():
    found = agreement_of(counts_of(LARGE, MINI))
    difference = found.table["difference_ppsi"]
    assert found.count == 17
    assert found.bias == pytest.approx(-2.1, abs=0.05)
    assert difference.std() == pytest.approx(38.8, abs=0.05)
    # published with 2 SD
    assert found.bias - 2 * difference.std() == pytest.approx(-79.7, abs=0.1)
    assert found.bias + 2 * difference.std() == pytest.approx(75.5, abs=0.1)
    # ours with 1.96
    assert found.low == pytest.approx(found.bias - 1.96 * difference.std())
    assert found.high == pytest.approx(found.bias + 1.96 * difference.std())
    # t with 16 degrees of freedom is 2.12
    assert found.bias_interval.low == pytest.approx(-2.12 - 2.12 * 38.77 / 17**0.5, abs=0.1)
    half = 2.12 * (3 * 38.77**2 / 17) ** 0.5
    assert found.low_interval.low == pytest.approx(found.low - half, abs=0.1)
    assert found.high_interval.high == pytest.approx(found.high + half, abs=0.1)
    assert not found.bias_plain
    assert not found.trend_plain


def test_counts_are_told_per_square_inch_whatever_the_square():
    inch = agreement_of(counts_of([20, 21, 25], [20, 20, 20]))
    assert inch.bias == pytest.approx(2.0)
    metric = agreement_of(counts_of([20, 21, 25], [20, 20, 20], side_mm=25.0))
    assert metric.bias == pytest.approx(2.0 * 1.032256)


def test_a_plain_bias_is_called_one():
    tool = np.array([18, 20, 22, 19, 21, 20])
    assert agreement_of(counts_of(tool + np.array([3, 2, 4, 3, 3, 2]), tool)).bias_plain
    assert not agreement_of(counts_of(tool + np.array([1, -1, 0, 2, -2, 0]), tool)).bias_plain


def test_a_difference_that_grows_with_the_count_is_told():
    tool = np.arange(10, 40, 3)
    found = agreement_of(counts_of(tool + tool // 8, tool))
    assert found.trend_plain
    assert found.trend > 0.9


@pytest.mark.parametrize(("count", "more"), [(0, 3), (1, 2), (2, 1), (3, 0)])
def test_few_squares_are_no_error_and_say_how_many_more(count, more):
    found = agreement_of(counts_of([20, 22, 21][:count], [19, 20, 21][:count]))
    assert found.more_needed == more
    assert np.isfinite(found.high) == (count >= 3)
    if count < 2:
        assert found.bias_interval == Interval(-np.inf, np.inf)
        assert not found.bias_plain


def test_counts_that_all_agree_are_no_error():
    found = agreement_of(counts_of([20] * 9, [20] * 9))
    assert (found.bias, found.low, found.high) == (0.0, 0.0, 0.0)
    assert not found.trend_plain
