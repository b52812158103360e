"""Faces: which part of the plane is read, in how many regions, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrapeview.errors import FaceError, PlaneError
from scrapeview.photo import load_photo
from scrapeview.plane import Plane, circle_polygon, face_from, view_square_on

PROFILE = settings(deadline=None, derandomize=True, max_examples=25)
PHOTO_PX = (1000, 750)
SIZE_MM = (200.0, 140.0)
CORNERS_PX = np.array([[110.0, 72.0], [903.0, 111.0], [854.0, 676.0], [86.0, 603.0]])
PLANE = Plane.from_corners(CORNERS_PX, SIZE_MM)


def box(x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)


def view_of(face_bounds: tuple[float, float, float, float], px_per_mm: float = 3.5):
    photo = load_photo(np.full((PHOTO_PX[1], PHOTO_PX[0], 3), 140, np.uint8))
    return view_square_on(photo, PLANE, face_bounds, px_per_mm=px_per_mm, margin_mm=3.0)


def test_without_an_outline_the_face_is_the_planes_own() -> None:
    face = face_from(PLANE, PHOTO_PX)
    assert face.bounds_mm == (0, 0, *SIZE_MM)
    assert face.area_mm2 == pytest.approx(200 * 140, rel=1e-12)
    assert len(face.regions_mm) == 1
    assert face.openings_mm == ()


def test_with_a_length_alone_the_face_is_the_whole_photo() -> None:
    plane = Plane.from_length((0, 0), (100, 0), 20.0)
    face = face_from(plane, PHOTO_PX)
    np.testing.assert_allclose(face.bounds_mm, (0, 0, 200, 150), atol=1e-9)
    assert face.area_mm2 == pytest.approx(200 * 150)


def test_a_round_face_has_the_discs_area() -> None:
    rim = np.array([[500, 100], [900, 400], [500, 700], [100, 400], [782.84, 187.87]])
    face = face_from(Plane.from_circle(rim, 100.0), PHOTO_PX)
    assert face.area_mm2 == pytest.approx(math.pi * 50**2, rel=1e-9)


def test_regions_and_openings_are_mapped_from_photo_to_face() -> None:
    rails = [box(5, 5, 60, 130), box(120, 5, 190, 130)]
    hole = circle_polygon((30, 60), 8)
    slot = box(150, 100, 160, 150)
    face = face_from(
        PLANE,
        PHOTO_PX,
        outline_px=[PLANE.to_px(rail) for rail in rails],
        openings_px=[PLANE.to_px(hole)],
        openings_mm=[slot],
    )
    np.testing.assert_allclose(face.regions_mm[0], rails[0], atol=1e-9)
    np.testing.assert_allclose(face.openings_mm[0], hole, atol=1e-9)
    np.testing.assert_allclose(face.bounds_mm, (5, 5, 190, 130))
    expected = (55 * 125 - math.pi * 64, 70 * 125 - 10 * 30)
    assert face.region_areas_mm2 == pytest.approx(expected, rel=1e-6)
    assert face.area_mm2 == pytest.approx(sum(expected), rel=1e-6)
    assert face.openings_outside == ()


def test_openings_that_touch_nothing_are_told_by_number() -> None:
    face = face_from(
        PLANE,
        PHOTO_PX,
        openings_px=[PLANE.to_px(box(10, 10, 20, 20)), [[2, 2], [9, 2], [5, 9]]],
        openings_mm=[box(300, 0, 310, 10), box(-5, 0, 5, 10)],
    )
    assert face.openings_outside == (2, 3)


def test_one_polygon_may_stand_for_a_list_of_one() -> None:
    outline = PLANE.to_px(box(5, 5, 60, 130))
    for given_as in (outline, outline.tolist(), [tuple(corner) for corner in outline]):
        face = face_from(PLANE, PHOTO_PX, outline_px=given_as)
        assert face.area_mm2 == pytest.approx(55 * 125)


def test_a_closed_polygon_is_the_open_one() -> None:
    outline = PLANE.to_px(box(5, 5, 60, 130))
    face = face_from(PLANE, PHOTO_PX, outline_px=[np.vstack((outline, outline[:1]))])
    assert len(face.regions_mm[0]) == 4


# --- masks ----------------------------------------------------------------------------------


def test_masks_number_the_regions_and_leave_openings_out() -> None:
    rails = [box(5, 5, 60, 130), box(120, 5, 190, 130)]
    face = face_from(
        PLANE,
        PHOTO_PX,
        outline_px=[PLANE.to_px(rail) for rail in rails],
        openings_mm=[box(20, 40, 40, 200)],
    )
    view = view_of(face.bounds_mm)
    labels = face.masks(view)
    assert labels.dtype == np.int16
    assert labels.shape == view.rgb.shape[:2]

    def label_at(x_mm: float, y_mm: float) -> int:
        column, row = np.rint(view.to_view([[x_mm, y_mm]])[0]).astype(int)
        return int(labels[row, column])

    assert [label_at(10, 10), label_at(130, 100), label_at(90, 60)] == [1, 2, 0]
    assert [label_at(30, 100), label_at(30, 20)] == [0, 1]
    for number, area in enumerate(face.region_areas_mm2, start=1):
        assert (labels == number).sum() / view.px_per_mm**2 == pytest.approx(area, rel=0.01)


@PROFILE
@given(
    x0=st.floats(2, 60),
    y0=st.floats(2, 40),
    turn=st.floats(0, math.pi),
    radius=st.floats(10, 25),
)
def test_mask_area_is_the_faces_area(x0: float, y0: float, turn: float, radius: float) -> None:
    outline = box(x0, y0, x0 + 110, y0 + 80)
    middle = outline.mean(axis=0)
    hole = circle_polygon(middle, radius, 24)
    hole = middle + (hole - middle) @ [
        [math.cos(turn), math.sin(turn)],
        [-math.sin(turn), math.cos(turn)],
    ]
    face = face_from(PLANE, PHOTO_PX, [PLANE.to_px(outline)], openings_mm=[hole])
    view = view_of(face.bounds_mm)
    found = (face.masks(view) > 0).sum() / view.px_per_mm**2
    # each side of the outline may gain or lose half a pixel
    slack = (110 + 80) / view.px_per_mm
    assert abs(found - face.area_mm2) < slack + 0.002 * face.area_mm2


# --- faces that are refused -----------------------------------------------------------------


def test_a_planes_own_outline_must_lie_in_the_photo() -> None:
    with pytest.raises(PlaneError, match="outside the photo"):
        face_from(PLANE, (800, 750))


def test_with_an_outline_only_the_outline_must_lie_in_the_photo() -> None:
    inside = PLANE.to_px(box(5, 5, 60, 130))
    assert face_from(PLANE, (800, 750), outline_px=[inside]).area_mm2 > 0
    with pytest.raises(FaceError, match=r"Outline 2 reaches \d+ px outside the photo of 800 x 750"):
        face_from(PLANE, (800, 750), outline_px=[inside, PLANE.to_px(box(150, 5, 199, 130))])


@pytest.mark.parametrize(
    "polygon", [[[1, 2], [3, 4]], [[1, 2, 3], [3, 4, 5], [6, 7, 8]], 5, "outline", [[1, 2], [3]]]
)
def test_a_polygon_is_three_or_more_pairs(polygon: object) -> None:
    with pytest.raises(FaceError, match="Outline 1 must be a polygon: three or more pairs"):
        face_from(PLANE, PHOTO_PX, outline_px=[polygon])  # type: ignore[list-item]
    with pytest.raises(FaceError, match="Opening 1 must be a polygon: three or more pairs"):
        face_from(PLANE, PHOTO_PX, openings_mm=[polygon])  # type: ignore[list-item]


def test_outlines_are_a_list_with_something_in_it() -> None:
    with pytest.raises(FaceError, match="holds no polygon"):
        face_from(PLANE, PHOTO_PX, outline_px=[])
    with pytest.raises(FaceError, match="must be lists of polygons"):
        face_from(PLANE, PHOTO_PX, outline_px=7)  # type: ignore[arg-type]


def test_a_polygon_of_no_numbers_is_refused() -> None:
    with pytest.raises(FaceError, match="Opening 1 holds a number that is not finite"):
        face_from(PLANE, PHOTO_PX, openings_mm=[[[0, 0], [math.nan, 5], [5, 5]]])


def test_a_polygon_that_crosses_itself_is_refused() -> None:
    bow_tie = [[200, 200], [500, 500], [500, 200], [200, 500]]
    with pytest.raises(FaceError, match="Outline 1 crosses itself"):
        face_from(PLANE, PHOTO_PX, outline_px=[bow_tie])
    with pytest.raises(FaceError, match="Opening 2 crosses itself"):
        face_from(PLANE, PHOTO_PX, openings_px=[[[1, 1], [9, 1], [5, 8]], bow_tie])


@pytest.mark.parametrize("polygon", [[[200, 200], [300, 300], [400, 400]], [[200, 200]] * 4])
def test_a_polygon_without_area_is_refused(polygon: list[list[float]]) -> None:
    with pytest.raises(FaceError, match="Outline 1 has no area"):
        face_from(PLANE, PHOTO_PX, outline_px=[polygon])


def test_regions_that_overlap_are_refused_but_a_slip_is_not() -> None:
    left, touching = box(5, 5, 60, 130), box(60, 5, 120, 130)
    slip, over = box(59.9, 5, 120, 130), box(50, 5, 120, 130)
    for right in (touching, slip):
        face_from(PLANE, PHOTO_PX, outline_px=[PLANE.to_px(left), PLANE.to_px(right)])
    with pytest.raises(FaceError, match=r"Outlines overlap by 1250 mm2"):
        face_from(PLANE, PHOTO_PX, outline_px=[PLANE.to_px(left), PLANE.to_px(over)])


def test_openings_that_leave_nothing_are_refused() -> None:
    with pytest.raises(FaceError, match="openings leave nothing of outline 1"):
        face_from(PLANE, PHOTO_PX, openings_mm=[box(-1, -1, 201, 141)])


def test_a_polygon_past_the_horizon_is_refused() -> None:
    steep = Plane.from_corners([[400, 300], [600, 300], [900, 700], [100, 700]], (200, 200))
    with pytest.raises(FaceError, match="Opening 1 reaches past the horizon"):
        face_from(steep, PHOTO_PX, openings_px=[[[300, 5], [700, 5], [500, 600]]])
