"""Photographs of a long face lie where their truth says, and differ as a person's do."""

from itertools import pairwise

import cv2
import numpy as np
import pytest

from scrapeview.errors import SettingsError
from scrapeview.plane.cards import DICTIONARY
from scrapeview.plane.joined.solved import Lens
from scrapeview.simulate import Camera, Jitter, PrintScene, render, render_long, tiles_along
from scrapeview.simulate.fields import grid_over
from scrapeview.simulate.marks import field_marks
from scrapeview.simulate.photograph import photograph
from scrapeview.simulate.pose import aim_camera
from scrapeview.simulate.surface import Surface

SIZE_MM = (320.0, 60.0)
LENS = Lens(0.05, -0.02)
TILES = tiles_along(SIZE_MM, every_mm=35.0, seed=5)


@pytest.fixture(scope="module")
def long():
    return render_long(
        "plain", photos=3, size_mm=SIZE_MM, px_per_mm=6.0, lens=LENS, tiles=TILES, seed=5
    )


def test_a_spot_is_pictured_where_the_truth_says():
    grid = grid_over((90.0, 60.0), 4.0, 7.0)
    spots_mm = np.array([(5.3, 4.1), (84.2, 6.6), (45.7, 30.2), (12.9, 55.5), (80.1, 52.3)])
    y, x = np.mgrid[0 : grid.shape[0], 0 : grid.shape[1]]
    light = np.zeros(grid.shape, np.float32)
    for u, v in grid.to_px(spots_mm):
        light += np.exp(-((x - u) ** 2 + (y - v) ** 2) / (2 * 3.0**2)).astype(np.float32)
    surface = Surface(grid, np.dstack([light] * 3), np.ones_like(light), light)
    camera = Camera(tilt_deg=14.0, roll_deg=3.0, distance=0.9, px_per_mm=7.0)
    pose = aim_camera(camera, (44.0, 31.0), (720, 520), Lens(0.08, -0.03))
    scene = PrintScene().with_(light={"gradient": 1.0, "uneven": 0.0})
    shown = photograph(scene, pose, surface.seen_by(pose))[..., 0]
    for u, v in pose.to_px(spots_mm):
        left, top = int(u) - 14, int(v) - 14
        cut = shown[top : top + 30, left : left + 30]
        rows, columns = np.mgrid[top : top + 30, left : left + 30]
        centroid = [(cut * columns).sum() / cut.sum(), (cut * rows).sum() / cut.sum()]
        assert centroid == pytest.approx((u, v), abs=0.05)


def test_lens_moves_points_as_brown_says():
    camera = Camera(tilt_deg=0.0, roll_deg=0.0, px_per_mm=5.0)
    ideal = aim_camera(camera, (0.0, 0.0), (401, 301))
    real = aim_camera(camera, (0.0, 0.0), (401, 301), Lens(0.1, 0.05))
    # half a diagonal off the middle r = 1, and half of that r = 0.5: r (1 + k1 r2 + k2 r4)
    corner = ideal.to_mm(np.array([[200 + 200.5, 150 + 150.5], [200 + 100.25, 150 + 75.25]]))
    moved = real.to_px(corner) - (200, 150)
    assert moved[0] == pytest.approx(np.array([200.5, 150.5]) * 1.15)
    assert moved[1] == pytest.approx(np.array([100.25, 75.25]) * (1 + 0.025 + 0.05 / 16))
    assert real.to_mm(real.to_px(corner)) == pytest.approx(corner)


def test_tiles_are_pictured_where_the_truth_says(long):
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    detector = cv2.aruco.ArucoDetector(dictionary, parameters)
    seen = []
    for number, rgb in enumerate(long.rgb):
        corners, ids, _ = detector.detectMarkers(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY))
        for marker_id, found in zip(np.ravel(ids), corners, strict=True):
            true = long.solved.to_px(number, long.tiles_mm[int(marker_id)])
            away = found.reshape(4, 2) - true
            # blur and the camera's tone curve draw all corners inwards alike
            assert np.abs(away.mean(axis=0)).max() < 0.15
            assert np.abs(away).max() < 1.2
            seen.append(int(marker_id))
    assert set(seen) == {tile.marker_id for tile in TILES}
    # those in overlaps are seen twice
    assert len(seen) - len(set(seen)) >= 3


def test_marks_are_pictured_where_the_truth_says(long):
    hollow = long.truth.points["hollow"]
    points = long.truth.points.loc[~hollow, ["x_mm", "y_mm"]].to_numpy()
    for number, data in enumerate(long.photos):
        rgb = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR_RGB).astype(int)
        at = np.round(long.solved.to_px(number, points)).astype(int)
        size = np.array(long.solved.photo_sizes_px[number])
        column, row = at[((at >= 0) & (at < size)).all(axis=1)].T
        assert len(column) > 60
        assert np.median((rgb[..., 2] - rgb[..., 0])[row, column]) > 40


def test_every_place_is_shown_and_neighbours_overlap(long):
    spans = []
    for number, size in enumerate(long.solved.photo_sizes_px):
        width, height = size
        left = long.solved.to_mm(number, [(0, height / 2)])[0, 0]
        right = long.solved.to_mm(number, [(width - 1, height / 2)])[0, 0]
        spans.append((left, right))
        edges = long.solved.to_px(number, [((left + right) / 2, y) for y in (0.0, SIZE_MM[1])])
        assert (edges[:, 1] > 0).all()
        assert (edges[:, 1] < height).all()
    assert spans[0][0] < 0
    assert spans[-1][1] > SIZE_MM[0]
    for (left, right), (following, _) in pairwise(spans):
        assert 0.2 < (right - following) / (right - left) < 0.5


def test_photographs_differ_in_light_and_place(long):
    metal = [np.median(rgb[::9, ::9].reshape(-1, 3), axis=0) for rgb in long.rgb]
    assert np.ptp(metal, axis=0).max() > 5
    tilts = [abs(h[2, 0]) + abs(h[2, 1]) for h in long.solved.mm_to_px]
    assert len({f"{tilt:.3g}" for tilt in tilts}) == 3


def test_corners_are_those_of_the_face(long):
    assert [photo for photo, _, _ in long.corners] == [0, 2, 2, 0]
    at = [long.solved.to_mm(photo, [(x, y)])[0] for photo, x, y in long.corners]
    width, height = SIZE_MM
    true = [(0, 0), (width, 0), (width, height), (0, height)]
    assert np.array(at) == pytest.approx(np.array(true, float), abs=1e-6)


def test_the_print_is_the_one_of_a_single_photograph(long):
    single = render("plain", seed=5, size_mm=SIZE_MM, px_per_mm=6.0)
    assert long.truth.points.equals(single.truth.points)
    assert long.truth.contact_percent == single.truth.contact_percent
    assert (long.truth.contact_mask == single.truth.contact_mask).all()


def test_a_given_layer_is_photographed():
    def lay(_scene, grid, metal):
        x = (np.arange(grid.shape[1]) / grid.px_per_mm + grid.origin_mm[0]) % 20 < 10
        stripes = np.repeat(x[None].astype(np.float32), grid.shape[0], axis=0)
        return field_marks(stripes, stripes.copy(), grid, metal)

    still = Jitter(tilt_deg=0.0, roll_deg=0.0, aim_mm=0.0)
    size = {"size_mm": (120.0, 30.0), "px_per_mm": 6.0}
    face = render_long("plain", photos=2, tiles=(), jitter=still, lay=lay, seed=2, **size)
    assert face.truth.contact_percent == pytest.approx(50, abs=0.5)
    assert face.tiles_mm == {}
    bluer = [face.solved.to_px(0, [(x, 15.0)])[0] for x in (25.0, 35.0)]
    on, off = (face.rgb[0][round(y), round(x)].astype(int) for x, y in bluer)
    assert on[2] - on[0] > off[2] - off[0] + 40


def test_a_face_too_long_is_refused():
    with pytest.raises(SettingsError, match="10 to 6000 mm"):
        render_long("plain", size_mm=(9000.0, 100.0))
