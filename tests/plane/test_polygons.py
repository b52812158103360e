"""Polygons: rasters without bias, exact areas of differences, soundness."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skimage.draw import polygon2mask

from scrapeview.plane import circle_polygon
from scrapeview.plane.polygons import clipped, crosses_itself, polygon_area, polygon_mask
from scrapeview.plane.sweep import swept_areas

PROFILE = settings(deadline=None, derandomize=True, max_examples=40)
SHAPE = (260, 420)


def star(seed: int, centre: tuple[float, float], reach: float, corners: int) -> np.ndarray:
    """A simple polygon, corners at rising angles and random distances from its centre."""
    rng = np.random.default_rng(seed)
    angle = (np.arange(corners) + rng.uniform(0.1, 0.9, corners)) * 2 * math.pi / corners
    distance = reach * rng.uniform(0.5, 1.0, corners)
    return np.array(centre) + distance[:, None] * np.column_stack((np.cos(angle), np.sin(angle)))


def box(x0: float, y0: float, x1: float, y1: float) -> np.ndarray:
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)


stars = st.builds(
    star,
    seed=st.integers(0, 2**32 - 1),
    centre=st.tuples(st.floats(180, 240), st.floats(120, 140)),
    reach=st.floats(60, 115),
    corners=st.integers(5, 40),
)


@PROFILE
@given(polygon=stars)
def test_mask_has_exactly_the_pixels_whose_centre_is_inside(polygon: np.ndarray) -> None:
    # scikit-image's point-in-polygon, which takes rows first
    expected = polygon2mask(SHAPE, polygon[:, ::-1])
    np.testing.assert_array_equal(polygon_mask(polygon, SHAPE), expected)


def test_mask_area_has_no_bias() -> None:
    # per polygon the pixels at its border scatter by chance; in the mean of many they cancel,
    # where one border pixel too many all round would add about 2 %
    errors = []
    for seed in range(60):
        polygon = star(seed, (200 + seed / 7, 130 + seed / 11), 110, 24)
        errors.append(polygon_mask(polygon, SHAPE).sum() / polygon_area(polygon) - 1)
    assert abs(np.mean(errors)) < 3e-4
    assert np.max(np.abs(errors)) < 5e-3


def test_mask_area_of_a_large_polygon_is_within_a_thousandth() -> None:
    polygon = star(4, (800.3, 550.7), 540, 17)
    area = polygon_mask(polygon, (1100, 1600)).sum()
    assert area == pytest.approx(polygon_area(polygon), rel=1e-3)


def test_neighbours_share_no_pixel_and_leave_none() -> None:
    # both sides of a shared edge, through pixel centres too
    left = np.array([[0, 0], [30, 0], [20, 40], [0, 40]], dtype=float)
    right = np.array([[30, 0], [60, 0], [60, 40], [20, 40]], dtype=float)
    both = polygon_mask(left, (50, 70)).astype(int) + polygon_mask(right, (50, 70))
    assert both.max() == 1
    np.testing.assert_array_equal(both > 0, polygon_mask(box(0, 0, 60, 40), (50, 70)))


def test_mask_of_a_polygon_that_leaves_the_picture() -> None:
    assert polygon_mask(box(-50, -50, 500, 500), SHAPE).all()
    assert not polygon_mask(box(-50, -50, -10, 500), SHAPE).any()
    assert not polygon_mask(box(500, 10, 600, 50), SHAPE).any()
    half = polygon_mask(box(-50, -50, 99.5, 500), SHAPE)
    assert half[:, :100].all()
    assert not half[:, 100:].any()


@pytest.mark.parametrize("vertices", [3, 6, 64, 180])
def test_circle_polygon_has_the_circles_area(vertices: int) -> None:
    polygon = circle_polygon((30, 70), 12.5, vertices)
    assert polygon.shape == (vertices, 2)
    assert polygon_area(polygon) == pytest.approx(math.pi * 12.5**2, rel=1e-12)
    np.testing.assert_allclose(polygon.mean(axis=0), [30, 70], atol=1e-9)


def test_polygon_area_of_known_shapes() -> None:
    assert polygon_area(box(1e6, 1e6, 1e6 + 3, 1e6 + 2)) == pytest.approx(6, rel=1e-9)
    assert polygon_area(box(0, 0, 3, 2)[::-1]) == 6
    assert polygon_area(np.array([[0, 0], [4, 0], [0, 3]], dtype=float)) == 6


@PROFILE
@given(polygon=stars, first=st.integers(0, 100), apart=st.integers(2, 50))
def test_crossing_is_seen(polygon: np.ndarray, first: int, apart: int) -> None:
    assert not crosses_itself(polygon)
    assert not crosses_itself(polygon[::-1])
    # swapping two corners of a convex polygon that are not next to each other makes it cross
    convex = circle_polygon((0, 0), 10, len(polygon))
    i = first % len(convex)
    j = (i + 2 + apart % (len(convex) - 3)) % len(convex)
    convex[[i, j]] = convex[[j, i]]
    assert crosses_itself(convex)


def test_a_bow_tie_crosses_and_a_triangle_cannot() -> None:
    assert crosses_itself(np.array([[0, 0], [10, 10], [10, 0], [0, 10]], dtype=float))
    assert not crosses_itself(np.array([[0, 0], [10, 10], [10, 0]], dtype=float))


# --- areas by sweep -------------------------------------------------------------------------


def test_a_region_alone_has_its_own_area() -> None:
    for seed in range(10):
        polygon = star(seed, (200, 130), 110, 24)
        swept = swept_areas([polygon], [])
        assert swept.regions[0] == pytest.approx(polygon_area(polygon), rel=1e-12)
        assert swept.openings.shape == (0,)
        assert swept.overlap == 0


def test_openings_are_taken_once_and_only_where_they_lie_on_a_region() -> None:
    regions = [box(0, 0, 100, 50), box(150, 0, 250, 50)]
    openings = [
        box(10, 10, 30, 30),  # inside the first
        box(20, 20, 40, 40),  # over the one before
        box(90, -20, 110, 80),  # past the first one's edge
        box(110, 10, 140, 20),  # between the regions
        box(95, 40, 155, 45),  # across both
    ]
    swept = swept_areas(regions, openings)
    # 5000 - (400 + 400 - 100) - 10 x 50 - nothing more, as 95..100 is taken already
    np.testing.assert_allclose(swept.regions, [5000 - 700 - 500, 5000 - 25], rtol=1e-12)
    np.testing.assert_allclose(swept.openings, [400, 400, 500, 0, 50], rtol=1e-12, atol=1e-12)
    assert swept.overlap == 0


def test_a_disc_half_over_the_edge_takes_half_its_area() -> None:
    swept = swept_areas([box(0, 0, 200, 100)], [circle_polygon((200, 50), 20)])
    assert swept.regions[0] == pytest.approx(20000 - math.pi * 200, rel=1e-6)


@PROFILE
@given(region=stars, opening=stars)
def test_sweep_agrees_with_a_fine_raster(region: np.ndarray, opening: np.ndarray) -> None:
    opening = opening - 40
    fine = 5
    shape = (SHAPE[0] * fine, SHAPE[1] * fine)
    left = polygon_mask(region * fine, shape) & ~polygon_mask(opening * fine, shape)
    swept = swept_areas([region], [opening])
    tolerance = 0.002 * polygon_area(region)
    assert swept.regions[0] == pytest.approx(left.sum() / fine**2, abs=tolerance)


def test_overlapping_regions_are_measured() -> None:
    swept = swept_areas([box(0, 0, 10, 10), box(8, 2, 20, 12)], [])
    assert swept.overlap == pytest.approx(2 * 8)


@PROFILE
@given(stars, st.tuples(st.floats(100, 200), st.floats(60, 130)), st.floats(20, 120))
def test_a_clipped_polygon_holds_what_lies_in_the_box(polygon, corner, side):
    bounds = (*corner, corner[0] + side, corner[1] + 0.7 * side)
    part = clipped(polygon, bounds)
    inside = polygon_mask(polygon, SHAPE) & polygon_mask(box(*bounds), SHAPE)
    held = polygon_mask(part, SHAPE) if len(part) else np.zeros(SHAPE, dtype=bool)
    # a pixel's centre on the border itself may fall to either side
    assert (held ^ inside).sum() <= 2
    outside = swept_areas([box(*bounds)], [polygon]).regions[0]
    area = polygon_area(part) if len(part) else 0.0
    assert area == pytest.approx(polygon_area(box(*bounds)) - outside, abs=0.5)


def test_nothing_is_left_of_a_polygon_beside_the_box():
    assert clipped(box(0, 0, 4, 3), (10, 0, 20, 5)).shape == (0, 2)
