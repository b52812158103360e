"""Planes from corners and from a length: known views come back, bad picks are named."""

import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrapeview.errors import PlaneError, ReadingError
from scrapeview.plane import Plane

PROFILE = settings(deadline=None, derandomize=True, max_examples=60)
PHOTO_PX = (4000, 3000)
SIZE_MM = (254.0, 177.8)
CORNERS_PX = np.array([[438.5, 286.3], [3614.5, 443.3], [3416.1, 2705.1], [344.4, 2412.7]])


def camera_view(
    tilt_deg: float,
    toward_deg: float = 30.0,
    turn_deg: float = 0.0,
    distance_mm: float = 400.0,
    size_mm: tuple[float, float] = SIZE_MM,
    focal_px: float = 3300.0,
) -> np.ndarray:
    """Homography, mm to px, of a pinhole camera looking at the face's centre at a tilt."""
    tilt, toward, turn = np.radians([tilt_deg, toward_deg, turn_deg])
    axis = np.array([math.cos(toward), math.sin(toward), 0])
    cross = np.array([[0, 0, axis[1]], [0, 0, -axis[0]], [-axis[1], axis[0], 0]])
    tilted = np.eye(3) + math.sin(tilt) * cross + (1 - math.cos(tilt)) * cross @ cross
    turned = np.array(
        [[math.cos(turn), -math.sin(turn), 0], [math.sin(turn), math.cos(turn), 0], [0, 0, 1]]
    )
    rotation = tilted @ turned
    centre = np.array([*size_mm, 0]) / 2
    shift = np.array([0, 0, distance_mm]) - rotation @ centre
    lens = np.array([[focal_px, 0, 1999.5], [0, focal_px, 1499.5], [0, 0, 1]])
    return lens @ np.column_stack((rotation[:, 0], rotation[:, 1], shift))


def project(homography: np.ndarray, xy: np.ndarray) -> np.ndarray:
    mapped = np.column_stack((xy, np.ones(len(xy)))) @ homography.T
    return mapped[:, :2] / mapped[:, 2:]


def rectangle(size_mm: tuple[float, float] = SIZE_MM) -> np.ndarray:
    width, height = size_mm
    return np.array([[0, 0], [width, 0], [width, height], [0, height]])


views = st.builds(
    camera_view,
    tilt_deg=st.floats(0, 45),
    toward_deg=st.floats(0, 360),
    turn_deg=st.floats(0, 360),
    distance_mm=st.floats(300, 900),
)
face_points = st.lists(
    st.tuples(st.floats(-10, 264), st.floats(-10, 188)), min_size=1, max_size=20
).map(np.array)


# --- what must hold for every view ----------------------------------------------------------


@PROFILE
@given(view=views, xy_mm=face_points)
def test_a_known_view_is_recovered_from_its_corners(view: np.ndarray, xy_mm: np.ndarray) -> None:
    plane = Plane.from_corners(project(view, rectangle()), SIZE_MM)
    np.testing.assert_allclose(plane.to_px(xy_mm), project(view, xy_mm), atol=1e-6)
    np.testing.assert_allclose(plane.mm_to_px, view / view[2, 2], rtol=1e-7, atol=1e-7)


@PROFILE
@given(view=views, xy_mm=face_points)
def test_mm_to_px_and_back_is_the_same_place(view: np.ndarray, xy_mm: np.ndarray) -> None:
    plane = Plane.from_corners(project(view, rectangle()), SIZE_MM)
    np.testing.assert_allclose(plane.to_mm(plane.to_px(xy_mm)), xy_mm, atol=1e-7)


@PROFILE
@given(view=views, xy_mm=face_points)
def test_turning_the_photo_does_not_move_the_face(view: np.ndarray, xy_mm: np.ndarray) -> None:
    # a quarter turn clockwise takes pixel (x, y) of a photo H high to (H - 1 - y, x)
    corners = project(view, rectangle())
    turned = np.column_stack((PHOTO_PX[1] - 1 - corners[:, 1], corners[:, 0]))
    plane, after = Plane.from_corners(corners, SIZE_MM), Plane.from_corners(turned, SIZE_MM)
    there = plane.to_px(xy_mm)
    np.testing.assert_allclose(
        after.to_px(xy_mm), np.column_stack((PHOTO_PX[1] - 1 - there[:, 1], there[:, 0])), atol=1e-6
    )
    np.testing.assert_allclose(after.px_per_mm_at(xy_mm), plane.px_per_mm_at(xy_mm), rtol=1e-7)
    assert after.tilt_deg == pytest.approx(plane.tilt_deg, abs=1e-4)


@PROFILE
@given(view=views, factor=st.floats(0.5, 2.0), xy_mm=face_points)
def test_scaling_the_photo_scales_the_resolution_alone(
    view: np.ndarray, factor: float, xy_mm: np.ndarray
) -> None:
    corners = project(view, rectangle())
    plane = Plane.from_corners(corners, SIZE_MM)
    scaled = Plane.from_corners((corners + 0.5) * factor - 0.5, SIZE_MM)
    np.testing.assert_allclose(
        scaled.px_per_mm_at(xy_mm), factor * plane.px_per_mm_at(xy_mm), rtol=1e-7
    )
    assert scaled.tilt_deg == pytest.approx(plane.tilt_deg, abs=1e-4)
    assert scaled.pick_error_mm == pytest.approx(plane.pick_error_mm / factor)


@PROFILE
@given(tilt=st.floats(0, 50), toward=st.floats(0, 360), turn=st.floats(0, 360))
def test_tilt_of_a_centred_face_is_the_cameras(tilt: float, toward: float, turn: float) -> None:
    # where the camera looks at the face's centre the estimate is exact
    view = camera_view(tilt, toward, turn)
    plane = Plane.from_corners(project(view, rectangle()), SIZE_MM)
    assert plane.tilt_deg == pytest.approx(tilt, abs=0.05)


def test_local_scale_is_that_of_the_coarser_direction() -> None:
    view = camera_view(40.0, toward_deg=0.0, distance_mm=400.0, focal_px=3300.0)
    plane = Plane.from_corners(project(view, rectangle()), SIZE_MM)
    centre = np.array([[127.0, 88.9]])
    # at the centre: focal length over distance, shortened by the tilt
    expected = 3300 / 400 * math.cos(math.radians(40))
    assert plane.px_per_mm_at(centre)[0] == pytest.approx(expected, rel=1e-9)
    step = 1e-4
    across = plane.to_px(centre + np.array([0, step])) - plane.to_px(centre)
    assert np.linalg.norm(across) / step == pytest.approx(expected, rel=1e-3)


def test_pick_error_is_what_a_pixel_is_worth_at_the_coarsest_corner() -> None:
    plane = Plane.from_corners(CORNERS_PX, SIZE_MM)
    worst = 1 / plane.px_per_mm_at(rectangle()).min()
    assert plane.pick_error_mm == pytest.approx(worst)
    assert plane.residual_mm == 0
    assert plane.kind == "corners"


@pytest.mark.parametrize("start", [1, 2, 3])
def test_the_face_may_lie_turned_in_the_photo(start: int) -> None:
    size = SIZE_MM if start == 2 else SIZE_MM[::-1]
    picks = np.roll(CORNERS_PX, -start, axis=0)
    plane = Plane.from_corners(picks, size)
    np.testing.assert_allclose(plane.to_px([[0, 0]])[0], CORNERS_PX[start], atol=1e-9)


# --- picks and sizes that are refused -------------------------------------------------------


def test_anticlockwise_corners_are_named() -> None:
    for mirrored in (CORNERS_PX[[0, 3, 2, 1]], CORNERS_PX[::-1]):
        with pytest.raises(PlaneError, match=r"run anticlockwise.*mirrored"):
            Plane.from_corners(mirrored, SIZE_MM)


@pytest.mark.parametrize("order", [[0, 2, 1, 3], [0, 1, 3, 2], [1, 0, 2, 3], [2, 0, 1, 3]])
def test_crossed_corners_are_named(order: list[int]) -> None:
    with pytest.raises(PlaneError, match=r"wrong order.*crosses itself"):
        Plane.from_corners(CORNERS_PX[order], SIZE_MM)


def test_a_corner_inside_the_others_is_named() -> None:
    with pytest.raises(PlaneError, match="inside the triangle of the other three"):
        Plane.from_corners([[0, 0], [900, 0], [200, 150], [0, 700]], (254, 178))


@pytest.mark.parametrize(
    "corners",
    [
        [[0, 0], [500, 0], [1000, 0], [0, 700]],
        [[0, 0], [500, 1], [1000, 2], [1500, 3]],
        [[100, 100], [100, 100], [900, 800], [100, 800]],
        [[100, 100]] * 4,
    ],
)
def test_corners_in_one_line_are_named(corners: list[list[float]]) -> None:
    with pytest.raises(PlaneError, match="in one line, or two are the same"):
        Plane.from_corners(corners, SIZE_MM)


@pytest.mark.parametrize("count", [0, 3, 5])
def test_any_other_number_of_corners_is_refused(count: int) -> None:
    picks = np.arange(2.0 * count).reshape(count, 2)
    with pytest.raises(PlaneError, match=f"Four corners are needed.*{count} given"):
        Plane.from_corners(picks, SIZE_MM)


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_picks_that_are_no_numbers_are_refused(bad: float) -> None:
    picks = CORNERS_PX.copy()
    picks[2, 1] = bad
    with pytest.raises(PlaneError, match="not finite"):
        Plane.from_corners(picks, SIZE_MM)
    with pytest.raises(PlaneError, match="pairs of numbers"):
        Plane.from_corners([["a", "b"]] * 4, SIZE_MM)
    with pytest.raises(PlaneError, match="pairs of numbers"):
        Plane.from_corners([1, 2, 3, 4], SIZE_MM)
    with pytest.raises(PlaneError, match="pairs of numbers"):
        Plane.from_corners(np.zeros((4, 3)), SIZE_MM)


@pytest.mark.parametrize("size", [(0, 100), (254, -1), (math.nan, 100), (254, math.inf)])
def test_a_size_must_be_above_zero(size: tuple[float, float]) -> None:
    with pytest.raises(PlaneError, match="width and height must be above zero"):
        Plane.from_corners(CORNERS_PX, size)


@pytest.mark.parametrize("size", [254, (254,), (254, 178, 3), ("a", "b")])
def test_a_size_is_two_lengths(size: object) -> None:
    with pytest.raises(PlaneError, match="two lengths, width and height"):
        Plane.from_corners(CORNERS_PX, size)  # type: ignore[arg-type]


def test_swapped_width_and_height_are_named() -> None:
    with pytest.raises(PlaneError, match=r"fit 254 x 177\.8 mm: swap width and height"):
        Plane.from_corners(CORNERS_PX, SIZE_MM[::-1])


@pytest.mark.parametrize("size", [(254, 17.78), (2540, 177.8), (254, 20 * 177.8)])
def test_an_absurd_aspect_is_named(size: tuple[float, float]) -> None:
    with pytest.raises(PlaneError, match=r"would mean a tilt of \d\d degrees"):
        Plane.from_corners(CORNERS_PX, size)


@PROFILE
@given(tilt=st.floats(0, 60), toward=st.floats(0, 360), aspect=st.floats(1, 12))
def test_no_honest_view_is_refused(tilt: float, toward: float, aspect: float) -> None:
    size = (200.0, 200.0 / aspect)
    view = camera_view(tilt, toward, distance_mm=600, size_mm=size)
    corners = project(view, rectangle(size))
    # seen at 60 degrees a nearly square face looks like its own self turned by a right angle
    if tilt > 48 and aspect < 2.5:
        return
    assert Plane.from_corners(corners, size).tilt_deg == pytest.approx(tilt, abs=0.1)


# --- outside the photo ----------------------------------------------------------------------


def test_a_face_that_leaves_the_photo_is_named() -> None:
    plane = Plane.from_corners(CORNERS_PX, SIZE_MM)
    plane.require_inside(PHOTO_PX)
    with pytest.raises(
        PlaneError, match=r"615 px outside the photo.* \(3615, 443\) of 3000 x 3000"
    ):
        plane.require_inside((3000, 3000))


def test_a_slip_at_the_border_of_the_photo_is_allowed() -> None:
    corners = np.array([[-3.0, -2.0], [4004, 3], [3990, 2999], [5, 3004]])
    Plane.from_corners(corners, (400, 300)).require_inside(PHOTO_PX)
    with pytest.raises(PlaneError, match="outside the photo"):
        Plane.from_corners(corners - [30, 0], (400, 300)).require_inside(PHOTO_PX)


# --- how small a JPEG may be decoded --------------------------------------------------------


@pytest.mark.parametrize(("wish", "reduction"), [(5.0, 2), (2.5, 4), (1.25, 8), (0.1, 8), (20, 1)])
def test_reduction_leaves_what_is_wished_for(wish: float, reduction: int) -> None:
    plane = Plane.from_length((0, 0), (1010, 0), 100.0)
    assert plane.reduction_for(wish, (0, 0, 300, 200)) == reduction


def test_reduction_looks_at_the_far_side_of_a_tilted_face() -> None:
    plane = Plane.from_corners(project(camera_view(40.0, 0.0), rectangle()), SIZE_MM)
    held = plane.px_per_mm_at(rectangle())
    wish = (held.min() + held.max()) / 4
    bounds = (0, 0, *SIZE_MM)
    assert held.max() / 2 > wish > held.min() / 2
    assert plane.reduction_for(wish, bounds) == 1
    assert plane.reduction_for(held.min() / 2 - 1e-9, bounds) == 2


# --- from a length --------------------------------------------------------------------------


def test_a_length_gives_a_scale_and_no_outline() -> None:
    plane = Plane.from_length((100, 200), (400, 600), 50.0)
    assert plane.kind == "length"
    assert plane.px_per_mm_at([[3, 4], [50, 60]]) == pytest.approx([10, 10])
    assert plane.outline_mm() is None
    assert plane.tilt_deg == 0
    assert plane.residual_mm == 0
    assert plane.pick_error_mm == pytest.approx(0.1)
    # the origin is the outer corner of the top left pixel
    np.testing.assert_allclose(plane.to_px([[0, 0], [10, 20]]), [[-0.5, -0.5], [99.5, 199.5]])
    plane.require_inside((10, 10))


@pytest.mark.parametrize("length", [0, -5, math.nan, math.inf])
def test_a_length_must_be_above_zero(length: float) -> None:
    with pytest.raises(PlaneError, match="length between the two picks must be above zero"):
        Plane.from_length((0, 0), (100, 0), length)


def test_two_ends_of_a_length_must_differ() -> None:
    with pytest.raises(PlaneError, match="picks of the length are the same"):
        Plane.from_length((5, 5), (5, 5.5), 10)
    with pytest.raises(PlaneError, match="must be a number of mm"):
        Plane.from_length((0, 0), (100, 0), "long")  # type: ignore[arg-type]
    with pytest.raises(PlaneError, match="pairs of numbers"):
        Plane.from_length((0, 0, 1), (100, 0, 1), 10)


# --- to and from JSON -----------------------------------------------------------------------


@pytest.mark.parametrize(
    "plane",
    [
        Plane.from_corners(CORNERS_PX, SIZE_MM),
        Plane.from_length((1, 2), (302.7, 9), 33.3),
        Plane.from_circle(
            [[500, 100], [900, 480], [510, 900], [90, 520], [790, 200], [200, 210]], 71.0
        ),
    ],
    ids=lambda plane: plane.kind,
)
def test_a_plane_survives_json_without_loss(plane: Plane) -> None:
    stored = json.loads(json.dumps(plane.as_dict()))
    back = Plane.from_dict(stored)
    np.testing.assert_array_equal(back.mm_to_px, plane.mm_to_px)
    np.testing.assert_array_equal(back.px_to_mm, plane.px_to_mm)
    assert back.as_dict() == plane.as_dict()
    assert back.tilt_deg == plane.tilt_deg


@pytest.mark.parametrize("key", ["kind", "mm_to_px", "residual_mm", "pick_error_mm", "face_mm"])
def test_a_stored_plane_with_a_gap_is_refused(key: str) -> None:
    stored = Plane.from_corners(CORNERS_PX, SIZE_MM).as_dict()
    del stored[key]
    with pytest.raises(ReadingError, match="stored plane cannot be understood"):
        Plane.from_dict(stored)


def test_a_stored_plane_that_is_none_is_refused() -> None:
    stored = Plane.from_corners(CORNERS_PX, SIZE_MM).as_dict()
    for broken in ([[1, 0], [0, 1]], np.zeros((3, 3)).tolist(), "plane"):
        with pytest.raises(ReadingError, match="stored plane cannot be understood"):
            Plane.from_dict({**stored, "mm_to_px": broken})


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("kind", "guess"),
        ("kind", ["card"]),
        ("mm_to_px", [[math.nan, 0, 0], [0, 1, 0], [0, 0, 1]]),
        ("residual_mm", -1.0),
        ("scale_error", math.inf),
        ("covariance", (-np.eye(9)).tolist()),
        ("face_mm", [[]]),
        ("hidden_mm", [[[1, 2], [3, 4]]]),
        ("notes", "one"),
    ],
)
def test_a_stored_plane_of_values_that_cannot_be_is_refused(key: str, value: object) -> None:
    stored = Plane.from_corners(CORNERS_PX, SIZE_MM).as_dict()
    with pytest.raises(ReadingError, match="stored plane cannot be understood"):
        Plane.from_dict({**stored, key: value})


def test_a_plane_cannot_be_changed_in_place() -> None:
    plane = Plane.from_corners(CORNERS_PX, SIZE_MM)
    with pytest.raises(ValueError, match="read-only"):
        plane.mm_to_px[0, 0] = 1
