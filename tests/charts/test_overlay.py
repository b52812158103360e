"""The overlay lies where the reading saw things, and says what the reading says."""

import dataclasses

import numpy as np
import pytest
from PIL import Image

from scrapeview.bearing.components import MARKS, label
from scrapeview.charts import draw_overlay, layers, marks, picture_of
from scrapeview.charts.canvas import Canvas
from scrapeview.charts.strip import legend_entry, scale_entry, strip, text_entry
from scrapeview.corrections import Correction
from scrapeview.errors import PhotoError, ReadingError, SettingsError

SEED = 2


def near(rgb, colour, reach=40):
    """Pixels of about a colour."""
    return (np.abs(rgb.astype(int) - colour) <= reach).all(axis=-1)


@pytest.mark.parametrize("scene", ["plain", "tilt32", "low_resolution", "disc", "rails"])
def test_the_picture_has_the_pixels_of_the_mask(scene, printed, reading):
    found = reading(scene, SEED)
    view = picture_of(found, printed(scene, SEED).jpeg)
    assert view.valid.shape == found.contact_mask.shape
    assert view.px_per_mm == found.px_per_mm
    assert view.origin_mm == found.origin_mm


def test_contact_is_where_the_picture_is_blue(printed, reading):
    """Alignment, to the pixel: no shift makes the mask fit the picture's blue better."""
    found = reading("plain", SEED)
    rgb = picture_of(found, printed("plain", SEED).jpeg).rgb.astype(float)
    blueness = rgb[..., 2] - rgb[..., 0]
    inner = (slice(40, -40), slice(40, -40))

    def fit(dx, dy):
        shifted = np.roll(found.contact_mask, (dy, dx), (0, 1))[inner]
        return blueness[inner][shifted].mean() - blueness[inner][~shifted].mean()

    shifts = [(dx, dy) for dx in range(-2, 3) for dy in range(-2, 3)]
    assert max(shifts, key=lambda s: fit(*s)) == (0, 0)


def test_another_photograph_is_refused(printed, reading):
    found = reading("plain", SEED)
    with pytest.raises(ReadingError, match="not the photograph"):
        draw_overlay(found, printed("red", SEED).jpeg)
    with pytest.raises(PhotoError):
        draw_overlay(found, b"no photograph")


@pytest.mark.parametrize("width", [0, 299, 6001])
def test_a_width_out_of_range_is_refused(width, printed, reading):
    with pytest.raises(SettingsError, match="300 to 6000"):
        draw_overlay(reading("plain", SEED), printed("plain", SEED).jpeg, width_px=width)


@pytest.mark.parametrize("scene", ["plain", "blank", "merged", "glare", "rails", "disc", "wet_bar"])
def test_every_kind_of_print_can_be_drawn(scene, printed, reading):
    found = reading(scene, SEED)
    image = draw_overlay(found, printed(scene, SEED).jpeg, width_px=1000, units="inch")
    assert image.mode == "RGB"
    assert image.width >= 900
    x0, y0, x1, y1 = (v for pair in _bounds(found) for v in pair)
    assert image.height > image.width * (y1 - y0) / (x1 - x0) * 0.5


def _bounds(found):
    corners = np.concatenate(found.regions_mm)
    return corners.min(axis=0), corners.max(axis=0)


def test_every_point_has_its_marker_at_its_place(reading):
    found = reading("plain", SEED)
    canvas = Canvas.over((0, 0, 110, 70), 14.0, 3.0)
    layers.draw_points(canvas, found)
    places = np.round(canvas.to_px(found.points[["x_mm", "y_mm"]].to_numpy())).astype(int)
    radius = int(layers.marker_radius(canvas, found)) + 3
    drawn = near(canvas.rgb, marks.YELLOW) | near(canvas.rgb, marks.PINK)
    for x, y in places:
        about = drawn[max(0, y - radius) : y + radius, max(0, x - radius) : x + radius]
        assert about.any()
    assert label(canvas.rgb.any(axis=-1), MARKS)[1].size - 1 <= len(found.points)


def test_each_point_gets_one_marker(reading):
    for scene in ("plain", "merged", "rings"):
        found = reading(scene, SEED)
        shares = [chosen for _, chosen in layers.points_by_mark(found)]
        assert (np.sum(shares, axis=0) == 1).all()
        merged = {m.name: c for m, c in layers.points_by_mark(found)}["in a merged patch"]
        assert merged.sum() == found.points["merged"].sum()


def test_merged_patches_are_those_the_points_say(reading):
    found = reading("merged", SEED)
    patches = layers.merged_mask(found)
    assert not (patches & ~found.contact_mask).any()
    share = 100 * patches.sum() / found.contact_mask.sum()
    assert share == pytest.approx(found.merged_percent, abs=3)
    assert not layers.merged_mask(reading("blank", SEED)).any()


def test_outlines_run_round_the_mask():
    """A square of 20 px, seen three times as large: its outline lies within a pixel of its edge."""
    mask = np.zeros((50, 70), bool)
    mask[10:30, 20:40] = True
    canvas = Canvas.over((0, 0, 7, 5), 30.0, 0.0)
    origin = (0.05, 0.05)
    canvas.outline(canvas.brought_mask(mask, 10.0, origin), marks.YELLOW, 1)
    y, x = np.nonzero(canvas.rgb.any(axis=-1))
    assert x.min() == pytest.approx(60, abs=2)
    assert x.max() == pytest.approx(119, abs=2)
    assert y.min() == pytest.approx(30, abs=2)
    assert y.max() == pytest.approx(89, abs=2)


def test_the_worst_square_and_bare_circle_lie_at_their_places(reading):
    found = reading("plain", SEED)
    canvas = Canvas.over((0, 0, 110, 70), 10.0, 3.0)
    layers.draw_worst(canvas, found)
    square = found.worst_square
    corners = canvas.to_px([[square.x_mm, square.y_mm]])[0]
    y, x = np.nonzero(near(canvas.rgb, marks.VERMILION))
    assert (x.min(), y.min()) == pytest.approx(corners, abs=4)
    assert np.ptp(x) == pytest.approx(square.side_mm * 10, abs=6)

    canvas = Canvas.over((0, 0, 110, 70), 10.0, 3.0)
    layers.draw_bare(canvas, found)
    patch = found.bare_patch
    y, x = np.nonzero(canvas.rgb.any(axis=-1))
    middle = canvas.to_px([[patch.x_mm, patch.y_mm]])[0]
    assert ((x.min() + x.max()) / 2, (y.min() + y.max()) / 2) == pytest.approx(middle, abs=2)
    assert np.ptp(x) == pytest.approx(patch.circle_mm * 10, abs=10)


def test_what_is_not_face_is_dimmed(printed, reading):
    """On a face with slots the same place is darker on the overlay than in the photograph."""
    found = reading("slots", SEED)
    shot = printed("slots", SEED)
    assert found.openings_mm
    canvas = Canvas(picture_of(found, shot.jpeg).rgb.copy(), found.px_per_mm, found.origin_mm)
    before = canvas.rgb.copy()
    inside = np.ones(canvas.shape, bool)
    inside[:20] = False
    layers.dim_outside(canvas, inside)
    assert canvas.rgb[:18].mean() < 0.6 * before[:18].mean()
    assert (canvas.rgb[40:, 40:-40] == before[40:, 40:-40]).mean() > 0.98


def test_glare_is_hatched():
    canvas = Canvas(np.full((90, 120, 3), 250, np.uint8), 5.0, (0.0, 0.0))
    mask = np.zeros(canvas.shape, bool)
    mask[20:60, 30:90] = True
    layers.hatch(canvas, mask)
    inner = canvas.rgb[25:55, 35:85].max(axis=-1)
    assert 0.3 < (inner < 120).mean() < 0.7
    assert (canvas.rgb[~mask] == 250).mean() > 0.97


def test_colours_differ_in_lightness_so_that_they_hold_in_grey():
    kinds = (marks.YELLOW, marks.PINK, marks.VERMILION, marks.NIGHT)
    grey = sorted(Image.new("RGB", (1, 1), c).convert("L").getpixel((0, 0)) for c in kinds)
    assert min(np.diff(grey)) > 25


def test_every_kind_has_a_look_of_its_own_besides_colour():
    points = (marks.POINT, marks.HOLLOW, marks.FAINT, marks.EDGE, marks.MERGED_POINT)
    assert len({mark.shape for mark in points}) == len(points)
    assert marks.OUTLINE.shape != marks.MERGED.shape


def test_a_long_face_is_drawn_wide_enough_to_see_its_points(reading, printed):
    found = reading("wet_bar", SEED)
    image = draw_overlay(found, printed("wet_bar", SEED).jpeg, width_px=300)
    assert image.width >= 4.0 * 150


def test_a_strip_wraps_and_never_cuts_an_entry():
    entries = [text_entry("some words", 30), scale_entry(120, "20 mm", 30)]
    entries += [legend_entry(marks.MERGED, "merged patch", 30)] * 6
    wide, narrow = strip(entries, 3000, 30), strip(entries, 420, 30)
    assert narrow.height > 4 * wide.height
    ground = np.array(narrow.getpixel((0, 0)))
    assert (np.asarray(narrow)[:, -3:] == ground).all()


def test_the_title_says_when_a_count_is_unreliable(reading, printed):
    """The title of an unreliable count differs from the same reading's with a reliable one."""
    merged = reading("merged", SEED)
    assert not merged.count_reliable
    photo = printed("merged", SEED).jpeg
    told = np.asarray(draw_overlay(merged, photo))
    sound = np.asarray(draw_overlay(dataclasses.replace(merged, merged_percent=0.0), photo))
    assert told.shape[1] == sound.shape[1]
    assert (told[:150] != sound[:150]).any()


def test_the_overlay_shows_what_a_hand_has_done(printed, read):
    shot = printed("plain", SEED)
    plain = read(shot)
    place = tuple(plain.points[["x_mm", "y_mm"]].to_numpy()[7])
    steps = (Correction("remove", (place,)), Correction("add", (place,), 3.0))
    by_hand = read(shot, corrections=steps)
    assert by_hand.points["by_hand"].sum() == 1
    drawn = np.asarray(draw_overlay(by_hand, shot.jpeg))
    sky = (np.abs(drawn.astype(int) - marks.BY_HAND.colour) < 6).all(axis=2)
    without = np.asarray(draw_overlay(plain, shot.jpeg))
    none = (np.abs(without.astype(int) - marks.BY_HAND.colour) < 6).all(axis=2)
    assert sky.sum() > none.sum() + 100
