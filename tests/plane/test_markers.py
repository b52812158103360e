"""Printed markers in a photograph: found, told apart, their corners exact."""

import numpy as np
import pytest
from printed_photos import Ground, Look, developed, jpeg, square_round, to_px

from scrapeview.photo import load_photo
from scrapeview.plane.markers import all_markers, find_markers, is_mirrored

PLACES = {103: (-30.0, -20.0), 117: (0.0, -22.0), 140: (31.0, -19.0), 151: (-28.0, 20.0),
          160: (2.0, 21.0), 299: (30.0, 22.0)}  # fmt: skip
LOOK = Look(px_per_mm=6.0, size_px=(620, 460), tilt_deg=18, roll_deg=9)


@pytest.fixture(scope="module")
def ground():
    made = Ground((-48, -40, 48, 40))
    for number, place in PLACES.items():
        made.tile(number, place)
    return made


@pytest.fixture(scope="module")
def seen(ground):
    return ground.seen(LOOK, (0, 0))


def errors_px(markers, mm_to_px):
    return np.concatenate(
        [m.corners_px - to_px(mm_to_px, square_round(PLACES[m.id], 14.0)) for m in markers]
    )


@pytest.mark.parametrize(
    "camera",
    [
        {}, {"sharpen": 1.0}, {"blur_px": 1.8}, {"noise": 0.02}, {"exposure": 1.5},
        {"tilted_light": 1.2}, {"cast": (1.0, 0.8, 0.5)},
    ],
    ids=str,
)  # fmt: skip
def test_all_markers_are_found_to_a_tenth_of_a_pixel(seen, camera):
    light, mm_to_px = seen
    markers = find_markers(load_photo(jpeg(developed(light, **camera))))
    assert [marker.id for marker in markers] == sorted(PLACES)
    off = errors_px(markers, mm_to_px)
    assert np.sqrt((off**2).mean()) < 0.06
    assert np.abs(off).max() < 0.15
    # the size is right too: edges of both senses are measured
    for marker in markers:
        own, true = (np.linalg.norm(np.diff(c, axis=0), axis=1).sum() for c in (
            marker.corners_px, to_px(mm_to_px, square_round(PLACES[marker.id], 14.0))))  # fmt: skip
        assert own == pytest.approx(true, rel=1.5e-3)


def test_small_markers_on_a_large_photo_are_found(ground):
    light, mm_to_px = ground.seen(Look(px_per_mm=2.4, size_px=(300, 230), roll_deg=-12), (0, 0))
    wide = np.full((2000, 3000, 3), 140, np.uint8)
    wide[700:930, 1500:1800] = developed(light, blur_px=0.6)
    markers = find_markers(load_photo(wide))
    assert [marker.id for marker in markers] == sorted(PLACES)
    off = errors_px(markers, mm_to_px) - (1500, 700)
    assert np.abs(off).max() < 0.2


def test_a_washed_out_marker_says_so(seen):
    light, mm_to_px = seen
    x, y = to_px(mm_to_px, square_round(PLACES[117], 14.0))[2]
    markers = find_markers(load_photo(developed(light, glare=[(x - 8, y - 14, 9, 2.0)])))
    assert {m.id: m.washed_out for m in markers if m.id != 117} == {
        number: False for number in PLACES if number != 117
    }
    assert all(m.washed_out for m in markers if m.id == 117)


def test_a_number_that_lies_there_twice_is_left_out():
    twice = Ground((-45, -15, 45, 15)).tile(105, (-30, 0)).tile(106, (0, 0)).tile(105, (30, 0))
    light, _ = twice.seen(Look(size_px=(600, 220)), (0, 0))
    markers = all_markers(load_photo(developed(light)))
    assert [marker.id for marker in markers.found] == [106]
    assert markers.doubled == (105,)


def test_nothing_is_found_in_a_mirror_image_or_where_nothing_lies(seen):
    mirrored = load_photo(np.ascontiguousarray(developed(seen[0])[:, ::-1]))
    assert find_markers(mirrored) == ()
    assert is_mirrored(mirrored)
    rng = np.random.default_rng(2)
    blank = load_photo(rng.integers(60, 200, (300, 400, 3), dtype=np.uint8))
    assert find_markers(blank) == ()
    assert not is_mirrored(blank)
