"""What must not change an answer: turning, mirroring, scaling, exposing, cropping the photo."""

import cv2
import numpy as np
import pytest

from scrapeview import Plane
from scrapeview.simulate import SCENES

SEED = 2
SCENES_READ = ("touching", "undercoat_red")


@pytest.fixture(scope="module")
def picture(printed):
    """Photo, corners and size of a scene, decoded once so that nothing is compressed twice."""

    def decoded(scene):
        shot = printed(scene, SEED)
        rgb = cv2.imdecode(np.frombuffer(shot.jpeg, np.uint8), cv2.IMREAD_COLOR_RGB)
        return shot, rgb, shot.corners_px

    return decoded


@pytest.fixture(scope="module")
def agrees(read, reading, picture):
    def check(scene, photo, corners_px, mirrored=False):
        shot = picture(scene)[0]
        plane = Plane.from_corners(corners_px, size_mm=shot.size_mm)
        found = read(shot, photo=photo, plane=plane, outline_px=None)
        before = reading(scene, SEED)
        assert found.contact_percent == pytest.approx(before.contact_percent, abs=0.5)
        assert found.points_per_square_inch == pytest.approx(
            before.points_per_square_inch, rel=0.02
        )
        middle = found.points["x_mm"].mean()
        was = before.points["x_mm"].mean()
        assert middle == pytest.approx(shot.size_mm[0] - was if mirrored else was, abs=0.5)

    return check


@pytest.mark.parametrize("turns", [1, 2, 3])
@pytest.mark.parametrize("scene", SCENES_READ)
def test_turned_photo(scene, turns, picture, agrees):
    _, rgb, corners = picture(scene)
    for _ in range(turns):
        # a quarter turn to the left takes (x, y) to (y, width - 1 - x)
        corners = np.column_stack([corners[:, 1], rgb.shape[1] - 1 - corners[:, 0]])
        rgb = np.ascontiguousarray(np.rot90(rgb))
    agrees(scene, rgb, corners)


@pytest.mark.parametrize("scene", SCENES_READ)
def test_mirrored_photo(scene, picture, agrees):
    _, rgb, corners = picture(scene)
    corners = np.column_stack([rgb.shape[1] - 1 - corners[:, 0], corners[:, 1]])[[1, 0, 3, 2]]
    agrees(scene, np.ascontiguousarray(rgb[:, ::-1]), corners, mirrored=True)


@pytest.mark.parametrize(("factor", "method"), [(0.7, cv2.INTER_AREA), (1.5, cv2.INTER_CUBIC)])
@pytest.mark.parametrize("scene", SCENES_READ)
def test_scaled_photo(scene, factor, method, picture, agrees):
    _, rgb, corners = picture(scene)
    h, w = rgb.shape[:2]
    size = (round(w * factor), round(h * factor))
    scale = np.array(size) / (w, h)
    scaled = cv2.resize(rgb, size, interpolation=method)
    agrees(scene, scaled, (corners + 0.5) * scale - 0.5)


@pytest.mark.parametrize("stops", [-0.5, 0.5])
@pytest.mark.parametrize("scene", SCENES_READ)
def test_exposed_otherwise(scene, stops, picture, agrees):
    _, rgb, corners = picture(scene)
    # IEC 61966-2-1 (sRGB) decoding and encoding
    level = np.arange(256) / 255
    light = np.where(level <= 0.04045, level / 12.92, ((level + 0.055) / 1.055) ** 2.4) * 2**stops
    shown = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    table = np.rint(255 * np.clip(shown, 0, 1)).astype(np.uint8)
    agrees(scene, table[rgb], corners)


@pytest.mark.parametrize("scene", SCENES_READ)
def test_cropped_photo(scene, picture, agrees):
    _, rgb, corners = picture(scene)
    room = 40
    x0, y0 = np.maximum(np.floor(corners.min(axis=0)).astype(int) - room, 0)
    x1, y1 = np.ceil(corners.max(axis=0)).astype(int) + room
    cropped = np.ascontiguousarray(rgb[y0:y1, x0:x1])
    assert cropped.shape < rgb.shape
    agrees(scene, cropped, corners - (x0, y0))


@pytest.mark.parametrize(
    "changed",
    [
        {"camera": {"tilt_deg": 24.0, "tilt_towards_deg": 60.0}},
        {"camera": {"tilt_deg": 18.0, "roll_deg": -15.0}, "light": {"gradient": 1.8}},
        {"light": {"colour": (1.28, 0.94, 0.52)}, "camera": {"exposure_ev": -0.7}},
    ],
)
def test_two_photos_of_one_print_agree(changed, printed, reading):
    other_scene = SCENES["plain"].with_(**changed)
    assert printed(other_scene, SEED).truth.contact_percent == pytest.approx(
        printed("plain", SEED).truth.contact_percent, abs=0.01
    )
    one, other = reading("plain", SEED), reading(other_scene, SEED)
    for a, b in ((one, other), (other, one)):
        assert a.contact_interval.low <= b.contact_percent <= a.contact_interval.high
        assert a.ppsi_interval.low <= b.points_per_square_inch <= a.ppsi_interval.high
    # the same print: only the reading's own error is left, far less than the spread over the face
    assert other.contact_percent == pytest.approx(one.contact_percent, abs=1.0)
    assert len(other.points) == pytest.approx(len(one.points), rel=0.03)
