"""A stretch of a face: only what the print shows of the face's regions is read."""

import numpy as np
import pytest

from scrapeview.errors import FaceError
from scrapeview.face_reading import openings_shown, regions_shown
from scrapeview.plane import Plane
from scrapeview.record import FacePlan

RAILS = (
    ((0.0, 0.0), (1200.0, 0.0), (1200.0, 30.0), (0.0, 30.0)),
    ((0.0, 90.0), (1200.0, 90.0), (1200.0, 120.0), (0.0, 120.0)),
)


def plan(regions=RAILS, **more):
    told = {"width_mm": 1200.0, "height_mm": 120.0, **more}
    return FacePlan(name="way", regions_mm=regions, **told)


def stretch(start_mm, length_mm, height_mm=120.0):
    corners = np.array([[0, 0], [length_mm, 0], [length_mm, height_mm], [0, height_mm]])
    size = (length_mm, height_mm)
    plane = Plane.from_corners(corners * 3 + 40, size)
    moved = plane.mm_to_px @ np.array([[1, 0, -start_mm], [0, 1, 0], [0, 0, 1.0]])
    outline = plane.face_mm[0] + (start_mm, 0)
    return Plane("corners", moved, 0.0, plane.pick_error_mm, (outline,))


def test_both_ways_are_cut_to_the_stretch_that_was_printed():
    shown = regions_shown(plan(), stretch(400, 450))
    assert [tuple(region.min(axis=0)) for region in shown] == [(400, 0), (400, 90)]
    assert [tuple(region.max(axis=0)) for region in shown] == [(850, 30), (850, 120)]


def test_a_whole_face_keeps_its_regions_as_they_were_drawn():
    past_the_edge = ((-0.4, -0.3), (1200.2, 0.0), (1200.0, 120.0), (0.0, 120.1))
    shown = regions_shown(plan((past_the_edge,)), stretch(0, 1200))
    assert np.array_equal(shown[0], np.array(past_the_edge))


def test_without_regions_the_stretch_itself_is_read():
    assert regions_shown(plan(()), stretch(400, 450)) == []


def test_a_stretch_beside_all_regions_is_refused_in_words():
    one = ((0.0, 0.0), (300.0, 0.0), (300.0, 120.0), (0.0, 120.0))
    with pytest.raises(FaceError, match="stretch"):
        regions_shown(plan((one,)), stretch(400, 450))


def test_only_openings_that_reach_into_the_stretch_are_taken_out_of_it():
    holes = tuple(
        ((x, 50.0), (x + 20.0, 50.0), (x + 20.0, 70.0), (x, 70.0)) for x in (100.0, 390.0, 600.0)
    )
    face = plan((), openings_mm=holes)
    shown = openings_shown(face, stretch(400, 450))
    assert [tuple(opening[0]) for opening in shown] == [(390, 50), (600, 50)]
    assert len(openings_shown(face, stretch(0, 1200))) == 3
