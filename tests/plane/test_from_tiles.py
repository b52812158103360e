"""The plane from printed tiles at unknown places, on computed photographs of known truth."""

import numpy as np
import pytest
from printed_photos import (
    Ground,
    Look,
    area_of,
    card_ground,
    developed,
    jpeg,
    square_round,
    to_px,
)

from scrapeview.errors import FaceError, PlaneError
from scrapeview.plane import Plane, face_from
from scrapeview.plane.cards import TILES, PaperScale

ROWS = {104: (-46.0, -21.0), 112: (-13.0, -23.0), 131: (17.0, -21.5), 150: (47.0, -22.0),
        166: (-45.0, 22.0), 181: (-10.0, 21.0), 190: (20.0, 23.0), 222: (46.0, 21.5)}  # fmt: skip
LOOK = Look(px_per_mm=6.0, size_px=(780, 460))
SURE = PaperScale(1.0, 0.0)


def laid(places, **wrong):
    ground = Ground((-60, -36, 60, 36))
    for number, place in places.items():
        ground.tile(number, place, times=wrong.get(f"t{number}", 1.0))
    return ground


@pytest.fixture(scope="module")
def rows():
    return laid(ROWS)


def gap_mm(plane, mm_to_px, places):
    """How far places lie off the truth once it is turned and shifted onto the plane."""
    own = plane.to_mm(to_px(mm_to_px, places)) @ (1, 1j)
    true = np.asarray(places, dtype=float) @ (1, 1j)
    own, true = own - own.mean(), true - true.mean()
    turn = (true.conj() * own).sum()
    return np.abs(own - turn / abs(turn) * true).max()


BOX = np.array([[-50.0, -28], [50, -28], [50, 28], [-50, 28]])


@pytest.mark.parametrize(
    ("look", "camera"),
    [
        ({}, {}), ({"tilt_deg": 25}, {}), ({"tilt_deg": 12, "roll_deg": 168}, {"sharpen": 1.0}),
        ({"tilt_deg": 8}, {"blur_px": 1.6}), ({"tilt_deg": 15}, {"tilted_light": 1.2}),
        ({"tilt_deg": 10}, {"noise": 0.02}),
    ],
    ids=str,
)  # fmt: skip
def test_places_and_scale_are_right_over_the_tiles_span(rows, look, camera):
    light, mm_to_px = rows.seen(Look(6.0, LOOK.size_px, **look), (0, 0))
    plane = Plane.from_tiles(jpeg(developed(light, **camera)), paper=SURE)
    assert plane.kind == "tiles"
    assert gap_mm(plane, mm_to_px, BOX) < 0.1
    off = area_of(plane.to_mm(to_px(mm_to_px, BOX))) / area_of(BOX) - 1
    assert abs(off) < 0.002
    assert abs(off) < 3 * plane.area_error(area_of(BOX), (0, 0, 100, 56))
    assert plane.residual_mm < 0.02


def test_the_lowest_tile_is_the_origin_and_right_is_right(rows):
    light, mm_to_px = rows.seen(Look(6.0, LOOK.size_px, roll_deg=4), (0, 0))
    plane = Plane.from_tiles(developed(light))
    np.testing.assert_allclose(plane.to_mm(to_px(mm_to_px, ROWS[104]))[0], 0, atol=0.02)
    right, down = np.diff(plane.to_px([[0, 0], [10, 0], [10, 10]]), axis=0)
    assert right[0] > abs(right[1])
    assert down[1] > abs(down[0])


def test_a_row_gives_the_direction():
    places = {107: (-46.0, 3.0), 103: (-15.0, 2.0), 120: (16.0, 3.0), 125: (47.0, 2.5)}
    light, mm_to_px = laid(places).seen(Look(6.0, LOOK.size_px, roll_deg=20), (0, 0))
    plane = Plane.from_tiles(developed(light))
    across = plane.to_mm(to_px(mm_to_px, list(places.values())))
    assert np.ptp(across[:, 1]) < 1.2
    assert across[-1, 0] > across[0, 0]
    np.testing.assert_allclose(plane.to_mm(to_px(mm_to_px, places[103]))[0], 0, atol=0.02)


def test_what_the_tiles_cover_is_hidden(rows):
    light, mm_to_px = rows.seen(Look(6.0, LOOK.size_px, tilt_deg=10), (0, 0))
    plane = Plane.from_tiles(developed(light))
    assert len(plane.hidden_mm) == len(ROWS)
    for polygon, place in zip(plane.hidden_mm, ROWS.values(), strict=True):
        true = plane.to_mm(to_px(mm_to_px, square_round(place, 21.0)))
        np.testing.assert_allclose(polygon, true, atol=0.1)
    face = face_from(plane, LOOK.size_px, to_px(mm_to_px, BOX))
    covered = sum(
        area_of([np.clip(corner, BOX[0], BOX[2]) for corner in square_round(place, 21.0)])
        for place in ROWS.values()
    )
    assert face.area_mm2 == pytest.approx(area_of(BOX) - covered, rel=0.005)
    with pytest.raises(FaceError, match="do not say what the face is"):
        face_from(plane, LOOK.size_px)


def test_a_face_is_placed_on_the_tiles(rows):
    light, mm_to_px = rows.seen(Look(6.0, LOOK.size_px, tilt_deg=14, roll_deg=5), (0, 0))
    plane = Plane.from_tiles(developed(light), paper=SURE).placed(to_px(mm_to_px, BOX), (100, 56))
    np.testing.assert_allclose(plane.to_mm(to_px(mm_to_px, BOX)), np.add(BOX, (50, 28)), atol=0.1)
    assert plane.placed_residual_mm < 0.05
    assert face_from(plane, LOOK.size_px).area_mm2 < 5600 - 2000


def test_a_tile_of_another_size_is_left_out_and_told():
    light, mm_to_px = laid(ROWS, t131=1.05).seen(Look(6.0, LOOK.size_px, tilt_deg=10), (0, 0))
    plane = Plane.from_tiles(developed(light), paper=SURE)
    assert len(plane.notes) == 1
    assert plane.notes[0].startswith("Left out: small tile 32, whose corners are up to 0.")
    assert gap_mm(plane, mm_to_px, BOX) < 0.1


def test_tiles_of_many_sizes_are_refused():
    sizes = dict(
        zip((f"t{n}" for n in ROWS), (1, 1.05, 0.95, 1.1, 0.9, 1.06, 1, 0.94), strict=True)
    )
    light, _ = laid(ROWS, **sizes).seen(LOOK, (0, 0))
    with pytest.raises(PlaneError, match="one plane or are not all of their size"):
        Plane.from_tiles(developed(light))


def test_one_tile_is_enough_for_a_rough_scale():
    light, mm_to_px = laid({131: (0.0, 0.0)}).seen(LOOK, (0, 0))
    plane = Plane.from_tiles(developed(light), paper=SURE)
    off = area_of(plane.to_mm(to_px(mm_to_px, BOX))) / area_of(BOX) - 1
    said = plane.area_error(5600, (-50, -28, 50, 28))
    assert abs(off) < 2 * said
    aside = plane.area_error(5600, (20, -28, 120, 28))
    assert aside > 5 * plane.area_error(196, (-7, -7, 7, 7))
    assert "Only one tile" in plane.notes[0]


def test_large_tiles_beside_small_ones():
    ground = Ground((-60, -36, 60, 36)).tile(104, (-45, -20)).tile(105, (-45, 20))
    ground.tile(301, (20, 2), kind=TILES["large"])
    light, mm_to_px = ground.seen(Look(6.0, LOOK.size_px, tilt_deg=9), (0, 0))
    rgb = developed(light)
    assert gap_mm(Plane.from_tiles(rgb), mm_to_px, BOX) < 0.15
    assert len(Plane.from_tiles(rgb, tiles="small").hidden_mm) == 2
    with pytest.raises(PlaneError, match="no tiles 'huge'"):
        Plane.from_tiles(rgb, tiles="huge")


def test_what_is_no_tile_is_refused_in_words(rows):
    light, _ = rows.seen(LOOK, (0, 0))
    rgb = developed(light)
    with pytest.raises(PlaneError, match="No tile can be seen"):
        Plane.from_tiles(np.full((300, 400, 3), 120, np.uint8))
    with pytest.raises(PlaneError, match="other tiles than those chosen"):
        Plane.from_tiles(rgb, tiles="large")
    with pytest.raises(PlaneError, match="mirrored"):
        Plane.from_tiles(np.ascontiguousarray(rgb[:, ::-1]))
    with pytest.raises(PlaneError, match="tiles but no scale card"):
        Plane.from_card(rgb)
    card, _ = card_ground().seen(Look(), (12, 12))
    with pytest.raises(PlaneError, match="a scale card but no tiles"):
        Plane.from_tiles(developed(card))
