"""Photograph checks name a fault when it is there and stay quiet when it is not."""

import math

import cv2
import numpy as np
import pytest

from scrapeview.photo import CHECK_CODES, Check, photo_checks
from scrapeview.photo.checks import (
    check_clipping,
    check_glare,
    check_light,
    check_resolution,
    check_sharpness,
    check_tilt,
)
from scrapeview.photo.measures import clipped_percent, edge_width_mm, light_ratio, linear_light

PX_PER_MM = 5.5
SMALLEST_MM = 0.8


def spotted(
    blur_mm: float = 0.0,
    noise: float = 2.0,
    px_per_mm: float = PX_PER_MM,
    contrast: float = 80.0,
    seed: int = 5,
) -> np.ndarray:
    """A face of 120 mm x 80 mm with dark spots of 2 mm to 4 mm, seen through blur and noise."""
    rng = np.random.default_rng(seed)
    width, height = round(120 * px_per_mm), round(80 * px_per_mm)
    face = np.full((height, width), 170, np.float32)
    for _ in range(150):
        centre = rng.uniform((0, 0), (width, height))
        radius = rng.uniform(1.0, 2.0) * px_per_mm
        centre_16, radius_16 = [round(16 * v) for v in centre], round(16 * radius)
        cv2.circle(face, centre_16, radius_16, 170 - contrast, -1, cv2.LINE_AA, shift=4)
    # the lens and the pixel are never sharper than this
    sigma = math.hypot(0.5, blur_mm * px_per_mm)
    face = cv2.GaussianBlur(face, (0, 0), sigma)
    rgb = np.repeat(face[:, :, None], 3, axis=2) + rng.normal(0, noise, (height, width, 3))
    return np.clip(rgb, 0, 255).astype(np.uint8)


def everywhere(rgb: np.ndarray) -> np.ndarray:
    return np.ones(rgb.shape[:2], bool)


def sharpness(rgb: np.ndarray, px_per_mm: float = PX_PER_MM) -> Check:
    return check_sharpness(rgb, everywhere(rgb), px_per_mm, SMALLEST_MM)


def test_all_checks_come_in_the_order_of_their_table() -> None:
    rgb = spotted()
    checks = photo_checks(rgb, everywhere(rgb), px_per_mm=PX_PER_MM, smallest_point_mm=SMALLEST_MM)
    assert [check.code for check in checks] == [code.code for code in CHECK_CODES]
    assert [check.unit for check in checks] == [code.unit for code in CHECK_CODES]
    assert {check.severity for check in checks} == {"ok"}
    assert all(check.sentence.endswith(".") for check in checks)
    assert all(math.isfinite(check.figure) for check in checks)


# --- sharpness ------------------------------------------------------------------------------


@pytest.mark.parametrize("blur_mm", [0.2, 0.3, 0.4, 0.5])
@pytest.mark.parametrize("px_per_mm", [4.0, 5.5])
def test_edge_width_is_that_of_the_blur(blur_mm: float, px_per_mm: float) -> None:
    # closed form: a step under a Gaussian of sigma s is sqrt(2 pi) s wide; the pixel and the
    # 3 x 3 slope add their own width (variance 0.25 + 0.5 px2)
    rgb = spotted(blur_mm, noise=1.0, px_per_mm=px_per_mm)
    sigma_mm = math.sqrt(blur_mm**2 + 0.75 / px_per_mm**2)
    found = edge_width_mm(rgb, everywhere(rgb), px_per_mm, SMALLEST_MM)
    assert found == pytest.approx(math.sqrt(2 * math.pi) * sigma_mm, rel=0.12)


@pytest.mark.parametrize(
    ("blur_mm", "severity"), [(0.0, "ok"), (0.15, "ok"), (0.4, "warn"), (0.7, "bad")]
)
def test_soft_focus_is_named(blur_mm: float, severity: str) -> None:
    assert sharpness(spotted(blur_mm)).severity == severity


def test_motion_blur_in_one_direction_does_not_hide_behind_the_other() -> None:
    # edges along the motion stay sharp, so motion is told less surely than soft focus
    kernel = np.full((1, 13), 1 / 13, np.float32)
    moved = cv2.filter2D(spotted(noise=0.0), -1, kernel)
    assert sharpness(moved).figure > 1.2 * sharpness(spotted()).figure


def test_a_blank_face_without_edges_cannot_be_judged() -> None:
    rng = np.random.default_rng(1)
    rgb = np.clip(170 + rng.normal(0, 1.2, (200, 330, 3)), 0, 255).astype(np.uint8)
    check = sharpness(rgb)
    assert (check.severity, check.figure) == ("ok", 0.0)
    assert "cannot be judged" in check.sentence


def test_a_sharp_blank_face_with_scraped_texture_is_sharp() -> None:
    rng = np.random.default_rng(2)
    texture = cv2.GaussianBlur(rng.normal(0, 60, (400, 620)).astype(np.float32), (0, 0), 1.1)
    rgb = np.clip(170 + np.repeat(texture[:, :, None], 3, axis=2), 0, 255).astype(np.uint8)
    assert sharpness(rgb).severity == "ok"
    assert sharpness(rgb).figure > 0


def test_sharpness_looks_only_inside_the_face() -> None:
    soft = spotted(0.7)
    soft[:, :200] = spotted(0.0)[:, :200]
    inside = everywhere(soft)
    inside[:, :215] = False
    assert check_sharpness(soft, inside, PX_PER_MM, SMALLEST_MM).severity == "bad"
    assert check_sharpness(soft, ~inside, PX_PER_MM, SMALLEST_MM).severity == "ok"


def test_a_face_of_a_few_pixels_cannot_be_judged() -> None:
    rgb = spotted()
    inside = np.zeros(rgb.shape[:2], bool)
    inside[100:103, 100:103] = True
    assert "cannot be judged" in check_sharpness(rgb, inside, PX_PER_MM, SMALLEST_MM).sentence


def test_contrast_kept_is_the_closed_form() -> None:
    # 1 - exp(-r^2 / 2 s^2): the centre of a disc of radius r under a Gaussian of sigma s
    check = sharpness(spotted(0.4))
    sigma = check.figure / math.sqrt(2 * math.pi)
    kept = 100 * (1 - math.exp(-(0.4**2) / (2 * sigma**2)))
    assert f"keeps {kept:.0f} %" in check.sentence


# --- exposure, glare, light -----------------------------------------------------------------


def test_clipped_shares_are_counted_inside_the_face_only() -> None:
    rgb = np.full((100, 160, 3), 120, np.uint8)
    rgb[:20] = (255, 200, 180)
    rgb[20:30] = (1, 2, 3)
    rgb[:, 100:] = 255
    inside = everywhere(rgb)
    inside[:, 100:] = False
    lights, darks = clipped_percent(rgb, inside)
    assert lights == pytest.approx(20.0)
    assert darks == pytest.approx(10.0)


def test_deep_blue_film_is_not_black() -> None:
    rgb = np.full((40, 60, 3), (0, 2, 70), np.uint8)
    assert clipped_percent(rgb, everywhere(rgb)) == (0.0, 0.0)


@pytest.mark.parametrize(("rows", "severity"), [(0, "ok"), (10, "warn"), (40, "bad")])
def test_overexposed_and_black_faces_are_named(rows: int, severity: str) -> None:
    bright = np.full((100, 160, 3), 120, np.uint8)
    dark = bright.copy()
    bright[:rows] = 255
    dark[:rows] = 0
    lights, _ = check_clipping(bright, everywhere(bright))
    _, darks = check_clipping(dark, everywhere(dark))
    assert (lights.severity, darks.severity) == (severity, severity)
    assert lights.sentence.startswith(f"{rows:.1f} % of the face is overexposed")
    assert darks.sentence.startswith(f"{rows:.1f} % of the face is black")


@pytest.mark.parametrize(
    ("percent", "severity"), [(0.0, "ok"), (2.9, "ok"), (8.0, "warn"), (20.0, "bad")]
)
def test_glare_is_named(percent: float, severity: str) -> None:
    check = check_glare(percent)
    assert (check.severity, check.figure) == (severity, percent)
    assert check.sentence.startswith(f"{percent:.1f} % of the face is lost to glare")


@pytest.mark.parametrize(("times", "severity"), [(1.2, "ok"), (10.0, "warn"), (40.0, "bad")])
def test_uneven_light_is_measured_in_linear_light(times: float, severity: str) -> None:
    ramp = np.linspace(1, times, 660, dtype=np.float64) / times * 0.8
    level = np.where(ramp <= 0.0031308, ramp * 12.92, 1.055 * ramp ** (1 / 2.4) - 0.055) * 255
    rgb = np.repeat(np.tile(level, (440, 1))[:, :, None], 3, axis=2).astype(np.uint8)
    # 95th over 5th percentile of a linear ramp, whose bright side reaches 5 mm further
    reach = 5.0 / 120
    expected = (1 + (times - 1) * min(1.0, 0.95 + reach)) / (1 + (times - 1) * (0.05 + reach))
    assert light_ratio(rgb, everywhere(rgb), PX_PER_MM) == pytest.approx(expected, rel=0.06)
    assert check_light(rgb, everywhere(rgb), PX_PER_MM).severity == severity


def test_marks_do_not_count_as_uneven_light() -> None:
    rgb = spotted(contrast=140.0)
    assert light_ratio(rgb, everywhere(rgb), PX_PER_MM) < 1.2


def test_light_outside_the_face_does_not_count() -> None:
    rgb = spotted()
    rgb[:, :300] = 5
    inside = everywhere(rgb)
    inside[:, :300] = False
    assert light_ratio(rgb, inside, PX_PER_MM) < 1.2
    assert light_ratio(rgb, np.zeros_like(inside), PX_PER_MM) == 1.0


def test_linear_light_of_srgb() -> None:
    # IEC 61966-2-1: the two branches meet at 0.04045, middle grey 0.5 is 0.2140 linear
    assert linear_light(0) == 0
    assert linear_light(255) == pytest.approx(1)
    assert linear_light(127.5) == pytest.approx(0.21404, abs=1e-5)
    assert linear_light(0.04045 * 255) == pytest.approx(0.04045 / 12.92)


# --- scale and tilt -------------------------------------------------------------------------


@pytest.mark.parametrize(("px_per_mm", "severity"), [(5.5, "ok"), (3.0, "warn"), (2.0, "bad")])
def test_a_coarse_photo_is_named(px_per_mm: float, severity: str) -> None:
    check = check_resolution(px_per_mm, SMALLEST_MM)
    assert check.severity == severity
    assert check.figure == pytest.approx(px_per_mm * SMALLEST_MM)
    assert f"({px_per_mm:.1f} px/mm)" in check.sentence


@pytest.mark.parametrize(
    ("tilt", "severity"), [(0.0, "ok"), (32.0, "ok"), (50, "warn"), (65, "bad")]
)
def test_a_flat_look_is_named(tilt: float, severity: str) -> None:
    check = check_tilt(tilt)
    assert check.severity == severity
    assert f"about {tilt:.0f} degrees off square" in check.sentence


def test_every_warning_says_what_to_do() -> None:
    white, black = (np.full((100, 160, 3), level, np.uint8) for level in (255, 0))
    faults = [
        (sharpness(spotted(0.4)), "focus"),
        (check_clipping(white, everywhere(white))[0], "expose"),
        (check_clipping(black, everywhere(black))[1], "bring more light"),
        (check_glare(9.0), "move the lamp"),
        (check_light(half_dark(), everywhere(half_dark()), PX_PER_MM), "light the face"),
        (check_resolution(3.0, SMALLEST_MM), "go nearer"),
        (check_tilt(50.0), "hold it"),
    ]
    assert [check.code for check, _ in faults] == [code.code for code in CHECK_CODES]
    for check, advice in faults:
        assert check.severity != "ok"
        assert advice in check.sentence


def half_dark() -> np.ndarray:
    rgb = np.full((440, 660, 3), 200, np.uint8)
    rgb[:, :330] = 20
    return rgb
