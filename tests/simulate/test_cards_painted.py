"""Cards and tiles lie on the raster where, and as large as, the drawing says."""

import cv2
import numpy as np
import pytest

from scrapeview.plane.cards import CARDS, DICTIONARY, GREY_REFLECTANCE, TILES, PaperScale
from scrapeview.plane.cards import marker_cells as cells_of
from scrapeview.simulate import LaidTile, render_carded, tiles_along
from scrapeview.simulate.cards import INK, PAPER, RAG, card_to_mm, cover_up, paint_card, paint_tile
from scrapeview.simulate.fields import grid_over
from scrapeview.simulate.surface import Surface

METAL = 0.3
BIG = PaperScale(1.04, 0.0)


def bare(size_mm=(90.0, 70.0), px_per_mm=7.3):
    grid = grid_over(size_mm, 2.0, px_per_mm)
    metal = np.full((*grid.shape, 3), METAL, np.float32)
    return Surface(grid, metal, np.ones(grid.shape, np.float32), np.ones(grid.shape, np.float32))


def markers_in(picture):
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(DICTIONARY))
    parameters = detector.getDetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    parameters.cornerRefinementWinSize = 3
    detector.setDetectorParameters(parameters)
    corners, ids, _ = detector.detectMarkers(picture)
    numbers = [] if ids is None else np.ravel(ids).tolist()
    return dict(zip(numbers, [found.reshape(4, 2) for found in corners], strict=True))


def grey_of(surface):
    return np.clip(255 * surface.reflectance[..., 1], 0, 255).astype(np.uint8)


def near(xy_mm, surface, value, within_mm=1.0):
    """Whether the raster has a value all round a place."""
    x, y = np.round(surface.grid.to_px(xy_mm)).astype(int)
    reach = int(within_mm * surface.grid.px_per_mm)
    around = surface.reflectance[y - reach : y + reach + 1, x - reach : x + reach + 1]
    return np.allclose(around, value, atol=1e-4)


@pytest.mark.parametrize("paper", [PaperScale(1.0, 0.0), BIG])
@pytest.mark.parametrize(("kind", "turn_deg"), [("small", 0.0), ("small", 27.0), ("large", -163.0)])
def test_tile_has_the_area_of_its_cells(kind, turn_deg, paper):
    surface, tiles = bare(), TILES[kind]
    marker_id = tiles.first_id + 7
    paint_tile(surface, marker_id, tiles, (43.21, 33.87), turn_deg, paper=paper)
    black_mm2 = cells_of(marker_id).mean() * (tiles.marker_mm * paper.scale) ** 2
    whole_mm2 = (tiles.tile_mm * paper.scale) ** 2
    added = (surface.reflectance[..., 1] - METAL).sum() / surface.grid.px_per_mm**2
    # summed light is linear in the cover: closed form, whatever the turn
    assert added == pytest.approx(whole_mm2 * (PAPER - METAL) - black_mm2 * (PAPER - INK), rel=2e-3)
    assert surface.flash.min() == 0


@pytest.mark.parametrize("paper", [PaperScale(1.0, 0.0), BIG])
def test_tile_lies_where_it_was_laid(paper):
    surface = bare()
    laid = LaidTile(117, (40.3, 36.6), 27.0)
    paint_tile(surface, laid.marker_id, laid.kind, laid.at_mm, laid.turn_deg, paper=paper)
    found = markers_in(grey_of(surface))[117] / surface.grid.px_per_mm + surface.grid.origin_mm
    assert np.abs(found - laid.corners_mm(paper)).max() < 0.06
    side = np.linalg.norm(np.diff(laid.corners_mm(paper), axis=0), axis=1)
    assert side == pytest.approx(14.0 * paper.scale)


def test_tile_is_hidden_in_part():
    surface = bare()
    paint_tile(surface, 100, TILES["small"], (40.0, 30.0), shown=0.75)
    assert markers_in(grey_of(surface)) == {}
    assert near((48.5, 30.0), surface, RAG)
    assert near((31.5, 30.0), surface, PAPER)


@pytest.mark.parametrize("name", sorted(CARDS))
def test_card_lies_where_it_was_laid(name):
    surface, card, at = bare(), CARDS[name], (45.4, 34.1)
    paint_card(surface, card, at, 6.0, paper=BIG)
    found = markers_in(grey_of(surface))
    assert sorted(found) == sorted(card.markers_mm)
    for marker_id, own in card.markers_mm.items():
        seen = found[marker_id] / surface.grid.px_per_mm + surface.grid.origin_mm
        assert np.abs(seen - card_to_mm(card, at, 6.0, own, BIG)).max() < 0.06
    window = card_to_mm(card, at, 6.0, np.array([(0.0, 0.0), (card.window_mm,) * 2]), BIG)
    assert window.mean(axis=0) == pytest.approx(at)
    assert np.linalg.norm(window[1] - window[0]) == pytest.approx(
        card.window_mm * 2**0.5 * BIG.scale
    )


def test_card_shows_the_print_in_its_window_and_patches_beside_it():
    surface, card, at = bare(), CARDS["inch"], (45.0, 34.0)
    paint_card(surface, card, at)
    assert near(at, surface, METAL, within_mm=12.5)
    for patch in card.patches:
        x0, y0, x1, y1 = patch.box_mm
        middle = card_to_mm(card, at, 0.0, np.array([((x0 + x1) / 2, (y0 + y1) / 2)]))[0]
        shade = PAPER if patch.kind == "white" else PAPER * GREY_REFLECTANCE
        assert near(middle, surface, shade)


def test_paper_beside_the_part_hides_the_background():
    surface = bare((30.0, 20.0)).widened((-25.0, -5.0, 30.0, 20.0))
    assert surface.grid.to_px((-25.0, 0.0))[0] >= 0
    assert near((15.0, 10.0), surface, METAL)
    paint_tile(surface, 101, TILES["small"], (-13.0, 9.0), 10.0)
    x, y = np.round(surface.grid.to_px((-13.0, 9.0))).astype(int)
    assert surface.body[y, x] == 1
    assert surface.body[y, int(surface.grid.to_px((-25.0, 0.0))[0]) + 2] == 0
    part_mm2 = 34 * 24
    assert surface.body.sum() / surface.grid.px_per_mm**2 == pytest.approx(
        part_mm2 + 400.0, rel=0.02
    )


def test_cover_hides_what_is_under_it():
    surface = bare()
    cover_up(surface, np.array([(20.0, 20.0), (40.0, 20.0), (40.0, 30.0), (20.0, 30.0)]), (0, 0, 0))
    # OpenCV's drawing counts the outline's own pixels in: half a pixel all round
    lost = (METAL - surface.reflectance[..., 0]).sum() / surface.grid.px_per_mm**2
    assert lost == pytest.approx(METAL * 200, rel=0.04)


def test_tiles_along_keep_off_the_face_and_each_other():
    laid = tiles_along((600.0, 80.0), every_mm=60.0, border_mm=4.0, seed=3)
    assert len(laid) == 20
    assert len({tile.marker_id for tile in laid}) == 20
    reach = np.array([tile.reach_mm() for tile in laid])
    assert ((reach[..., 1] < -4) | (reach[..., 1] > 84)).all()
    assert np.std([tile.turn_deg for tile in laid]) > 5
    far = sorted(tile.at_mm[0] for tile in laid if tile.at_mm[1] < 0)
    assert min(np.diff(far)) > 28
    inside = np.array([tile.reach_mm() for tile in tiles_along((600, 80), on_face=True, seed=3)])
    assert ((inside[..., 1] > 0) & (inside[..., 1] < 80)).all()


def test_photograph_of_a_card_says_where_its_window_is():
    tile = LaidTile(305, (-24.0, 30.0), 12.0)
    shot = render_carded(
        "tilt32",
        card="25mm",
        card_at_mm=(40.0, 30.0),
        card_turn_deg=-8.0,
        tiles=[tile],
        size_mm=(82.0, 62.0),
        px_per_mm=6.0,
        seed=4,
    )
    found = markers_in(cv2.cvtColor(shot.rgb, cv2.COLOR_RGB2GRAY))
    assert sorted(found) == [*range(8, 16), 305]
    away = np.array([found[i] - shot.markers_px[i] for i in found])
    # blur and the camera's tone curve draw all corners of a marker inwards alike
    assert np.abs(away.mean(axis=1)).max() < 0.15
    assert np.abs(away).max() < 1.2
    assert shot.window_mm.mean(axis=0) == pytest.approx((40.0, 30.0))
    assert (shot.window_px > 0).all()
    side = np.linalg.norm(shot.window_mm[1] - shot.window_mm[0])
    assert side == pytest.approx(25.0)
