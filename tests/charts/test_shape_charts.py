"""The relief's map and the pivots' picture show what was estimated, and no more."""

import dataclasses
import json
import sys
from pathlib import Path

import numpy as np
import pytest

from scrapeview.charts.chart_style import figure_html
from scrapeview.charts.shape_charts import HATCHED, pivot_picture, relief_map
from scrapeview.judge.shape import shape_of
from scrapeview.record.entries import SwingTest

sys.path.insert(0, str(Path(__file__).parents[1] / "judge"))

from known_prints import print_of, spread_points

LENGTH_MM = 168.0
SIZE_MM = (LENGTH_MM, 96.0)


@pytest.fixture(scope="module")
def base(reading):
    return reading("plain", 2)


@pytest.fixture(scope="module")
def shape(base):
    """Bare at the left, marked all over in a corner at the right."""
    points = spread_points(1, size_mm=SIZE_MM)
    points = points[points[:, 0] > 36]
    points[(points[:, 0] > LENGTH_MM - 34) & (points[:, 1] < 40), 2] = 8.0
    return shape_of(print_of(base, points, size_mm=SIZE_MM))


@pytest.fixture(scope="module")
def tall(base):
    size = (64.0, 96.0)
    return shape_of(print_of(base, spread_points(2, size_mm=size), size_mm=size))


def named(figure, name):
    return next(trace for trace in figure.data if trace.name == name)


def test_the_map_shows_the_relief_where_it_is_told_with_its_error(shape):
    heights = relief_map(shape).data[0]
    assert np.isfinite(np.array(heights.z, float)).tolist() == shape.relief.told.tolist()
    at = tuple(np.argwhere(shape.relief.told)[7])
    assert heights.z[at] == pytest.approx(shape.relief.height[at], abs=1e-3)
    assert heights.customdata[at] == pytest.approx(shape.relief.error[at], abs=1e-2)
    assert heights.zmin == -heights.zmax
    assert heights.zmax >= np.nanmax(np.abs(shape.relief.height))
    # numbers on the lines: never colour alone
    assert heights.contours.showlabels


def test_too_little_and_too_much_are_hatched_unlike(shape):
    figure = relief_map(shape)
    low, high = (named(figure, HATCHED[sign]) for sign in (-1, 1))
    assert low.fillpattern.shape != high.fillpattern.shape
    in_low, in_high = (np.array([v for v in t.x if v is not None]) for t in (low, high))
    assert in_low.max() < 40
    assert in_high.min() > LENGTH_MM - 40
    # from the very border on: a square's side, not its middle
    assert in_low.min() == pytest.approx(0, abs=0.3)


def test_a_face_without_such_places_has_no_hatching(tall):
    assert not {trace.name for trace in relief_map(tall).data} & set(HATCHED.values())


def test_the_map_keeps_the_face_s_proportions_and_says_that_it_is_an_estimate(shape):
    layout = relief_map(shape).layout
    assert layout.yaxis.scaleanchor == "x"
    assert layout.yaxis.range[0] > layout.yaxis.range[1]
    title = layout.annotations[0].text
    assert "estimate" in title
    assert "25.4 mm" in title
    assert "1.00 in" in relief_map(shape, "inch").layout.annotations[0].text


def test_in_inches_all_places_are(shape):
    metric, inch = relief_map(shape), relief_map(shape, "inch")
    assert np.array(inch.data[0].x) * 25.4 == pytest.approx(np.array(metric.data[0].x))
    assert inch.layout.xaxis.range[1] * 25.4 == pytest.approx(LENGTH_MM)
    picture, in_inches = pivot_picture(shape), pivot_picture(shape, "inch")
    at = [named(p, "pushed left").x[0] for p in (picture, in_inches)]
    assert at[1] * 25.4 == pytest.approx(at[0])
    assert "in" in in_inches.layout.xaxis.title.text


def test_pivots_stand_where_they_are_from_the_far_end_with_their_intervals(shape):
    figure = pivot_picture(shape)
    left, right = shape.pivots
    pushed_left, pushed_right = named(figure, "pushed left"), named(figure, "pushed right")
    assert pushed_left.x[0] == pytest.approx(LENGTH_MM * (1 - left.share))
    assert pushed_right.x[0] == pytest.approx(LENGTH_MM * right.share)
    reach = pushed_left.error_x
    assert pushed_left.x[0] + reach.array[0] == pytest.approx(LENGTH_MM * (1 - left.interval.low))
    assert pushed_left.x[0] - reach.arrayminus[0] == pytest.approx(
        LENGTH_MM * (1 - left.interval.high)
    )
    even = [trace.x[0] for trace in figure.data if trace.name == "if even"]
    assert even == pytest.approx([LENGTH_MM * (1 - left.even_share), LENGTH_MM * right.even_share])
    assert pushed_left.marker.symbol != pushed_right.marker.symbol


def test_ground_that_no_face_covers_is_not_filled(shape):
    bears = shape.bears_percent.copy()
    bears[10:14] = np.nan
    drawn = pivot_picture(dataclasses.replace(shape, bears_percent=bears)).data
    runs = [len(trace.x) for trace in drawn if trace.name == "contact along the length"]
    assert runs == [10, len(bears) - 14]


def test_the_swing_test_stands_beside_them_where_it_has_a_place(shape):
    told = SwingTest(pass_number=3, result="convex", pivot_percent=40.0)
    swung = named(pivot_picture(shape, swing=told), "swing test")
    assert list(swung.x) == pytest.approx([LENGTH_MM * 0.6, LENGTH_MM * 0.4])
    for without in (None, dataclasses.replace(told, pivot_percent=None)):
        names = [trace.name for trace in pivot_picture(shape, swing=without).data]
        assert "swing test" not in names


def test_a_tall_face_is_told_from_the_top(tall):
    figure = pivot_picture(tall)
    assert "from the top" in figure.layout.xaxis.title.text
    assert named(figure, "pushed top").x[0] > named(figure, "pushed bottom").x[0]


def test_a_print_without_marks_is_drawn_too(base):
    empty = shape_of(print_of(base, np.empty((0, 3))))
    assert named(relief_map(empty), HATCHED[-1])
    picture = pivot_picture(empty, swing=SwingTest(pass_number=1, result="even", pivot_percent=30))
    assert not [t for t in picture.data if t.name in ("if even", "swing test")]


def test_figures_can_be_taken_out(shape):
    for figure in (relief_map(shape), pivot_picture(shape)):
        assert json.loads(figure.to_json())["data"]
        assert "plotly" in figure_html(figure, "shape")
