"""Corrections through the whole reading: figures follow, the record of it stays."""

import dataclasses
import json

import numpy as np
import pytest
from pandas.testing import assert_frame_equal

from scrapeview import Correction, CorrectionError, FaceError, from_json, to_json
from scrapeview.charts import draw_overlay
from scrapeview.corrections import left_out_of
from scrapeview.face_reading import read_for_face, reread_print
from scrapeview.record.entries import FacePlan

BOX = ((20.0, 10.0), (60.0, 10.0), (60.0, 40.0), (20.0, 40.0))


@pytest.fixture(scope="module")
def shot(printed):
    return printed("plain", 3)


@pytest.fixture(scope="module")
def plain(shot, read):
    return read(shot)


def first_point(reading, inside=(40.0, 30.0)):
    xy = reading.points[["x_mm", "y_mm"]].to_numpy()
    x, y = xy[np.hypot(*(xy - inside).T).argmin()]
    return float(x), float(y)


def test_a_removed_point_lowers_count_and_contact(shot, plain, read):
    place = first_point(plain)
    after = read(shot, corrections=(Correction("remove", (place,)),))
    assert len(after.points) == len(plain.points) - 1
    assert after.contact_percent < plain.contact_percent
    assert after.points_per_square_inch < plain.points_per_square_inch
    assert after.cells["points"].sum() == plain.cells["points"].sum() - 1
    assert after.regions["points"].sum() == len(after.points)


def test_a_point_removed_and_added_again_counts_as_before(shot, plain, read):
    row = plain.points.iloc[5]
    place = (float(row["x_mm"]), float(row["y_mm"]))
    steps = (Correction("remove", (place,)), Correction("add", (place,), row["diameter_mm"]))
    after = read(shot, corrections=steps)
    assert len(after.points) == len(plain.points)
    assert after.contact_percent == pytest.approx(plain.contact_percent, abs=0.02)
    assert after.points["by_hand"].sum() == 1


def test_what_is_left_out_leaves_the_area(shot, plain, read):
    after = read(shot, corrections=(Correction("leave_out", BOX),))
    inside = plain.points["x_mm"].between(20, 60) & plain.points["y_mm"].between(10, 40)
    assert plain.area_mm2 - after.area_mm2 == pytest.approx(40 * 30, rel=1e-6)
    assert len(after.points) == pytest.approx(len(plain.points) - inside.sum(), abs=3)
    assert np.array_equal(after.left_out_mm[0], np.array(BOX))
    assert after.openings_mm == plain.openings_mm


def test_the_print_runs_on_in_what_is_left_out(shot, plain, read):
    """A point cut by the border of a left-out area is seen whole, so its centre decides."""
    counts = []
    for side in ("left", "right"):
        x0, x1 = (-1.0, 55.0) if side == "left" else (55.0, 111.0)
        half = ((x0, -1.0), (x1, -1.0), (x1, 71.0), (x0, 71.0))
        counts.append(len(read(shot, corrections=(Correction("leave_out", half),)).points))
    assert sum(counts) == pytest.approx(len(plain.points), abs=2)


def test_an_area_that_crosses_itself_or_takes_all_is_refused(shot, read):
    crossed = ((20.0, 10.0), (60.0, 40.0), (60.0, 10.0), (20.0, 40.0))
    with pytest.raises(FaceError, match="Left-out area 1 crosses itself"):
        read(shot, corrections=(Correction("leave_out", crossed),))
    everything = ((-5.0, -5.0), (200.0, -5.0), (200.0, 200.0), (-5.0, 200.0))
    with pytest.raises(FaceError, match="leave nothing"):
        read(shot, corrections=(Correction("leave_out", everything),))


def test_a_blank_face_has_no_points_to_correct(printed, read):
    with pytest.raises(CorrectionError, match="No print was found"):
        read(printed("blank", 3), corrections=(Correction("add", ((30.0, 30.0),), 3.0),))


def test_corrections_stay_with_the_reading(shot, plain, read):
    steps = (Correction("remove", (first_point(plain),)), Correction("leave_out", BOX))
    after = read(shot, corrections=steps)
    back = from_json(to_json(after))
    assert back.corrections == after.corrections == steps
    assert back.points.equals(after.points)
    assert left_out_of(back.corrections)[0].shape == (4, 2)


def test_a_reading_of_the_first_format_is_still_read(plain):
    stored = json.loads(to_json(plain))
    stored["format"] = 1
    del stored["corrections"], stored["points"]["by_hand"]
    back = from_json(json.dumps(stored))
    assert back.corrections == ()
    assert back.points.equals(plain.points)


def test_the_overlay_of_a_corrected_reading_is_drawn(shot, plain, read):
    after = read(shot, corrections=(Correction("leave_out", BOX),))
    whole = np.asarray(draw_overlay(plain, shot.jpeg, width_px=600))
    assert np.asarray(draw_overlay(after, shot.jpeg, width_px=600)).shape[1] == whole.shape[1]


def plan_of(shot, **changed):
    return dataclasses.replace(
        FacePlan(
            name="top",
            width_mm=shot.size_mm[0],
            height_mm=shot.size_mm[1],
            openings_mm=tuple(tuple(map(tuple, o)) for o in shot.openings_mm),
            marking=shot.marking,
        ),
        **changed,
    )


def test_a_face_s_plan_reads_as_its_parts_do(shot, plain, plane_of):
    planned = read_for_face(plan_of(shot), shot.jpeg, plane_of(shot))
    assert planned.contact_percent == pytest.approx(plain.contact_percent)
    assert_frame_equal(planned.points, plain.points)


def test_regions_of_a_plan_are_in_mm_of_the_face(shot, plane_of):
    rails = (
        ((0.0, 0.0), (110.0, 0.0), (110.0, 25.0), (0.0, 25.0)),
        ((0.0, 45.0), (110.0, 45.0), (110.0, 70.0), (0.0, 70.0)),
    )
    planned = read_for_face(plan_of(shot, regions_mm=rails), shot.jpeg, plane_of(shot))
    assert np.allclose(planned.regions_mm, rails)
    assert len(planned.regions) == 2


def test_reading_again_keeps_place_picks_and_corrections(shot, plane_of, plain):
    steps = (Correction("remove", (first_point(plain),)),)
    first = read_for_face(plan_of(shot), shot.jpeg, plane_of(shot), corrections=steps)
    again = reread_print(plan_of(shot), shot.jpeg, first)
    assert again.points.equals(first.points)
    assert again.corrections == steps
    assert again.contact_interval == first.contact_interval
