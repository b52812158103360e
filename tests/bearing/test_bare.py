"""Bare patches: closed forms, scipy's exact distances, and what holds for any mask."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from scrapeview.bearing import largest_bare_patch

PX = 6.0
GRID_MM = 1 / 2.5
"""The search grid holds two and a half pixels a millimetre or more."""
CHAMFER = 0.02
"""Distances by a 5 x 5 mask (G. Borgefors, 1986) are good to two hundredths."""
STRAIGHT_MM = 1.01 * GRID_MM
"""Along straight sides a circle's diameter is as good as a pixel of the grid."""
ROUND_MM = 2.5 * GRID_MM
"""Its centre may lie 0.71 pixels off the best place and a slanting edge 0.5 off its pixels."""


def raster(width_mm, height_mm):
    x = (0.5 + np.arange(round(width_mm * PX)))[None, :] / PX
    y = (0.5 + np.arange(round(height_mm * PX)))[:, None] / PX
    return x, y, np.ones((y.size, x.size), bool)


def patch_of(face, contact):
    return largest_bare_patch(face, contact, PX, (0.5 / PX, 0.5 / PX))


@pytest.mark.parametrize(("width", "height"), [(60, 40), (25, 70), (120, 18)])
def test_an_empty_face_holds_the_circle_of_its_width(width, height):
    _, _, face = raster(width, height)
    patch = patch_of(face, np.zeros_like(face))
    assert patch.circle_mm == pytest.approx(min(width, height), abs=STRAIGHT_MM)


def test_a_strip_between_contact_holds_the_circle_of_its_width():
    x, _, face = raster(60, 40)
    patch = patch_of(face, np.broadcast_to((x < 20) | (x > 35), face.shape))
    assert patch.circle_mm == pytest.approx(15, abs=STRAIGHT_MM)
    assert patch.x_mm == pytest.approx(27.5, abs=STRAIGHT_MM)


def test_the_circle_between_four_discs():
    # closed form: centres at the corners of a square of side a, radius r: d = a sqrt(2) - 2 r
    x, y, face = raster(54, 36)
    contact = np.zeros_like(face)
    for cx in np.arange(0, 55, 18):
        for cy in np.arange(0, 37, 18):
            contact |= (x - cx) ** 2 + (y - cy) ** 2 < 5.0**2
    patch = patch_of(face, contact)
    assert patch.circle_mm == pytest.approx(18 * np.sqrt(2) - 10, abs=ROUND_MM)
    assert (patch.x_mm % 18, patch.y_mm % 18) == pytest.approx((9, 9), abs=ROUND_MM)


def test_the_circle_in_a_corner():
    # closed form: two sides and a disc of radius R about (R', R'), here about (30, 30):
    # sqrt(2) (30 - p) = R + p
    x, y, face = raster(60, 30)
    large = 20.0
    contact = (x - 30) ** 2 + (y - 30) ** 2 < large**2
    patch = patch_of(face, contact)
    radius = (30 * np.sqrt(2) - large) / (1 + np.sqrt(2))
    assert patch.circle_mm == pytest.approx(2 * radius, abs=ROUND_MM)


def test_an_opening_bounds_a_circle_as_an_edge_does():
    x, _, face = raster(60, 40)
    slot = np.broadcast_to((x > 20) & (x < 24), face.shape)
    patch = patch_of(face & ~slot, np.zeros_like(face))
    assert patch.circle_mm == pytest.approx(36, abs=STRAIGHT_MM)


def check_bare(face, contact, px_per_mm):
    """The circle is bare, and as large as scipy's exact distances say, within the grid."""
    patch = largest_bare_patch(face, contact, px_per_mm, (3.0, -2.0))
    bare = face & ~contact
    y, x = np.indices(face.shape)
    away = np.hypot(x / px_per_mm + 3.0 - patch.x_mm, y / px_per_mm - 2.0 - patch.y_mm)
    # the border of the picture is an edge
    reference = 2 * (ndimage.distance_transform_edt(np.pad(bare, 1)).max() - 0.5) / px_per_mm
    grid_mm = max(1, int(px_per_mm / 2.5)) / px_per_mm
    assert abs(patch.circle_mm - max(reference, 0)) <= 2.5 * grid_mm + CHAMFER * reference
    inner = away < (1 - CHAMFER) * patch.circle_mm / 2 - 1.25 * grid_mm
    assert bare[inner].all()


@settings(max_examples=30)
@given(st.integers(0, 10**6), st.floats(2.5, 14))
def test_the_circle_touches_no_point_and_lies_in_the_face(seed, px_per_mm):
    """Points as small as the smallest counted one, anywhere on a face with a slot."""
    rng = np.random.default_rng(seed)
    y, x = np.indices((round(30 * px_per_mm), round(44 * px_per_mm))) / px_per_mm
    contact = np.zeros(x.shape, bool)
    for cx, cy in rng.uniform((0, 0), (44, 30), (rng.integers(1, 50), 2)):
        contact |= np.hypot(x - cx, y - cy) < rng.uniform(0.4, 3.0)
    face = (x > 2.3) & (x < 41.1) & (y > 1.7) & (y < 27.9) & ~((x > 20) & (x < 22.4))
    check_bare(face, contact, px_per_mm)


def test_the_open_area_is_what_a_quarter_inch_circle_reaches():
    # a bare room of 30 x 20 mm with round corners, and a gap too narrow for the circle
    x, y, face = raster(60, 40)
    room = (x > 10) & (x < 40) & (y > 10) & (y < 30)
    gap = (x > 40) & (y > 18) & (y < 23)
    patch = patch_of(face, ~(room | gap))
    rounded = 600 - (4 - np.pi) * (25.4 / 8) ** 2
    # a pixel of the grid all along its sides
    assert patch.area_mm2 == pytest.approx(rounded, abs=100 * GRID_MM)


def test_full_contact_leaves_nothing_bare():
    _, _, face = raster(40, 30)
    patch = patch_of(face, face)
    assert patch.circle_mm == 0
    assert patch.area_mm2 == 0
