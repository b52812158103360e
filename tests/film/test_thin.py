"""Points of thin film among thick ones, on drawn contrast."""

import cv2
import numpy as np
import pytest

from scrapeview.film.thin import with_thin_points

PX_PER_MM = 2.5


def drawn(shape=(150, 220)):
    """Full film everywhere, two thick marks, and the grid to draw more on."""
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]] / PX_PER_MM
    contrast = np.zeros(shape, np.float32)
    for cx, cy in ((12.0, 15.0), (70.0, 40.0)):
        contrast[np.hypot(x - cx, y - cy) < 3] = 2.0
    return x, y, contrast, np.full(shape, 2.0, np.float32), np.ones(shape, bool)


@pytest.mark.parametrize("thin", [0.8, 0.9, 0.98])
@pytest.mark.parametrize("radius_mm", [1.5, 3.5])
def test_a_thin_point_by_itself_is_measured_against_its_own_film(thin, radius_mm):
    x, y, contrast, full, inside = drawn()
    point = np.hypot(x - 45, y - 30) < radius_mm
    contrast[point] = thin
    contrast = cv2.GaussianBlur(contrast, (0, 0), 0.8)
    lowered = with_thin_points(contrast, full, inside, PX_PER_MM, 0.5)
    found = contrast > 0.5 * lowered
    assert found[point].mean() > 0.9
    assert found[np.hypot(x - 45, y - 30) > radius_mm + 1.0].sum() == pytest.approx(
        (contrast > 1.0)[np.hypot(x - 45, y - 30) > radius_mm + 1.0].sum(), abs=0
    )


def test_a_cloud_of_haze_is_no_point():
    x, y, contrast, full, inside = drawn()
    contrast += 0.95 * np.exp(-((x - 45) ** 2 + (y - 30) ** 2) / (2 * 5.0**2)).astype(np.float32)
    assert (with_thin_points(contrast, full, inside, PX_PER_MM, 0.5) == full).all()


def test_thick_marks_keep_their_full_film_to_the_edge():
    _, _, contrast, full, inside = drawn()
    blurred = cv2.GaussianBlur(contrast, (0, 0), 1.2)
    assert (with_thin_points(blurred, full, inside, PX_PER_MM, 0.5) == full).all()


def test_grain_smaller_than_a_thin_point_is_left_alone():
    x, y, contrast, full, inside = drawn()
    contrast[np.hypot(x - 45, y - 30) < 0.7] = 0.9
    assert (with_thin_points(contrast, full, inside, PX_PER_MM, 0.5) == full).all()
