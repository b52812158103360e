"""The picture of the next pass: shapes at their places, marks still to be seen, a legend."""

import dataclasses

import numpy as np
import pytest

from scrapeview.charts.canvas import Canvas
from scrapeview.charts.next_pass_picture import (
    CLEAR_MM,
    LATER,
    PX_PER_MM,
    TAKEN,
    advice_layers,
    draw_advice,
    draw_next_pass,
    drawn_points,
    patches_to_take,
    picture_canvas,
)
from scrapeview.errors import ReadingError
from scrapeview.judge.next.next_pass import next_pass
from scrapeview.targets import Target

TARGET = Target(name="t", ppsi_least=20)
SEED = 2


@pytest.fixture(scope="module", params=["plain", "merged", "rings"])
def advised(request, reading, printed):
    found = reading(request.param, SEED)
    return found, printed(request.param, SEED).jpeg, next_pass(found, TARGET)


def test_shapes_of_all_kinds_differ_and_so_do_their_names():
    marks = [*TAKEN.values(), LATER]
    assert len({mark.shape for mark in marks}) == len(marks)
    assert len({mark.name for mark in marks}) == len(marks)


def test_every_point_to_take_is_drawn_at_its_place(advised):
    found, _, advice = advised
    canvas = Canvas.over((0, 0, 110, 70), 8.0, 2.0)
    drawn = drawn_points(canvas, advice)
    ranked = advice.points[advice.points["rank"] > 0]
    assert len(drawn) == len(ranked)
    places = canvas.to_px(ranked[["x_mm", "y_mm"]].to_numpy())
    assert [(one.x, one.y) for one in drawn] == [tuple(place) for place in places.tolist()]
    for one, across in zip(drawn, ranked["diameter_mm"], strict=True):
        assert one.radius == pytest.approx((across / 2 + CLEAR_MM) * 8.0)
    widths = [one.width for one in drawn if one.mark is not LATER]
    assert widths == sorted(widths, reverse=True)
    assert len(set(widths)) == 3
    assert len(found.points) >= len(drawn)


def test_the_marks_stay_to_be_seen(advised):
    """Of the pixels in contact most are as the photograph has them."""
    found, photo, advice = advised
    canvas = picture_canvas(found, photo, 1100)
    before = canvas.rgb.copy()
    draw_advice(canvas, found, advice)
    contact = canvas.brought_mask(found.contact_mask, found.px_per_mm, found.origin_mm)
    same = (canvas.rgb == before).all(axis=-1)
    assert same[contact].mean() > 0.55
    assert not same.all()


def test_a_ring_runs_round_its_mark_not_over_it(reading, printed):
    found = reading("plain", SEED)
    advice = next_pass(found, TARGET)
    large = advice.to_take[advice.to_take["why"] == "large"]
    canvas = picture_canvas(found, printed("plain", SEED).jpeg, 1100)
    before = canvas.rgb.copy()
    draw_advice(canvas, found, advice)
    places = np.round(canvas.to_px(large[["x_mm", "y_mm"]].to_numpy())).astype(int)
    inside = [(p > 3).all() and (p[::-1] < np.array(canvas.shape) - 3).all() for p in places]
    assert sum(inside) > 3
    kept = [(canvas.rgb[y, x] == before[y, x]).all() for x, y in places[inside]]
    assert np.mean(kept) > 0.8


def test_only_patches_to_take_are_outlined(reading):
    merged = reading("merged", SEED)
    advice = next_pass(merged, TARGET)
    assert patches_to_take(merged, advice).any()
    assert not (patches_to_take(merged, advice) & ~merged.contact_mask).any()
    none = dataclasses.replace(advice, points=advice.points.assign(what="leave"))
    assert not patches_to_take(merged, none).any()


def test_what_to_leave_is_hatched_and_nothing_where_all_is_done(reading, printed):
    found = reading("plain", SEED)
    advice = next_pass(found, TARGET)
    leave = np.zeros_like(advice.leave)
    leave[20:80, 30:100] = True
    only = dataclasses.replace(
        advice, leave=leave, points=advice.points.assign(rank=0, what="leave")
    )
    canvas = picture_canvas(found, printed("plain", SEED).jpeg, 1100)
    before = canvas.rgb.copy()
    draw_advice(canvas, found, only)
    changed = (canvas.rgb != before).any(axis=-1)
    grid = advice.grid
    inside = canvas.brought_mask(leave, grid.px_per_mm, grid.origin_mm)
    assert 0.05 < changed[inside].mean() < 0.4
    canvas.rgb[:] = before
    draw_advice(canvas, found, dataclasses.replace(only, halt="done"))
    assert (canvas.rgb == before).all()


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_whole_picture_has_its_words_and_legend(advised, units):
    found, photo, advice = advised
    image = draw_next_pass(found, photo, advice, units=units, width_px=900)
    assert image.mode == "RGB"
    assert image.height > 900 * 70 / 110


def test_small_and_long_faces_keep_their_scale_within_bounds(reading, printed):
    found = reading("plain", SEED)
    photo = printed("plain", SEED).jpeg
    assert picture_canvas(found, photo, 10).px_per_mm == PX_PER_MM[0]
    assert picture_canvas(found, photo, 9000).px_per_mm == PX_PER_MM[1]


def test_another_photograph_is_refused(advised, printed):
    found, _, advice = advised
    with pytest.raises(ReadingError, match="not the photograph"):
        draw_next_pass(found, printed("red", SEED).jpeg, advice)


def test_a_blank_face_can_be_drawn(reading, printed):
    found = reading("blank", SEED)
    advice = next_pass(found, TARGET)
    image = draw_next_pass(found, printed("blank", SEED).jpeg, advice, width_px=600)
    assert image.width >= 600
    assert advice_layers(advice) == ()


def test_layers_hold_what_is_to_be_taken_once(advised):
    _, _, advice = advised
    layers = advice_layers(advice)
    assert sum(len(layer.places) for layer in layers) == len(advice.to_take)
    assert len({layer.key for layer in layers}) == len(layers)
    assert len({(layer.colour, layer.shape) for layer in layers}) == len(layers)
