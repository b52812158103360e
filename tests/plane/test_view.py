"""The square-on view shows each mm where it lies, as finely as the photo holds, without alias."""

import math

import cv2
import numpy as np
import pytest

from scrapeview.errors import PlaneError
from scrapeview.photo import Photo, load_photo
from scrapeview.plane import Plane, view_square_on

SIZE_MM = (160.0, 110.0)
CORNERS_PX = np.array([[65.4, 46.2], [852.0, 80.6], [798.5, 602.4], [47.6, 551.0]])
PLANE = Plane.from_corners(CORNERS_PX, SIZE_MM)
PHOTO_PX = (900, 650)
BOUNDS = (0.0, 0.0, *SIZE_MM)


def pattern(xy_mm: np.ndarray) -> np.ndarray:
    """Smooth colours (N, 3), 0 to 255, with waves of 9 mm to 14 mm."""
    x, y = xy_mm.T
    waves = (np.sin(x / 1.5), np.cos(y / 1.9 + 1), np.sin(x / 2.2 - y / 2.0))
    return np.column_stack([128 + 90 * wave for wave in waves])


def photographed(colours=pattern) -> np.ndarray:
    """Photo of the whole plane: each pixel the mean of 2 x 2 places in it."""
    width, height = PHOTO_PX
    x, y = np.meshgrid(np.arange(2 * width), np.arange(2 * height))
    places = np.column_stack((x.ravel(), y.ravel())) / 2 - 0.25
    fine = colours(PLANE.to_mm(places)).reshape(2 * height, 2 * width, 3)
    return np.rint(fine.reshape(height, 2, width, 2, 3).mean(axis=(1, 3))).astype(np.uint8)


@pytest.fixture(scope="module")
def pixels() -> np.ndarray:
    return photographed()


def reduced(rgb: np.ndarray, k: int) -> Photo:
    """What a JPEG decoder gives at 1/k: means of k x k pixels, the last ones padded."""
    pad = [(0, -rgb.shape[0] % k), (0, -rgb.shape[1] % k), (0, 0)]
    padded = np.pad(rgb, pad, mode="edge").astype(float)
    high, wide = padded.shape[0] // k, padded.shape[1] // k
    small = padded.reshape(high, k, wide, k, 3).mean(axis=(1, 3))
    size = (rgb.shape[1], rgb.shape[0])
    return Photo(np.rint(small).astype(np.uint8), k, size, "0" * 64, None, "JPEG")


@pytest.mark.parametrize("reduction", [1, 2, 4])
@pytest.mark.parametrize("px_per_mm", [8.0, 5.0, 3.7, 2.0])
def test_the_view_shows_each_mm_where_it_lies(
    pixels: np.ndarray, reduction: int, px_per_mm: float
) -> None:
    view = view_square_on(
        reduced(pixels, reduction), PLANE, BOUNDS, px_per_mm=px_per_mm, margin_mm=5.0
    )
    rows, columns = np.mgrid[: view.rgb.shape[0], : view.rgb.shape[1]]
    places = view.to_mm(np.column_stack((columns.ravel(), rows.ravel())))
    expected = pattern(places)
    found = view.rgb.reshape(-1, 3)[view.valid.ravel()]
    expected = expected[view.valid.ravel()]
    # a shift of 0.1 mm would change a value by 4 in the mean; blur lowers the waves evenly
    for channel in range(3):
        gain, offset = np.polyfit(expected[:, channel], found[:, channel], 1)
        rest = found[:, channel] - (gain * expected[:, channel] + offset)
        assert 0.9 < gain < 1.02
        assert abs(gain * 128 + offset - 128) < 0.7
        assert np.sqrt(np.mean(rest**2)) < 1.6


SPOTS_MM = np.array([[20.0, 25.0], [140.0, 30.0], [75.0, 90.0]])


def spots(xy_mm: np.ndarray) -> np.ndarray:
    """Three dark discs of 8 mm on light ground."""
    distance = np.min([np.linalg.norm(xy_mm - centre, axis=1) for centre in SPOTS_MM], axis=0)
    return np.repeat(np.where(distance < 4, 20.0, 220.0)[:, None], 3, axis=1)


@pytest.fixture(scope="module")
def spotted() -> np.ndarray:
    return photographed(spots)


@pytest.mark.parametrize("reduction", [1, 2, 4])
def test_a_spot_keeps_its_place_at_every_reduction(spotted: np.ndarray, reduction: int) -> None:
    photo = reduced(spotted, reduction)
    view = view_square_on(photo, PLANE, BOUNDS, px_per_mm=5.0, margin_mm=2.0)
    dark = 220.0 - view.rgb[:, :, 0]
    count, labels = cv2.connectedComponents((dark > 100).astype(np.uint8))
    assert count == 4
    rows, columns = np.mgrid[: dark.shape[0], : dark.shape[1]]
    near = cv2.dilate(labels.astype(np.uint8), np.ones((5, 5), np.uint8))
    found = np.array(
        [
            [(columns * dark)[near == i].sum(), (rows * dark)[near == i].sum()]
            / dark[near == i].sum()
            for i in (1, 2, 3)
        ]
    )
    found_mm = view.to_mm(found)
    for centre in SPOTS_MM:
        assert np.linalg.norm(found_mm - centre, axis=1).min() < 0.04


def test_the_view_is_never_finer_than_the_photo_holds(pixels: np.ndarray) -> None:
    x, y = np.meshgrid(np.linspace(0, 160, 5), np.linspace(0, 110, 5))
    held = np.median(PLANE.px_per_mm_at(np.column_stack((x.ravel(), y.ravel()))))
    for reduction in (1, 2, 4):
        photo = reduced(pixels, reduction)
        view = view_square_on(photo, PLANE, BOUNDS, px_per_mm=50.0, margin_mm=0.0)
        assert view.px_per_mm == pytest.approx(held / reduction)
        coarse = view_square_on(photo, PLANE, BOUNDS, px_per_mm=1.0, margin_mm=0.0)
        assert coarse.px_per_mm == 1.0


def test_the_view_reaches_past_the_bounds(pixels: np.ndarray) -> None:
    view = view_square_on(load_photo(pixels), PLANE, BOUNDS, px_per_mm=4.0, margin_mm=3.0)
    height, width = view.valid.shape
    edges = view.to_mm([[-0.5, -0.5], [width - 0.5, height - 0.5]])
    assert (edges[0] <= -3.0).all()
    assert (edges[1] >= np.array(SIZE_MM) + 3.0).all()
    assert (edges[0] > -3.3).all()
    np.testing.assert_allclose(view.to_mm([[0, 0]])[0], view.origin_mm)
    np.testing.assert_allclose(view.to_view(view.to_mm([[7.5, 9.25]])), [[7.5, 9.25]])


def test_valid_marks_the_pixels_inside_the_photo(pixels: np.ndarray) -> None:
    view = view_square_on(load_photo(pixels), PLANE, BOUNDS, px_per_mm=3.0, margin_mm=25.0)
    rows, columns = np.mgrid[: view.valid.shape[0], : view.valid.shape[1]]
    places = PLANE.to_px(view.to_mm(np.column_stack((columns.ravel(), rows.ravel()))))
    inside = ((places >= -0.5) & (places <= np.array(PHOTO_PX) - 0.5)).all(axis=1)
    assert 0.5 < view.valid.mean() < 0.95
    assert (inside.reshape(view.valid.shape) != view.valid).sum() <= 2


def test_outside_the_photo_its_border_is_continued() -> None:
    rgb = np.full((130, 180, 3), 90, np.uint8)
    plane = Plane.from_length((0, 0), (10, 0), 10.0)
    photo = load_photo(rgb)
    view = view_square_on(photo, plane, (0, 0, 180, 130), px_per_mm=1, margin_mm=9)
    assert (view.rgb == 90).all()
    assert view.valid.sum() == 130 * 180


@pytest.mark.parametrize("excess", [1.4, 1.9, 2.0, 2.7, 5.3])
def test_what_the_view_cannot_show_does_not_alias_into_it(excess: float) -> None:
    # unsmoothed, such stripes come out at half to all of their contrast as a false pattern;
    # stripes at the photo's own limit, 2 px a period, turned a little
    x, y = np.meshgrid(np.arange(700), np.arange(500))
    stripes = 128 + 100 * np.cos(math.pi * (0.98 * x + 0.1 * y))
    rgb = np.repeat(np.rint(stripes)[:, :, None], 3, axis=2).astype(np.uint8)
    plane = Plane.from_length((0, 0), (10, 0), 1.0)
    view = view_square_on(
        load_photo(rgb), plane, (5, 5, 60, 40), px_per_mm=10 / excess, margin_mm=0
    )
    assert view.rgb.mean() == pytest.approx(128, abs=1)
    # well below the half: how much is left depends on where the grid falls on the stripes
    assert view.rgb.std() < 0.4 * rgb.std()


def test_a_view_of_a_part_equals_that_part_of_the_whole(pixels: np.ndarray) -> None:
    photo = load_photo(pixels)
    part = view_square_on(photo, PLANE, (40, 30, 90, 70), px_per_mm=4.0, margin_mm=0)
    rows, columns = np.mgrid[: part.rgb.shape[0], : part.rgb.shape[1]]
    expected = pattern(part.to_mm(np.column_stack((columns.ravel(), rows.ravel()))))
    assert np.abs(part.rgb.reshape(-1, 3) - expected).mean() < 5


@pytest.mark.parametrize("bounds", [(0, 0, 0, 10), (5, 0, 1, 10), (0, 0, math.inf, 10)])
def test_empty_bounds_are_refused(bounds: tuple[float, ...], pixels: np.ndarray) -> None:
    with pytest.raises(PlaneError, match="is empty"):
        view_square_on(load_photo(pixels), PLANE, bounds, px_per_mm=5, margin_mm=2)


def test_scale_and_margin_must_make_sense(pixels: np.ndarray) -> None:
    photo = load_photo(pixels)
    for wrong in (0.0, -1.0, math.nan):
        with pytest.raises(PlaneError, match="scale of the view must be above zero"):
            view_square_on(photo, PLANE, BOUNDS, px_per_mm=wrong, margin_mm=2)
    for wrong in (-1.0, math.nan):
        with pytest.raises(PlaneError, match="margin of the view must be zero or more"):
            view_square_on(photo, PLANE, BOUNDS, px_per_mm=5, margin_mm=wrong)


def test_a_view_past_the_horizon_is_refused(pixels: np.ndarray) -> None:
    steep = Plane.from_corners([[300, 250], [400, 250], [650, 550], [150, 550]], (200, 200))
    with pytest.raises(PlaneError, match="past the horizon"):
        view_square_on(load_photo(pixels), steep, (0, 0, 200, 200), px_per_mm=1, margin_mm=90)
