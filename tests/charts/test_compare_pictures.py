"""Pictures of two prints lie at one place, and levelled ones are equally bright."""

import dataclasses

import numpy as np
import pytest

from scrapeview.charts.compare_pictures import (
    FATE_MARKS,
    MARGIN_MM,
    PX_PER_MM,
    compared_image,
    levelled_light,
    marker_radius_mm,
    picture_at,
    place_for,
    places_of,
    washed_out_of,
)
from scrapeview.judge import compare_prints

SEED = 2


@pytest.fixture(scope="module")
def shot(printed):
    return printed("plain", SEED)


@pytest.fixture(scope="module")
def found(reading):
    return reading("plain", SEED)


@pytest.fixture(scope="module")
def compared(found):
    return compare_prints(found, found)


def test_a_picture_lies_where_its_face_does(found, shot):
    place = place_for((found,), 800)
    canvas = place.canvas()
    picture = picture_at(found, shot.jpeg, place)
    assert picture.shape[:2] == canvas.shape
    assert max(picture.shape[:2]) == pytest.approx(800, abs=2)
    marks = canvas.brought_mask(found.contact_mask, found.px_per_mm, found.origin_mm)
    face = canvas.brought_mask(np.ones_like(marks), canvas.px_per_mm, canvas.origin_mm)
    blueness = picture[..., 2].astype(int) - picture[..., 0]
    assert blueness[marks].mean() > blueness[face & ~marks].mean() + 30
    corner = canvas.to_px([[-MARGIN_MM / 2, -MARGIN_MM / 2]])[0].astype(int)
    inner = canvas.to_px([[20.0, 20.0]])[0].astype(int)
    assert picture[corner[1], corner[0]].mean() < picture[inner[1], inner[0]].mean()


def test_a_shift_moves_the_picture_back(found, shot):
    place = place_for((found,), 800)
    plain = picture_at(found, shot.jpeg, place)
    moved = picture_at(found, shot.jpeg, place, shift_mm=(3.0, 2.0))
    right, down = (round(mm * place.px_per_mm) for mm in (3.0, 2.0))
    inner = np.s_[120:300, 120:400]
    there = moved[inner].astype(int)
    same = plain[120 + down : 300 + down, 120 + right : 400 + right].astype(int)
    assert np.abs(there - same).mean() < 3
    assert np.abs(there - plain[inner].astype(int)).mean() > 10


def test_the_place_holds_all_readings_within_its_scales(found):
    far = dataclasses.replace(found, regions_mm=(found.regions_mm[0] + (200.0, 0.0),))
    place = place_for((found, far))
    assert place.bounds_mm[2] == pytest.approx(far.regions_mm[0][:, 0].max())
    long = dataclasses.replace(found, regions_mm=(found.regions_mm[0] * (40.0, 1.0),))
    assert place_for((long,)).px_per_mm == PX_PER_MM[0]
    assert place_for((found,), 100_000).px_per_mm == PX_PER_MM[1]


def test_levelled_metal_is_equally_bright():
    x = np.linspace(0, 1, 300)[None, :, None]
    rng = np.random.default_rng(3)
    light = (60 + 150 * x) * np.array([1.0, 0.9, 0.8]) + rng.normal(0, 3, (200, 300, 3))
    rgb = np.clip(light, 0, 255).astype(np.uint8)
    metal = np.ones((200, 300), bool)
    metal[60:80] = False
    rgb[60:80] //= 4
    even = levelled_light(rgb, metal, 2.0)
    columns = even[metal].reshape(180, 300, 3).mean(axis=0)
    assert np.ptp(columns[20:-20].mean(axis=1)) < 0.2 * 120
    assert np.ptp(columns.mean(axis=0)) < 4
    assert even[65:75].mean() < 0.7 * even[metal].mean()
    assert (levelled_light(rgb, np.zeros_like(metal), 2.0) == rgb).all()


def test_pictures_of_different_light_are_levelled_alike(reading, printed):
    means = []
    for scene in ("plain", "dim"):
        found, photo = reading(scene, SEED), printed(scene, SEED).jpeg
        place = place_for((found,), 600)
        bare = ~place.canvas().brought_mask(found.contact_mask, found.px_per_mm, found.origin_mm)
        bare[:20], bare[-20:], bare[:, :20], bare[:, -20:] = False, False, False, False
        means.append(
            [picture_at(found, photo, place, levelled=on)[bare].mean() for on in (False, True)]
        )
    (plain, plain_even), (dim, dim_even) = means
    assert abs(plain_even - dim_even) < 0.25 * abs(plain - dim)


def test_what_glare_took_is_on_the_readings_own_mask(reading, printed):
    glare = reading("glare", SEED)
    assert glare.washed_out_percent > 0
    mask = washed_out_of(glare, printed("glare", SEED).jpeg)
    assert mask.shape == glare.contact_mask.shape
    assert not (mask & glare.contact_mask).any()
    assert washed_out_of(reading("plain", SEED), b"is not opened") is None


def test_each_fate_has_a_shape_and_a_colour_of_its_own():
    assert len({mark.shape for mark in FATE_MARKS.values()}) == len(FATE_MARKS)
    assert len({mark.colour for mark in FATE_MARKS.values()}) == len(FATE_MARKS)


def test_places_are_those_of_the_print_the_point_is_in(compared, found):
    assert len(places_of(compared, "stayed")) == len(found.points)
    assert places_of(compared, "went").shape == (0, 2)
    before_only = compare_prints(found, dataclasses.replace(found, points=found.points.iloc[:5]))
    went = places_of(before_only, "went")
    assert len(went) == len(found.points) - 5
    assert np.isfinite(went).all()


def test_the_radius_of_markers_is_known_without_points(compared, found):
    assert 0.3 < marker_radius_mm(compared) < found.points["diameter_mm"].median()
    blank = dataclasses.replace(found, points=found.points.iloc[:0])
    assert marker_radius_mm(compare_prints(blank, blank)) > 0


def test_the_image_to_keep_holds_both_prints_and_their_marks(compared, found, shot):
    place = place_for((found,), 500)
    picture = picture_at(found, shot.jpeg, place)
    both = compared_image((picture, picture), ("pass 1", "pass 2"), place, compared)
    bare = compared_image((picture, picture), ("pass 1", "pass 2"), place, compared, ())
    assert both.width > 2 * picture.shape[1]
    assert both.height > picture.shape[0]
    green = np.array(FATE_MARKS["stayed"].colour)

    def marked(image):
        return (np.abs(np.asarray(image, dtype=int) - green).sum(axis=2) < 20).sum()

    assert marked(both) > 1000 > marked(bare)


def test_wide_faces_are_put_one_below_the_other(compared, found):
    wide = dataclasses.replace(place_for((found,), 500), bounds_mm=(0.0, 0.0, 300.0, 30.0))
    picture = np.zeros((*wide.canvas().shape, 3), np.uint8)
    image = compared_image((picture, picture), ("a", "b"), wide, compared)
    assert image.width == picture.shape[1]
    assert image.height > 2 * picture.shape[0]
