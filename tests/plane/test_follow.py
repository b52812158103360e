"""Corners carried over from the last photograph where the camera hardly moved."""

import dataclasses

import numpy as np
import pytest

from scrapeview.photo import load_photo
from scrapeview.plane.follow import follow_corners
from scrapeview.simulate import SCENES, render

WIDTH, HEIGHT = 1280, 960


def taken(scene, seed=5, shift=(0, 0), **camera):
    """A photograph on a steady canvas, with the camera shifted by whole pixels, and its corners."""
    plain = SCENES["plain"]
    described = dataclasses.replace(
        SCENES[scene], camera=dataclasses.replace(plain.camera, **camera), shape=plain.shape
    )
    shot = render(described, seed=seed, px_per_mm=8.5, size_mm=(110.0, 70.0))
    wide = np.pad(load_photo(shot.jpeg).rgb, ((200, 400), (200, 400), (0, 0)), mode="edge")
    left, top = 160 - shift[0], 160 - shift[1]
    rgb = np.ascontiguousarray(wide[top : top + HEIGHT, left : left + WIDTH])
    return load_photo(rgb), np.array(shot.corners_px) + 40 + np.array(shift)


@pytest.fixture(scope="module")
def first():
    return taken("plain")


@pytest.mark.parametrize("scene", ["crowded", "coarse", "rings", "shadow"])
@pytest.mark.parametrize("shift", [(0, 0), (6, -4), (24, 17)])
def test_corners_are_found_again_under_another_print(scene, shift, first):
    before, corners = first
    now, true = taken(scene, shift=shift)
    followed = follow_corners(before, now, corners)
    assert followed is not None
    assert np.abs(followed.corners_px - true).max() < 1.0
    assert followed.moved_px == pytest.approx(np.hypot(*shift), abs=1.0)


def test_the_same_photograph_has_not_moved(first):
    photo, corners = first
    followed = follow_corners(photo, photo, corners)
    assert followed.moved_px < 0.05
    assert followed.score > 0.99


@pytest.mark.parametrize("seed", range(6, 12))
def test_another_face_is_not_taken_for_this_one(seed, first):
    before, corners = first
    assert follow_corners(before, taken("plain", seed=seed)[0], corners) is None


def test_a_camera_that_moved_is_not_followed(first):
    before, corners = first
    assert follow_corners(before, taken("plain", shift=(120, 0))[0], corners) is None
    assert follow_corners(before, taken("plain", roll_deg=5.0)[0], corners) is None


def test_another_size_of_photo_is_not_followed(first):
    before, corners = first
    smaller = load_photo(np.ascontiguousarray(before.rgb[:-8]))
    assert follow_corners(before, smaller, corners) is None


def test_picks_off_the_photo_are_not_found(first):
    photo, corners = first
    assert follow_corners(photo, photo, corners + np.array([5000, 0])) is None


def test_two_ends_of_a_length_are_found_again(first):
    before, corners = first
    now, true = taken("plain", shift=(6, -4))
    followed = follow_corners(before, now, corners[:2])
    assert np.abs(followed.corners_px - true[:2]).max() < 1.0
