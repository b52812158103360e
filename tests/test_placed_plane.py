"""A placement on its face: millimetres of the whole face, and what was printed of it."""

import dataclasses

import numpy as np
import pytest

from scrapeview.errors import PlaneError
from scrapeview.placed_plane import plane_again, plane_on_face, stretch_size_mm
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.record import FacePlan

PLAN = FacePlan(name="way", width_mm=1200.0, height_mm=120.0)
WAYS = (
    ((0.0, 0.0), (1200.0, 0.0), (1200.0, 40.0), (0.0, 40.0)),
    ((0.0, 70.0), (1200.0, 70.0), (1200.0, 120.0), (0.0, 120.0)),
)
CORNERS_PX = np.array([[52.0, 61.0], [1900.0, 40.0], [1950.0, 520.0], [30.0, 560.0]])
MIDDLE = Placement(name="middle", start_mm=400.0, length_mm=450.0)


def picked(placement, plan=PLAN):
    return Plane.from_corners(CORNERS_PX, stretch_size_mm(plan, placement))


def box_of(plane):
    (outline,) = plane.face_mm
    return [*outline.min(axis=0), *outline.max(axis=0)]


def corners_mm(x0, x1):
    return np.array([[x0, 0], [x1, 0], [x1, 120], [x0, 120]])


def test_a_stretch_has_the_millimetres_of_the_whole_face():
    plane = plane_on_face(PLAN, MIDDLE, picked(MIDDLE))
    np.testing.assert_allclose(plane.to_px(corners_mm(400, 850)), CORNERS_PX, atol=1e-6)
    assert box_of(plane) == [400, 0, 850, 120]
    assert plane_on_face(PLAN, MIDDLE, plane) == plane or box_of(plane) == [400, 0, 850, 120]


def test_placing_twice_moves_nothing():
    plane = plane_on_face(PLAN, MIDDLE, picked(MIDDLE))
    again = plane_on_face(PLAN, MIDDLE, plane)
    np.testing.assert_allclose(again.mm_to_px, plane.mm_to_px)
    assert plane_again(PLAN, MIDDLE, plane) is plane


@pytest.mark.parametrize("placement", [Placement(), Placement(name="left end")])
def test_without_a_start_the_corners_are_those_of_the_whole_face(placement):
    plane = picked(placement)
    assert stretch_size_mm(PLAN, placement) == (1200.0, 120.0)
    assert plane_on_face(PLAN, placement, plane) is plane
    assert plane_again(PLAN, placement, plane) is plane


@pytest.mark.parametrize(
    ("start", "length", "covered"),
    [(-50.0, 450.0, (0, 400)), (900.0, 450.0, (900, 1200)), (-10.0, 2000.0, (0, 1200))],
)
def test_a_reference_that_reaches_past_the_face_covers_what_there_is_of_it(start, length, covered):
    placement = Placement(start_mm=start, length_mm=length)
    assert stretch_size_mm(PLAN, placement) == (covered[1] - covered[0], 120.0)
    plane = plane_on_face(PLAN, placement, picked(placement))
    np.testing.assert_allclose(plane.to_px(corners_mm(*covered)), CORNERS_PX, atol=1e-6)


@pytest.mark.parametrize(
    ("regions", "side", "across"),
    [
        ((), "far", (0, 60)), ((), "near", (60, 120)), (WAYS, "far", (0, 40)),
        (WAYS, "near", (70, 120)), (WAYS, "", (0, 120)), (WAYS[:1], "far", (0, 60)),
    ],
)  # fmt: skip
def test_one_side_is_its_ways_or_half_of_the_face(regions, side, across):
    plan = dataclasses.replace(PLAN, regions_mm=regions)
    for placement in (dataclasses.replace(MIDDLE, side=side), Placement(side=side)):
        plane = plane_on_face(plan, placement, picked(placement))
        assert tuple(np.array(box_of(plane))[[1, 3]]) == across
        # the corners that were picked are those of the whole height all the same
        x0, x1 = (400, 850) if placement.is_told else (0, 1200)
        np.testing.assert_allclose(plane.to_px(corners_mm(x0, x1)), CORNERS_PX, atol=1e-6)


def test_what_was_told_wrongly_is_mended_from_the_same_corners():
    plane = plane_on_face(PLAN, MIDDLE, picked(MIDDLE))
    for told in (
        Placement(start_mm=300.0, length_mm=450.0),
        Placement(start_mm=300.0, length_mm=600.0, side="near"),
    ):
        again = plane_again(PLAN, told, plane)
        due = corners_mm(told.start_mm, told.end_mm)
        np.testing.assert_allclose(again.to_px(due), CORNERS_PX, atol=1e-6)
        assert box_of(again) == [told.start_mm, 60 if told.side else 0, told.end_mm, 120]


def test_a_placement_that_was_forgotten_is_mended_from_the_same_corners():
    """What was picked is as wide as the stretch, not as the face it was given for."""
    square = np.array([[50.0, 60.0], [950.0, 52.0], [955.0, 292.0], [48.0, 300.0]])
    plane = Plane.from_corners(square, (1200.0, 120.0))
    again = plane_again(PLAN, MIDDLE, plane)
    np.testing.assert_allclose(again.to_px(corners_mm(400, 850)), square, atol=1e-6)
    assert box_of(again) == [400, 0, 850, 120]
    moved = dataclasses.replace(MIDDLE, start_mm=390.0)
    for kept in (plane, again):
        once_more = plane_again(PLAN, moved, again, kept)
        np.testing.assert_allclose(once_more.to_px(corners_mm(390, 840)), square, atol=1e-6)


def test_of_a_photograph_of_the_whole_face_only_the_stretch_is_read():
    whole = np.array([[50.0, 60.0], [2450.0, 52.0], [2455.0, 292.0], [48.0, 300.0]])
    plane = Plane.from_corners(whole, (1200.0, 120.0))
    cut = plane_again(PLAN, MIDDLE, plane, plane)
    np.testing.assert_array_equal(cut.mm_to_px, plane.mm_to_px)
    assert box_of(cut) == [400, 0, 850, 120]
    assert plane_again(PLAN, MIDDLE, cut, plane) is cut
    # told otherwise later, the photograph still shows the whole face
    for told in (dataclasses.replace(MIDDLE, start_mm=300.0), Placement(side="near")):
        other = plane_again(PLAN, told, cut, plane)
        np.testing.assert_array_equal(other.mm_to_px, plane.mm_to_px)
        start_mm, end_mm = (300, 750) if told.is_told else (0, 1200)
        assert box_of(other) == [start_mm, 60 if told.side else 0, end_mm, 120]


def test_a_plane_that_knows_its_scale_is_not_stretched():
    scaled = Plane.from_map(2.0, (0.0, 0.0))
    corners_px = scaled.to_px(corners_mm(0, 1200))
    whole = plane_on_face(PLAN, Placement(), scaled, corners_px)
    cut = plane_again(PLAN, MIDDLE, whole, whole)
    np.testing.assert_allclose(cut.mm_to_px, whole.mm_to_px)
    stretch = plane_on_face(PLAN, MIDDLE, scaled, scaled.to_px(corners_mm(0, 450)))
    with pytest.raises(PlaneError, match=r"450\.0 x 120\.0 mm apart"):
        plane_again(PLAN, dataclasses.replace(MIDDLE, length_mm=600.0), stretch, stretch)
    with pytest.raises(PlaneError, match="four corners"):
        plane_on_face(PLAN, Placement(), scaled)
    window = dataclasses.replace(scaled, face_mm=(corners_mm(0, 25.4),))
    with pytest.raises(PlaneError, match="four corners"):
        plane_on_face(PLAN, Placement(), window)


def test_corners_of_another_stretch_are_refused():
    with pytest.raises(PlaneError, match=r"1200 mm apart .* covers 450 mm"):
        plane_on_face(PLAN, MIDDLE, picked(Placement()))


@pytest.mark.parametrize(("start", "length"), [(1200.0, 100.0), (5000.0, 9.0), (-500.0, 500.0)])
def test_a_placement_beside_the_face_is_refused(start, length):
    with pytest.raises(PlaneError, match="covers nothing of 'way'"):
        stretch_size_mm(PLAN, Placement(start_mm=start, length_mm=length))


@pytest.mark.parametrize("shape", ["round", "free"])
def test_only_a_rectangle_has_placements_with_a_start_or_a_side(shape):
    plan = FacePlan(name="rim", shape=shape, width_mm=84.0 if shape == "round" else 0.0)
    plane = Plane.from_length((0.0, 0.0), (100.0, 0.0), 50.0)
    assert plane_on_face(plan, Placement(name="upper half"), plane) is plane
    assert plane_again(plan, MIDDLE, plane) is plane
    for placement in (MIDDLE, Placement(side="far")):
        with pytest.raises(PlaneError, match="no rectangle"):
            plane_on_face(plan, placement, plane)


def test_a_rectangle_needs_its_corners():
    plane = Plane.from_length((0.0, 0.0), (100.0, 0.0), 50.0)
    with pytest.raises(PlaneError, match="four corners"):
        plane_on_face(PLAN, Placement(), plane)
