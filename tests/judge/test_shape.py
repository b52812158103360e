"""The shape of a face as one reading gives it: its length, its ends, its relief on the face."""

import dataclasses

import numpy as np
import pytest
from known_prints import SIZE_MM, print_of, spread_points

from scrapeview.errors import ReadingError
from scrapeview.judge.shape import STRETCHES, shape_of


def crowned(seed, size_mm=SIZE_MM):
    """Points that are large in the middle of the length and small at its ends."""
    points = spread_points(seed, radius_mm=(1.0, 1.3), size_mm=size_mm)
    off = points[:, 0] / size_mm[0] * 2 - 1
    points[:, 2] *= np.sqrt(1.6 - 1.4 * off**2)
    return points


def test_an_even_print_glides_and_lies_level(base):
    shape = shape_of(print_of(base, spread_points(1)))
    assert [pivot.pushed for pivot in shape.pivots] == ["left", "right"]
    assert shape.says == "even"
    assert shape.relief.standing_off_percent < 10
    assert (shape.along, shape.start_mm, shape.length_mm) == ("x", 0.0, pytest.approx(96.0))
    assert shape.across_mm == (0.0, pytest.approx(64.0))


def test_a_print_that_is_full_in_the_middle_points_to_convex(base):
    shape = shape_of(print_of(base, crowned(2)))
    assert [pivot.shape for pivot in shape.pivots] == ["convex", "convex"]
    assert shape.says == "convex"
    x = shape.relief_grid.origin_mm[0] + np.arange(shape.relief_grid.shape[1]) / (
        shape.relief_grid.px_per_mm
    )
    along = np.nanmean(shape.relief.height, axis=0)
    assert along[np.abs(x - 48) < 10].mean() > along[np.abs(x - 48) > 38].mean() + 0.5


def test_one_loaded_end_is_neither_convex_nor_hollow(base):
    points = spread_points(3)
    points[points[:, 0] > 48, 2] *= 0.5
    shape = shape_of(print_of(base, points))
    assert [pivot.shape for pivot in shape.pivots] == ["convex", "hollow"]
    assert shape.says == "one end bears more"


def test_a_tall_face_has_its_ends_at_top_and_bottom(base):
    lying, tall = SIZE_MM, SIZE_MM[::-1]
    points = crowned(4)
    turned = points[:, [1, 0, 2]]
    there = shape_of(print_of(base, points, size_mm=lying))
    shape = shape_of(print_of(base, turned, size_mm=tall))
    assert shape.along == "y"
    assert [pivot.pushed for pivot in shape.pivots] == ["top", "bottom"]
    for pivot, other in zip(shape.pivots, there.pivots, strict=True):
        assert pivot.share == pytest.approx(other.share, abs=1e-3)
    np.testing.assert_allclose(shape.bears_percent, there.bears_percent, atol=1e-9)
    np.testing.assert_allclose(shape.relief.height.T, there.relief.height, atol=1e-6)


def test_stretches_tell_where_it_bears(base):
    points = spread_points(5)
    shape = shape_of(print_of(base, points[points[:, 0] < 40], start_mm=(0.0, 0.0)))
    assert len(shape.stretch_mm) == STRETCHES
    assert shape.bears_percent[shape.stretch_mm < 38].mean() > 8
    assert (shape.bears_percent[shape.stretch_mm > 44] == 0).all()
    low, high = shape.stretch_mm[[0, -1]]
    assert low + high == pytest.approx(96.0, abs=0.6)


def test_the_relief_lies_on_the_face_wherever_that_starts(base):
    points = crowned(6)
    at_zero = shape_of(print_of(base, points))
    moved = points + np.array([100.0, -30.0, 0.0])
    shape = shape_of(print_of(base, moved, start_mm=(100.0, -30.0)))
    np.testing.assert_allclose(
        np.subtract(shape.relief_grid.origin_mm, at_zero.relief_grid.origin_mm), (100, -30)
    )
    np.testing.assert_allclose(shape.stretch_mm - 100, at_zero.stretch_mm)
    assert [p.share for p in shape.pivots] == pytest.approx([p.share for p in at_zero.pivots])


def test_openings_and_what_glare_took_have_no_height(base):
    slot = [(20, 20), (60, 20), (60, 30), (20, 30)]
    reading = print_of(base, spread_points(7), openings_mm=[slot])
    washed_out = np.zeros(reading.contact_mask.shape, bool)
    washed_out[:, -140:] = True
    shape = shape_of(reading, washed_out=washed_out)
    grid = shape.relief_grid
    places = np.array([(40.0, 25.0), (85.0, 40.0), (40.0, 45.0)])
    assert grid.holds(shape.relief.told, places).tolist() == [False, False, True]
    assert not grid.holds(shape.relief.beyond != 0, places).any()
    # pushed at the end of the face, not of what is left to see
    assert shape.length_mm == pytest.approx(96.0)
    assert np.isnan(shape.bears_percent[-1])
    with pytest.raises(ReadingError, match="does not fit"):
        shape_of(reading, washed_out=washed_out[1:])


def test_a_print_without_marks_says_nothing(base):
    shape = shape_of(print_of(base, np.empty((0, 3))))
    assert shape.pivots == ()
    assert shape.says == "nothing"
    assert not shape.relief.told.any()
    assert (shape.bears_percent == 0).all()


def test_the_order_of_points_and_the_count_do_not_matter(base):
    reading = print_of(base, crowned(8))
    other = dataclasses.replace(reading, points=reading.points.iloc[::-1])
    assert shape_of(reading).pivots == shape_of(other).pivots
