"""What a rendering says of itself is exactly so."""

import io
from dataclasses import replace

import cv2
import numpy as np
import pytest
from PIL import Image

from scrapeview.errors import SettingsError
from scrapeview.simulate import SCENES, PrintScene, render, varied_scene
from scrapeview.simulate.coating import Pigment, layer_over
from scrapeview.simulate.fields import grid_over
from scrapeview.simulate.pose import place_camera, project
from scrapeview.simulate.scene import Camera
from scrapeview.simulate.shape import face_area_mm2, face_cover, outline_polygons

SMALL = {"size_mm": (82.0, 54.0), "px_per_mm": 7.0}


def patches_mm2(mask, px_per_mm):
    _, _, stats, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    return stats[1:, cv2.CC_STAT_AREA] / px_per_mm**2


@pytest.fixture(scope="module")
def plain():
    return render("plain", seed=4, **SMALL)


@pytest.mark.parametrize("name", sorted(SCENES))
def test_every_preset_renders(name):
    scene = SCENES[name]
    width, height = scene.shape.size_mm
    shrink = 60.0 / max(width, height)
    size = (max(width * shrink, 10.0), max(height * shrink, 10.0))
    shot = render(name, seed=2, size_mm=size, px_per_mm=min(scene.camera.px_per_mm, 6.0))
    truth = shot.truth
    inside = np.round(shot.corners_px.mean(axis=0)).astype(int)
    assert (shot.corners_px > 0).all()
    assert (shot.corners_px < shot.rgb.shape[1::-1]).all()
    assert shot.rgb[inside[1] - 20 : inside[1] + 20, inside[0] - 20 : inside[0] + 20].std() > 1
    assert truth.points.dtypes.astype(str).tolist() == ["float64"] * 3 + ["bool"] * 3
    aimed = scene.marks.cover_percent if scene.marks.kind != "none" else 0.0
    assert 0.45 * aimed <= truth.contact_percent <= 1.6 * aimed + 0.5
    assert truth.points_per_square_inch == pytest.approx(
        len(truth.points) / truth.area_mm2 * 645.16
    )


def test_same_seed_same_file(plain):
    again = render("plain", seed=4, **SMALL)
    assert again.jpeg == plain.jpeg
    assert render("plain", seed=5, **SMALL).jpeg != plain.jpeg


def test_jpeg_is_the_picture(plain):
    image = Image.open(io.BytesIO(plain.jpeg))
    decoded = np.asarray(image)
    assert decoded.shape == plain.rgb.shape
    assert np.abs(decoded.astype(int) - plain.rgb).mean() < 5
    # chroma at half scale both ways (4:2:0): the first component is sampled 2 x 2
    assert [layer[1:3] for layer in image.layer] == [(2, 2), (1, 1), (1, 1)]


def test_time_taken_is_in_the_file():
    scene = SCENES["blank"].with_(camera={"taken_at": "2024:03:04 09:17:00"})
    image = Image.open(io.BytesIO(render(scene, size_mm=(30, 20), px_per_mm=4).jpeg))
    assert image.getexif().get_ifd(0x8769)[0x9003] == "2024:03:04 09:17:00"


def test_isolated_points_are_the_patches_of_the_mask():
    shot = render("cut_edges", seed=6, **SMALL)
    truth = shot.truth
    assert not truth.points["touching"].any()
    areas = patches_mm2(truth.contact_mask, truth.mask_px_per_mm)
    surely = (areas > 0.6).sum()
    perhaps = (areas > 0.4).sum()
    assert surely <= len(truth.points) <= perhaps
    assert truth.points["cut"].any()
    # mask pixels at the rim of a point are in or out: a third of a percent over so many points
    assert areas.sum() == pytest.approx(truth.points["area_mm2"].sum(), rel=0.005)
    listed = 100 * truth.points["area_mm2"].sum() / truth.area_mm2
    assert truth.contact_percent == pytest.approx(listed, abs=0.1)


def test_discs_have_the_area_of_discs():
    # n discs at a density cover that share: each has cover / density, closed form
    even = {"roughness": 0.0, "aspect": 1.0, "size_spread": 0.0, "hollow_share": 0.0}
    scene = PrintScene(seed=3).with_(
        marks={**even, "points_per_square_inch": 10.0, "cover_percent": 20.0}
    )
    points = render(scene, **SMALL).truth.points
    whole = points[~points["cut"]]
    assert len(whole) > 20
    assert whole["area_mm2"].to_numpy() == pytest.approx(0.2 / 10 * 645.16, rel=0.005)


def test_hollow_middles_count_as_contact():
    filled = SCENES["rings"].with_(marks={"hollow_share": 0.0})
    ringed = render("rings", seed=5, **SMALL)
    whole = render(filled, seed=5, **SMALL)
    assert ringed.truth.points["hollow"].mean() > 0.3
    assert not whole.truth.points["hollow"].any()
    assert ringed.truth.contact_percent == pytest.approx(whole.truth.contact_percent, abs=0.01)


def test_touching_points_share_patches():
    truth = render("touching", seed=3, size_mm=(110, 70), px_per_mm=7).truth
    assert 0.2 < truth.points["touching"].mean() < 0.5
    patches = (patches_mm2(truth.contact_mask, truth.mask_px_per_mm) > 0.5).sum()
    assert patches < len(truth.points)


@pytest.mark.parametrize("name", ["blank", "blank_scraped", "blank_stained", "blank_hazy"])
def test_a_blank_face_has_nothing(name):
    truth = render(name, seed=8, size_mm=(50, 36), px_per_mm=6).truth
    assert len(truth.points) == 0
    assert truth.contact_percent == 0
    assert not truth.contact_mask.any()


def test_points_lie_where_the_picture_is_blue():
    shot = render(SCENES["tilt32"].with_(marks={"hollow_share": 0.0}), seed=7, **SMALL)
    rgb = cv2.imdecode(np.frombuffer(shot.jpeg, np.uint8), cv2.IMREAD_COLOR_RGB).astype(int)
    at = project(shot.mm_to_px, shot.truth.points[["x_mm", "y_mm"]].to_numpy())
    column, row = np.round(at).astype(int).T
    blueness = rgb[..., 2] - rgb[..., 0]
    assert np.median(blueness[row, column]) > 60
    assert (blueness[row, column] > 40).mean() > 0.97


def test_corners_lie_on_the_corners_of_the_metal():
    scene = SCENES["blank"].with_(
        shape={"border_mm": 0.0, "background": "dark"}, camera={"tilt_deg": 22.0, "noise": 0.3}
    )
    shot = render(scene, seed=1, **SMALL)
    bright = (shot.rgb.max(axis=2) > 90).astype(np.uint8)
    bright = cv2.morphologyEx(bright, cv2.MORPH_CLOSE, np.ones((5, 5)))
    outlines, _ = cv2.findContours(bright, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    quad = cv2.approxPolyDP(max(outlines, key=len), 20, True).reshape(-1, 2)
    assert len(quad) == 4
    away = np.linalg.norm(quad[:, None] - shot.corners_px[None], axis=2).min(axis=0)
    # blur rounds a corner off by a pixel or two
    assert away.max() < 4


def test_corners_run_clockwise_from_the_top_left(plain):
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = plain.corners_px
    assert x0 < x1
    assert x3 < x2
    assert y0 < y3
    assert y1 < y2


@pytest.mark.parametrize("tilt_deg", [0.0, 15.0, 32.0])
def test_tilt_shortens_by_its_cosine(tilt_deg):
    # far away perspective vanishes: the lesser scale over the greater is cos(tilt), closed form
    camera = Camera(tilt_deg=tilt_deg, distance=2000.0, px_per_mm=5.0)
    pose = place_camera(camera, (90.0, 60.0))
    a, b, c = pose.to_px(np.array([[45, 30], [46, 30], [45, 31.0]]))
    scales = np.linalg.svd(np.column_stack([b - a, c - a]))[1]
    assert scales[1] / scales[0] == pytest.approx(np.cos(np.deg2rad(tilt_deg)), abs=1e-3)
    assert scales[0] * scales[1] == pytest.approx(25.0, rel=0.01)


def test_scale_does_not_move_the_print():
    coarse = render("touching", seed=2, size_mm=(82, 54), px_per_mm=6).truth
    fine = render("touching", seed=2, size_mm=(82, 54), px_per_mm=11.3).truth
    assert len(coarse.points) == len(fine.points)
    np.testing.assert_allclose(coarse.points["x_mm"], fine.points["x_mm"], atol=0.05)
    assert coarse.contact_percent == pytest.approx(fine.contact_percent, abs=0.05)


@pytest.mark.parametrize("name", ["shadow", "window_light", "dim", "undercoat_red", "navy"])
def test_light_and_colour_do_not_move_the_print(name, plain):
    other = render(name, seed=4, **SMALL)
    assert other.truth.points.equals(plain.truth.points)
    assert np.abs(other.rgb.astype(int).mean(axis=(0, 1)) - plain.rgb.mean(axis=(0, 1))).max() > 2


def test_a_disc_is_round():
    shot = render("disc", seed=2, size_mm=(60, 60), px_per_mm=6)
    rim = project(np.linalg.inv(shot.mm_to_px), shot.rim_px)
    assert np.hypot(*(rim - 30).T) == pytest.approx(30, abs=1e-6)
    assert shot.diameter_mm == 60
    holes = np.pi * (6**2 + 4**2 + 4**2)
    # the outer holes lie 12 mm from the rim's diameter: wholly inside, apart from each other
    assert shot.truth.area_mm2 == pytest.approx(np.pi * 30**2 - holes, rel=1e-3)
    assert len(shot.openings_mm) == 3


def test_openings_hold_no_contact():
    shot = render("slots", seed=2, **SMALL)
    truth = shot.truth
    grid_x = truth.mask_origin_mm[0] + np.arange(truth.contact_mask.shape[1]) / 7.0
    grid_y = truth.mask_origin_mm[1] + np.arange(truth.contact_mask.shape[0]) / 7.0
    slot = (grid_y > 0.28 * 54 + 0.1) & (grid_y < 0.38 * 54 - 0.1)
    assert not truth.contact_mask[slot].any()
    assert truth.contact_mask[:, np.abs(grid_x - 41) < 20].any()
    slots_mm2 = 0.2 * 82 * 54
    assert truth.area_mm2 == pytest.approx(82 * 54 - slots_mm2 - np.pi * (25 + 16), rel=1e-3)


def test_rails_are_two_faces():
    shape = replace(SCENES["rails"].shape, size_mm=(60.0, 90.0), holes=())
    assert len(outline_polygons(shape)) == 2
    assert face_area_mm2(shape) == pytest.approx(2 * 0.28 * 60 * 90)
    cover = face_cover(shape, grid_over((60.0, 90.0), 2.0, 7.3))
    assert cover.sum() / 7.3**2 == pytest.approx(2 * 0.28 * 60 * 90, rel=1e-5)


def test_film_absorbs_as_beer_and_lambert_say():
    ground = np.full((2, 3, 3), 0.4, np.float32)
    clear = Pigment((np.log(2), 2 * np.log(2), 0.0), (0.0, 0.0, 0.0), 0.0)
    seen = layer_over(ground, clear, np.ones((2, 3), np.float32))
    np.testing.assert_allclose(seen[0, 0], [0.2, 0.1, 0.4], rtol=1e-5)


def test_rubbed_spots_are_brighter_than_the_coat():
    shot = render("rubbed", seed=3, **SMALL)
    at = project(shot.mm_to_px, shot.truth.points[["x_mm", "y_mm"]].to_numpy())
    column, row = np.round(at).astype(int).T
    red = shot.rgb[..., 0]
    middle = shot.corners_px.mean(axis=0).astype(int)
    around = red[middle[1] - 90 : middle[1] + 90, middle[0] - 90 : middle[0] + 90]
    assert np.median(red[row, column]) > np.median(around) + 50


def test_varied_scenes_differ_and_repeat():
    scenes = [varied_scene(seed) for seed in range(40)]
    assert varied_scene(7) == scenes[7]
    assert {scene.film.marking for scene in scenes} >= {"blue", "teal", "red", "black"}
    assert min(scene.camera.tilt_deg for scene in scenes) < 4
    assert max(scene.camera.tilt_deg for scene in scenes) > 28


@pytest.mark.parametrize(
    ("scene", "options"),
    [
        ("no such scene", {}),
        ("plain", {"px_per_mm": 0.1}),
        ("plain", {"size_mm": (5.0, 80.0)}),
        ("plain", {"size_mm": (80.0, 9000.0)}),
    ],
)
def test_impossible_scenes_are_refused(scene, options):
    with pytest.raises(SettingsError):
        render(scene, **options)
