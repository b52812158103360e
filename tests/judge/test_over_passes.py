"""Places marked in every pass and places never marked are those that were, with chance beside."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from known_prints import SIZE_MM, print_of, spread_points, strewn_points

from scrapeview.columns import columns_of
from scrapeview.errors import ReadingError
from scrapeview.judge import grid_for, lay, merged, over_passes
from scrapeview.judge.compare.laid import FaceGrid, LaidPrint
from scrapeview.judge.compare.places import open_space, table_of_places
from scrapeview.simulate import FaceShape, scrape_series

GRID = FaceGrid(3.0, (0.5 / 3, 0.5 / 3), (int(SIZE_MM[1] * 3), int(SIZE_MM[0] * 3)))


def laid(base, *prints, **options):
    readings = [print_of(base, points, **options) for points in prints]
    grid = grid_for(readings)
    return [lay(reading, grid) for reading in readings]


def random_print(seed, share=0.25, unknown=0.0):
    """Patches of a given share, coarser than a square, with a corner that is not known."""
    rng = np.random.default_rng(seed)
    coarse = rng.random((GRID.shape[0] // 6, GRID.shape[1] // 6)) < share
    contact = np.kron(coarse, np.ones((6, 6), bool))
    known = np.ones(GRID.shape, bool)
    known[: int(unknown * GRID.shape[0])] = False
    return LaidPrint(GRID, contact & known, known)


def test_points_in_every_pass_are_found_with_place_and_area(base):
    always = np.array([[20.0, 12.0, 4.0], [70.0, 50.0, 3.0], [45.0, 30.0, 2.4]])
    changing = [strewn_points(seed, 90, 6.0) for seed in (1, 2, 3, 4, 5)]
    prints = []
    for points in changing:
        far = np.hypot(*(points[:, None, :2] - always[None, :, :2]).transpose(2, 0, 1)).min(axis=1)
        prints.append(np.vstack((always, points[far > 4])))
    found = over_passes(laid(base, *prints), least_marked_mm=1.5)
    table = found.always.table
    assert table[["x_mm", "y_mm"]].to_numpy() == pytest.approx(always[:, :2], abs=0.3)
    assert table["area_mm2"].to_numpy() == pytest.approx(np.pi / 4 * always[:, 2] ** 2, rel=0.08)
    assert table["across_mm"].to_numpy() == pytest.approx(always[:, 2], abs=0.7)
    assert table["long_mm"].to_numpy() == pytest.approx(always[:, 2], abs=0.7)
    assert table["number"].tolist() == [1, 2, 3]
    assert found.always.area_mm2 == pytest.approx(table["area_mm2"].sum())
    assert found.always.beyond_chance


def test_a_bare_place_is_found_with_place_and_size(base):
    prints = []
    for seed in (6, 7, 8):
        points = spread_points(seed, 4.0)
        prints.append(points[np.hypot(points[:, 0] - 60, points[:, 1] - 25) > 11])
    found = over_passes(laid(base, *prints), least_bare_mm=12.0)
    place = found.never.table.iloc[0]
    assert len(found.never.table) == 1
    assert (place["x_mm"], place["y_mm"]) == pytest.approx((60, 25), abs=2)
    assert 18 < place["across_mm"] < 23
    assert place["area_mm2"] > np.pi / 4 * 18**2
    assert found.never.beyond_chance


def test_frequency_counts_the_passes(base):
    one = np.array([[30.0, 30.0, 5.0]])
    none = np.empty((0, 3))
    found = over_passes(laid(base, one, none, one, one))
    row, column = np.rint(found.grid.to_px(np.array([[30.0, 30.0]]))[0][::-1]).astype(int)
    assert found.marked[row, column] == 3
    assert found.marked_share[row, column] == 0.75
    assert found.marked.max() == 3
    assert len(found.always.table) == 0


@hypothesis_settings(max_examples=15)
@given(
    seeds=st.lists(st.integers(0, 10**6), min_size=2, max_size=5),
    data=st.data(),
)
def test_the_order_of_passes_does_not_matter(seeds, data):
    prints = [random_print(seed, unknown=0.1 * (seed % 3)) for seed in seeds]
    one, two = over_passes(prints), over_passes(data.draw(st.permutations(prints)))
    assert (one.marked == two.marked).all()
    assert (one.seen == two.seen).all()
    assert one.always.table.equals(two.always.table)
    assert one.never.table.equals(two.never.table)
    assert one.always.chance_mm2 == two.always.chance_mm2
    assert one.never.chance_mm2 == two.never.chance_mm2


@hypothesis_settings(max_examples=15)
@given(seed=st.integers(0, 10**6), count=st.integers(2, 5))
def test_another_pass_only_takes_from_always_and_never(seed, count):
    prints = [random_print(seed + n, share=0.6) for n in range(count + 1)]
    fewer, more = over_passes(prints[:-1]), over_passes(prints)
    assert not (more.always.mask & ~fewer.always.mask).any()
    assert not (more.never.mask & ~fewer.never.mask).any()


def test_unrelated_passes_are_told_as_chance():
    held = []
    for first in range(0, 60, 3):
        found = over_passes([random_print(first + n, share=0.5) for n in range(3)])
        expected = 0.5**3 * found.known_mm2
        assert found.always.chance_mm2.expected == pytest.approx(expected, rel=0.15)
        chance = found.always.chance_mm2
        held.append(chance.low <= found.always.area_mm2 <= chance.high)
    assert np.mean(held) > 0.75


def test_what_a_pass_does_not_show_is_neither_always_nor_never():
    whole = [random_print(n, share=1.0) for n in range(2)]
    hidden = random_print(3, share=1.0, unknown=0.5)
    found = over_passes([*whole, hidden])
    half = GRID.shape[0] // 2
    assert not found.always.mask[:half].any()
    assert found.always.mask[half:].all()
    assert found.known_mm2 == pytest.approx(found.seen_once_mm2 / 2)
    assert (found.marked_share[:half] == 1).all()
    blank = [LaidPrint(GRID, np.zeros_like(laid.contact), laid.known) for laid in (*whole, hidden)]
    none = over_passes(blank)
    assert not none.never.mask[:half].any()
    assert none.never.mask[half:].any()


def test_openings_are_never_bare(base):
    slot = [[20, 10], [60, 10], [60, 40], [20, 40]]
    none = np.empty((0, 3))
    found = over_passes(laid(base, none, none, openings_mm=(slot,)))
    assert found.never.area_mm2 == pytest.approx(96 * 64 - 40 * 30, rel=0.02)
    assert np.isnan(found.marked_share).mean() == pytest.approx(1200 / (96 * 64), rel=0.02)


def test_blank_passes_have_no_mark_in_common(base):
    none = np.empty((0, 3))
    found = over_passes(laid(base, none, none, none))
    assert found.always.area_mm2 == 0
    assert list(found.always.table.columns) == [column.name for column in columns_of("places")]
    assert found.never.area_mm2 == pytest.approx(96 * 64, rel=0.01)
    assert not found.always.beyond_chance
    assert not found.never.beyond_chance


def test_a_turned_face_has_the_same_places(base):
    prints = [strewn_points(seed, 150) for seed in (11, 12)]
    turned = [np.column_stack((64 - p[:, 1], p[:, 0], p[:, 2])) for p in prints]
    plain = over_passes(laid(base, *prints))
    other = over_passes(laid(base, *turned, size_mm=SIZE_MM[::-1]))
    assert other.always.area_mm2 == pytest.approx(plain.always.area_mm2, rel=0.1)
    assert other.never.area_mm2 == pytest.approx(plain.never.area_mm2, rel=0.1)


def test_placements_of_one_pass_are_one_print(base):
    left, right = np.array([[20.0, 30.0, 4.0]]), np.array([[80.0, 30.0, 4.0]])
    one = print_of(base, left, size_mm=(50.0, 64.0))
    two = print_of(base, right, size_mm=(56.0, 64.0), start_mm=(40.0, 0.0))
    grid = grid_for([one, two])
    both = merged([lay(one, grid), lay(two, grid)])
    assert both.known.all()
    assert both.contact.sum() * grid.square_mm2 == pytest.approx(2 * np.pi * 4, rel=0.05)


def test_one_pass_or_different_grids_are_refused_in_words(base):
    one = laid(base, spread_points(13))
    with pytest.raises(ReadingError, match="second"):
        over_passes(one)
    with pytest.raises(ReadingError, match="grids"):
        over_passes([one[0], random_print(1)])
    with pytest.raises(ReadingError, match="no print"):
        grid_for([])


def test_long_faces_are_laid_coarser(base):
    long = print_of(base, np.empty((0, 3)), size_mm=(1400.0, 230.0), px_per_mm=2.0)
    long_fine = print_of(base, np.empty((0, 3)), size_mm=(1400.0, 230.0), px_per_mm=5.0)
    for reading in (long, long_fine):
        grid = grid_for([reading])
        assert grid.shape[0] * grid.shape[1] < 1.6e6
        assert grid.px_per_mm < reading.px_per_mm
        assert lay(reading, grid).known.mean() > 0.99


def test_a_place_lies_inside_itself():
    crescent = np.zeros(GRID.shape, bool)
    y, x = np.indices(GRID.shape)
    crescent |= np.hypot(x - 100, y - 90) < 60
    crescent &= np.hypot(x - 118, y - 90) > 52
    table = table_of_places(crescent, GRID, 8)
    place = table.iloc[0]
    assert GRID.holds(crescent, np.array([[place["x_mm"], place["y_mm"]]])).all()
    assert table["area_mm2"].sum() == pytest.approx(crescent.sum() / 9)
    assert place["long_mm"] == pytest.approx(120 / 3, rel=0.1)


@pytest.mark.parametrize("least_mm", [3.0, 6.35, 10.0])
def test_no_room_is_called_open_that_its_circle_does_not_fit(least_mm):
    wide = np.zeros(GRID.shape, bool)
    wide[30 : 30 + int(least_mm * 3) + 2, 20:200] = True
    assert open_space(wide, GRID, least_mm).sum() > 0.9 * wide.sum()
    narrow = np.zeros(GRID.shape, bool)
    narrow[30 : 30 + int(least_mm * 3) - 1, 20:200] = True
    assert not open_space(narrow, GRID, least_mm).any()


def test_real_passes_of_one_face_have_more_in_common_than_chance():
    face = FaceShape(size_mm=(70.0, 48.0), border_mm=0.0)
    prints = []
    for taken in itertools.islice(scrape_series(face, seed=3), 8):
        grid = FaceGrid(taken.face.grid.px_per_mm, taken.face.grid.origin_mm, taken.contact.shape)
        prints.append(LaidPrint(grid, taken.contact & taken.face.metal, taken.face.metal))
    areas = [over_passes(prints[-n:]) for n in (2, 3, 5, 8)]
    assert all(found.always.beyond_chance for found in areas)
    known_mm2 = [found.always.area_mm2 for found in areas]
    assert known_mm2 == sorted(known_mm2, reverse=True)
    share = np.mean([laid.contact_share for laid in prints[-2:]])
    assert areas[0].always.chance_mm2.expected == pytest.approx(
        share**2 * areas[0].known_mm2, rel=0.25
    )
