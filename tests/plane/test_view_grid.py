"""The view's grid: a face whose sides are whole pixels loses none of them."""

import numpy as np
import pytest

from scrapeview.photo import load_photo
from scrapeview.plane import Plane, face_from, view_square_on


@pytest.mark.parametrize(("width", "height"), [(110.0, 70.0), (254.0, 178.0), (60.0, 40.0)])
def test_a_rectangle_of_whole_pixels_is_exact(width, height):
    photo = load_photo(np.zeros((round(8 * height) + 100, round(8 * width) + 120, 3), np.uint8))
    x1, y1 = 50 + 8 * width, 50 + 8 * height
    plane = Plane.from_corners([(50, 50), (x1, 50), (x1, y1), (50, y1)], size_mm=(width, height))
    face = face_from(plane, photo.full_size_px)
    view = view_square_on(photo, plane, face.bounds_mm, px_per_mm=5.5, margin_mm=5.0)
    assert (face.masks(view) > 0).sum() / 5.5**2 == pytest.approx(width * height, rel=1e-9)
