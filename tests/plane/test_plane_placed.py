"""What a plane knows besides its mapping: its error, what hides the face, and faces laid on it."""

import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrapeview.errors import PlaneError
from scrapeview.photo.patches import Patches, PatchSeen
from scrapeview.plane import Plane, face_from
from scrapeview.plane.homography_fit import fit_homography

VIEW = np.array([[5.1, 0.4, 210.0], [-0.3, 4.6, 130.0], [2e-4, 3e-4, 1.0]])
COVARIANCE = np.diag([1e-6, 1e-6, 1e-3, 1e-6, 1e-6, 1e-3, 1e-12, 1e-12, 0])


def card_like(**fields):
    return Plane("card", VIEW, 0.01, 0.2, covariance=COVARIANCE, **fields)


@pytest.mark.parametrize(
    "plane",
    [
        Plane.from_corners([[100, 90], [900, 120], [880, 600], [80, 560]], (160, 90)),
        Plane.from_length((10, 20), (400, 90), 80.0),
        Plane.from_circle(
            [[500, 100], [900, 480], [510, 900], [90, 520], [790, 200], [200, 210]], 71.0
        ),
    ],
    ids=lambda plane: plane.kind,
)
@pytest.mark.parametrize("area_mm2", [0.0, 37.5, 14400.0])
def test_error_of_areas_from_picks_is_what_it_always_was(plane, area_mm2):
    as_ever = 2 * plane.pick_error_mm / max(1e-9, area_mm2) ** 0.5
    assert plane.area_error(area_mm2, (0, 0, 10, 20)) == as_ever
    assert set(plane.as_dict()) == {
        "kind", "mm_to_px", "residual_mm", "pick_error_mm", "face_mm",
    }  # fmt: skip


def test_error_of_a_fitted_area_is_what_fits_to_noisy_places_scatter_by():
    rng = np.random.default_rng(5)
    places = np.array([[x, y] for x in (0, 12, 30) for y in (0, 12, 25)], dtype=float)
    true = Plane("card", VIEW)
    box = (40.0, 30.0, 90.0, 70.0)
    outline = true.to_px([[40, 30], [90, 30], [90, 70], [40, 70]])
    areas, said = [], []
    for _ in range(200):
        seen = true.to_px(places) + rng.normal(0, 0.1, places.shape)
        fit = fit_homography(places, seen, np.full(len(places), 0.1))
        plane = Plane("card", fit.mm_to_px, covariance=fit.covariance)
        x, y = plane.to_mm(outline).T
        areas.append(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)
        said.append(plane.area_error(2000, box))
    assert np.median(said) == pytest.approx(np.std(areas) / 2000, rel=0.25)
    assert plane.area_error(2000, box) > 2 * plane.area_error(625, (0, 0, 25, 25))


def test_paper_that_is_not_sure_makes_areas_twice_as_unsure():
    sure, unsure = card_like(), card_like(scale_error=0.01)
    fit = sure.area_error(400, (0, 0, 20, 20))
    assert unsure.area_error(400, (0, 0, 20, 20)) == pytest.approx(math.hypot(fit, 0.02))
    assert unsure.area_error(400, (50, 0, 50, 20)) == pytest.approx(0.02)


@settings(max_examples=30, deadline=None)
@given(dx=st.floats(-2000, 2000), dy=st.floats(-2000, 2000))
def test_moved_there_and_back_is_the_same_plane(dx, dy):
    plane = card_like(hidden_mm=(np.array([[1.0, 2], [5, 2], [5, 9]]),))
    moved = plane.moved(dx, dy)
    places = np.array([[0.0, 0], [31, 12]])
    np.testing.assert_allclose(
        moved.to_px(np.add(places, (dx, dy))), plane.to_px(places), atol=1e-6
    )
    np.testing.assert_allclose(moved.hidden_mm[0] - (dx, dy), plane.hidden_mm[0], atol=1e-6)
    back = moved.moved(-dx, -dy)
    np.testing.assert_allclose(back.mm_to_px, plane.mm_to_px, atol=1e-8)
    box = np.array([3.0, 4, 40, 30])
    error = plane.area_error(900, box)
    assert moved.area_error(900, np.add(box, (dx, dy, dx, dy))) == pytest.approx(error, rel=1e-3)


@settings(max_examples=30, deadline=None)
@given(
    x=st.floats(-20, 60), y=st.floats(-20, 60), turn=st.floats(-3.1, 3.1),
    width=st.floats(10, 90), height=st.floats(10, 90),
)  # fmt: skip
def test_a_face_is_placed_where_it_lies(x, y, turn, width, height):
    plane = card_like()
    cosine, sine = math.cos(turn), math.sin(turn)
    rectangle = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    lying = rectangle @ np.array([[cosine, sine], [-sine, cosine]]) + (x, y)
    placed = plane.placed(plane.to_px(lying), (width, height))
    np.testing.assert_allclose(placed.to_mm(plane.to_px(lying)), rectangle, atol=1e-6)
    np.testing.assert_allclose(placed.face_mm[0], rectangle)
    assert placed.kind == "card"
    assert placed.placed_residual_mm < 1e-6


def test_the_scale_stays_that_of_the_card_when_picks_are_rough():
    plane = Plane.from_map(5.0, (0.0, 0.0))
    picks = np.array([[100, 100], [1103, 100], [1103, 602], [100, 602]])
    placed = plane.placed(picks, (200, 100))
    assert np.hypot(*(np.diff(placed.to_mm(picks[:2]), axis=0)[0])) == pytest.approx(200.6)
    assert placed.placed_residual_mm == pytest.approx(math.hypot(0.3, 0.2))


def test_a_size_that_the_scale_contradicts_is_refused():
    plane = Plane.from_map(5.0, (0.0, 0.0))
    picks = np.array([[100, 100], [1100, 100], [1100, 600], [100, 600]])
    with pytest.raises(PlaneError, match=r"200\.0 x 100\.0 mm apart.*said to be 210 x 100"):
        plane.placed(picks, (210, 100))
    with pytest.raises(PlaneError, match="off a rectangle"):
        plane.placed(np.add(picks, [[60, 0], [60, 0], [0, 0], [0, 0]]), (200, 100))
    with pytest.raises(PlaneError, match="anticlockwise"):
        plane.placed(picks[::-1], (200, 100))
    with pytest.raises(PlaneError, match="knows its own scale"):
        Plane.from_corners(picks, (200, 100)).placed(picks, (200, 100))


def test_a_map_needs_a_scale():
    with pytest.raises(PlaneError, match="above zero"):
        Plane.from_map(0.0, (0, 0))
    plane = Plane.from_map(4.0, (10.0, -3.0), position_error_mm=0.1, scale_error=0.002)
    np.testing.assert_allclose(plane.to_mm([[0, 0], [4, 8]]), [[10, -3], [11, -1]])
    assert plane.tilt_deg == 0
    assert plane.area_error(400, (0, 0, 20, 20)) == pytest.approx(math.hypot(0.01, 0.004))


def test_what_hides_the_face_is_taken_out_of_it():
    gap = np.array([[0.0, 0], [40, 0], [40, 25], [0, 25]])
    plane = Plane.from_map(5.0, (0.0, 0.0), hidden_mm=[gap])
    face = face_from(
        plane, (1000, 500), [[-0.5, -0.5], [499.5, -0.5], [499.5, 249.5], [-0.5, 249.5]]
    )
    assert face.area_mm2 == pytest.approx(100 * 50 - 1000, abs=15)


def test_everything_a_plane_knows_survives_json():
    patches = Patches((PatchSeen("white", 10.5, 20.25, 231.0, 229.5, 220.0, 0.0),), 7)
    plane = card_like(
        hidden_mm=(np.array([[0.1, 0.2], [5, 0], [5, 5]]),), patches=patches,
        face_mm=(np.array([[0, 0], [25.4, 0], [25.4, 25.4], [0, 25.4]]),),
        position_error_mm=0.013, scale_error=0.01, notes=("Only one tile.",),
    )  # fmt: skip
    stored = json.loads(json.dumps(plane.as_dict()))
    back = Plane.from_dict(stored)
    assert back.as_dict() == plane.as_dict()
    assert back.patches == patches
    assert back.area_error(400, (0, 0, 20, 20)) == plane.area_error(400, (0, 0, 20, 20))
