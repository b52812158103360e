"""The plane from a printed card on computed photographs whose truth is known."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from PIL import Image
from printed_photos import (
    Look,
    area_of,
    card_ground,
    developed,
    jpeg,
    to_px,
)

from scrapeview.errors import PlaneError
from scrapeview.plane import Plane, face_from
from scrapeview.plane.cards import CARDS, PaperScale

INCH, METRIC = CARDS["inch"], CARDS["25mm"]
MIDDLE = (12.7, 12.7)


@pytest.fixture(scope="module")
def inch():
    return card_ground(INCH)


def window(side_mm=25.4):
    return np.array([[0, 0], [side_mm, 0], [side_mm, side_mm], [0, side_mm]])


def require_true(plane, mm_to_px, position_mm=0.15, scale=0.002):
    """Every place in and round the window right, and the scale."""
    places = np.array([[x, y] for x in (-17, 0, 12.7, 25.4, 42) for y in (-17, 0, 12.7, 25.4, 42)])
    off = np.linalg.norm(plane.to_mm(to_px(mm_to_px, places)) - places, axis=1)
    assert off.max() < position_mm
    seen = plane.to_mm(to_px(mm_to_px, window()))
    assert area_of(seen) == pytest.approx(25.4**2, rel=2 * scale)


@pytest.mark.parametrize("tilt_deg", [0, 12, 25])
@pytest.mark.parametrize("roll_deg", [0, 75, 180, 250])
def test_places_and_scale_are_right_however_the_card_lies(inch, tilt_deg, roll_deg):
    light, mm_to_px = inch.seen(Look(tilt_deg=tilt_deg, roll_deg=roll_deg), MIDDLE)
    plane = Plane.from_card(jpeg(developed(light, seed=roll_deg)))
    require_true(plane, mm_to_px, position_mm=0.03, scale=0.0005)
    assert plane.kind == "card"
    assert plane.residual_mm < 0.02
    assert plane.tilt_deg == pytest.approx(tilt_deg, abs=2)
    assert plane.notes == ()


@pytest.mark.parametrize(
    "camera",
    [
        {"blur_px": 1.8}, {"sharpen": 1.2}, {"noise": 0.03}, {"exposure": 1.6}, {"exposure": 0.2},
        {"tilted_light": 1.4}, {"cast": (1.0, 0.7, 0.4)}, {"glare": [(330, 90, 40, 2.0)]},
    ],
    ids=str,
)  # fmt: skip
def test_poor_photographs_are_read_as_exactly(inch, camera):
    light, mm_to_px = inch.seen(Look(tilt_deg=15, roll_deg=20), MIDDLE)
    require_true(Plane.from_card(jpeg(developed(light, **camera), 75)), mm_to_px)


@pytest.mark.parametrize("hidden", [(0, 3, 5), (1, 2, 3, 4, 5, 6)])
def test_covered_markers_are_done_without(inch, hidden):
    light, mm_to_px = inch.seen(Look(tilt_deg=10), MIDDLE)
    rgb = developed(light)
    for number in hidden:
        middle = to_px(mm_to_px, INCH.markers_mm[number].mean(axis=0))[0]
        cv2.circle(rgb, np.rint(middle).astype(int).tolist(), 32, (70, 55, 40), -1)
    plane = Plane.from_card(rgb)
    require_true(plane, mm_to_px)
    assert plane.notes == (f"{len(hidden)} of the card's 8 markers cannot be seen.",)
    whole = Plane.from_card(developed(light))
    assert plane.area_error(645, (0, 0, 25, 25)) > whole.area_error(645, (0, 0, 25, 25))


def test_one_marker_out_of_place_is_left_out(inch):
    light, mm_to_px = inch.seen(Look(roll_deg=5), MIDDLE)
    rgb = developed(light)
    moved = np.roll(rgb, (3, 4), axis=(0, 1))
    x0, y0 = np.floor(to_px(mm_to_px, INCH.markers_mm[4].mean(axis=0))[0]).astype(int) - 46
    rgb[y0 : y0 + 92, x0 : x0 + 92] = moved[y0 : y0 + 92, x0 : x0 + 92]
    plane = Plane.from_card(rgb)
    require_true(plane, mm_to_px, position_mm=0.05)
    assert plane.notes[0].startswith("Left out of the card: marker 5")


def test_the_card_that_lies_there_is_found_and_another_refused():
    light, mm_to_px = card_ground(METRIC).seen(Look(roll_deg=33), (12.5, 12.5))
    rgb = developed(light)
    plane = Plane.from_card(rgb)
    np.testing.assert_allclose(plane.face_mm[0], window(25.0))
    require_true(plane, mm_to_px)
    assert Plane.from_card(rgb, card="25mm").as_dict() == plane.as_dict()
    with pytest.raises(PlaneError, match="shows the 25 mm card, not the one-inch card"):
        Plane.from_card(rgb, card="inch")
    with pytest.raises(PlaneError, match="no card 'foot'"):
        Plane.from_card(rgb, card="foot")


def test_a_card_drawn_wrongly_is_refused_with_its_residual():
    wrong = replace(METRIC, first_id=INCH.first_id)
    light, _ = card_ground(wrong).seen(Look(tilt_deg=8), MIDDLE)
    with pytest.raises(PlaneError, match=r"lie 0\.\d\d mm off.*print it again"):
        Plane.from_card(developed(light))


def test_a_card_stretched_one_way_is_refused_where_the_view_shows_it(inch):
    light, _ = inch.seen(Look(), MIDDLE)
    stretched = cv2.resize(developed(light), (577, 500), interpolation=cv2.INTER_AREA)
    with pytest.raises(PlaneError, match=r"3\.\d % longer along its width.*mm off"):
        Plane.from_card(stretched)


def test_what_is_no_card_is_refused_in_words(inch):
    light, _ = inch.seen(Look(), MIDDLE)
    rgb = developed(light)
    with pytest.raises(PlaneError, match="No scale card can be seen"):
        Plane.from_card(np.full((300, 400, 3), 120, np.uint8))
    with pytest.raises(PlaneError, match="mirrored"):
        Plane.from_card(np.ascontiguousarray(rgb[:, ::-1]))
    with pytest.raises(PlaneError, match="Only one of the 8 markers"):
        Plane.from_card(rgb[:220, :220].copy())


def test_the_measured_bar_corrects_the_scale(inch):
    light, mm_to_px = inch.seen(Look(), MIDDLE)
    plane = Plane.from_card(developed(light), paper=PaperScale.from_bar(147.0))
    np.testing.assert_allclose(plane.face_mm[0], window(25.4 * 0.98))
    corners = plane.to_mm(to_px(mm_to_px, window()))
    np.testing.assert_allclose(corners, window(25.4 * 0.98), atol=0.02)
    unmeasured = Plane.from_card(developed(light))
    box = (0, 0, 25, 25)
    assert plane.area_error(645, box) < 0.004 < 0.02 <= unmeasured.area_error(645, box)


def test_the_file_may_be_turned_by_its_exif(inch, tmp_path):
    light, mm_to_px = inch.seen(Look(tilt_deg=12), MIDDLE)
    stored = np.ascontiguousarray(np.rot90(developed(light)))
    picture = Image.fromarray(stored)
    exif = picture.getexif()
    exif[0x0112] = 6
    path = tmp_path / "turned.jpg"
    picture.save(path, quality=90, exif=exif)
    require_true(Plane.from_card(path), mm_to_px)


def test_the_card_is_taken_out_of_a_larger_face(inch):
    light, mm_to_px = inch.seen(Look(size_px=(620, 560)), MIDDLE)
    plane = Plane.from_card(developed(light), paper=PaperScale(1.0, 0.0))
    outline = np.array([[-25, -25], [50, -25], [50, 50], [-25, 50]])
    face = face_from(plane, (620, 560), to_px(mm_to_px, outline))
    x0, _, x1, _ = INCH.outer_mm
    card_mm2 = (x1 - x0 + 1) ** 2 - 25.4**2
    assert face.area_mm2 == pytest.approx(75**2 - card_mm2, rel=0.002)
    own = face_from(plane, (620, 560))
    assert own.area_mm2 == pytest.approx(25.4**2)
    # far from the card its scale is less sure
    far = plane.area_error(625, (200, 0, 225, 25))
    assert far > 3 * plane.area_error(625, (0, 0, 25, 25))


def test_patches_show_the_light_they_are_in(inch):
    light, _ = inch.seen(Look(tilt_deg=10, roll_deg=100), MIDDLE)
    even = Plane.from_card(developed(light)).patches
    assert (len(even.seen), even.covered) == (8, 0)
    # sRGB of 0.8 and of 0.4 linear
    np.testing.assert_allclose(even.rgb_of("white"), 231, atol=2)
    np.testing.assert_allclose(even.rgb_of("grey"), 170, atol=2)
    warm = Plane.from_card(developed(light, cast=(1.0, 0.8, 0.5))).patches
    red, green, blue = warm.rgb_of("grey")
    assert red > green > blue


def test_true_areas_lie_in_their_interval(inch):
    rng = np.random.default_rng(11)
    inside = []
    for seed in range(24):
        look = Look(
            px_per_mm=rng.uniform(4, 7), size_px=(520, 470), tilt_deg=rng.uniform(0, 25),
            towards_deg=rng.uniform(0, 360), roll_deg=rng.uniform(0, 360),
        )  # fmt: skip
        light, mm_to_px = inch.seen(look, MIDDLE)
        rgb = developed(light, blur_px=rng.uniform(0.6, 1.5), noise=0.01, seed=seed)
        plane = Plane.from_card(jpeg(rgb, 80), paper=PaperScale(1.0, 0.0))
        x, y = rng.uniform(-40, 40, 2)
        box = np.array([[x, y], [x + 30, y], [x + 30, y + 30], [x, y + 30]])
        off = area_of(plane.to_mm(to_px(mm_to_px, box))) / 900 - 1
        inside.append(abs(off) < 1.96 * plane.area_error(900, (x, y, x + 30, y + 30)))
    assert np.mean(inside) >= 0.9
