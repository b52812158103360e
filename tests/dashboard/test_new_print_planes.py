"""From picks to planes and back, for faces of every shape."""

import numpy as np
import pytest

from scrapeview.dashboard.new_print_planes import picks_of, plane_from, plane_of_marks
from scrapeview.errors import PlaneError
from scrapeview.record import FacePlan

CORNERS = ((412.0, 380.0), (3610.0, 402.0), (3702.0, 2671.0), (380.0, 2650.0))


def test_a_rectangle_gives_its_corners_back():
    plane = plane_from(FacePlan(name="f", width_mm=254.0, height_mm=178.0), CORNERS)
    np.testing.assert_allclose(plane.to_px([[254.0, 178.0]])[0], CORNERS[2], atol=1e-6)
    np.testing.assert_allclose(picks_of(plane), CORNERS, atol=1e-6)


def test_a_round_face_gives_picks_that_fix_it_again():
    turn = np.linspace(0, 2 * np.pi, 7, endpoint=False)
    rim = np.column_stack((900 + 700 * np.cos(turn), 800 + 640 * np.sin(turn)))
    plan = FacePlan(name="f", shape="round", width_mm=100.0)
    plane = plane_from(plan, tuple(map(tuple, rim)))
    again = plane_from(plan, picks_of(plane))
    places = [[10.0, 50.0], [50.0, 50.0], [60.0, 90.0]]
    np.testing.assert_allclose(again.to_px(places), plane.to_px(places), atol=0.5)


@pytest.mark.parametrize("turn_deg", [0, 20, 80, 95, 170, -100])
def test_marks_of_a_free_face_tie_every_print_to_one_place(turn_deg):
    """The same casting photographed from elsewhere, turned less than 45 degrees either way."""
    base = np.array([np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))]) * 800
    first = np.array([500.0, 700.0])
    plane = plane_of_marks((tuple(first), tuple(first + base)), 100.0)
    place_mm = np.array([[12.0, -7.0]])
    seen = plane.to_px(place_mm)[0]
    # the camera moved and came nearer by a tenth, but the hand held it as before
    moved = [tuple(1.1 * (p - 300) + (40, -25)) for p in (first, first + base, seen)]
    again = plane_of_marks(tuple(moved[:2]), 100.0)
    np.testing.assert_allclose(again.to_mm([moved[2]]), place_mm, atol=1e-6)
    np.testing.assert_allclose(plane.to_mm([tuple(first)]), [[0, 0]], atol=1e-9)
    assert plane.px_per_mm_at([[0, 0]])[0] == pytest.approx(8.0)


def test_a_free_face_keeps_how_the_photograph_was_held():
    plane = plane_of_marks(((100.0, 100.0), (900.0, 160.0)), 100.0)
    right, down = plane.to_px([[1.0, 0.0], [0.0, 1.0]]) - plane.to_px([[0.0, 0.0]])
    assert right[0] > 0
    assert down[1] > 0


def test_the_second_mark_gives_the_picks_of_a_free_face():
    picks = ((100.0, 100.0), (130.0, 700.0))
    plane = plane_of_marks(picks, 75.0)
    x, y = plane.to_mm([picks[1]])[0]
    np.testing.assert_allclose(picks_of(plane, (x, y)), picks, atol=1e-6)
    assert picks_of(plane) == ()


@pytest.mark.parametrize(
    ("picks", "length_mm"),
    [(((1.0, 1.0),), 10.0), (((1.0, 1.0), (1.0, 1.0)), 10.0), (((1.0, 1.0), (9.0, 1.0)), 0.0)],
)
def test_marks_that_fix_nothing_are_refused(picks, length_mm):
    with pytest.raises(PlaneError):
        plane_of_marks(picks, length_mm)
