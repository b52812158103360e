"""Photographs joined to a map read as single photographs do, whatever their light and order."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from joined_faces import (
    LENS,
    LONG_MM,
    PLAIN,
    STRIP_MM,
    contact_between,
    outline,
    placed,
    seen_twice,
    stretch_shown,
    strip,
    strip_alike,
)

import scrapeview
from scrapeview.errors import PhotoError, PlaneError, SettingsError
from scrapeview.joining import join_photos, map_from
from scrapeview.simulate import render_long

NEAR_SEAM_MM = 14.0


def read_map(joined, face):
    return scrapeview.read_print(joined.picture, plane=placed(joined, face), marking=face.marking)


@pytest.fixture(scope="module")
def long(made_once):
    return made_once.value(
        "joined long",
        lambda: render_long(PLAIN, size_mm=LONG_MM, px_per_mm=7.5, lens=LENS, seed=4),
    )


@pytest.fixture(scope="module")
def long_joined(long):
    return join_photos(long.photos)


@pytest.fixture(scope="module")
def long_reading(long, long_joined):
    return read_map(long_joined, long)


def test_seven_photographs_agree_with_the_truth_as_single_ones_do(long, long_joined, long_reading):
    truth = long.truth
    assert len(long_reading.points) == pytest.approx(len(truth.points), rel=0.03)
    off = long_reading.contact_percent - truth.contact_percent
    single = []
    for photo in (1, 4):
        start, end = stretch_shown(long, photo)
        corners = outline((end - start, LONG_MM[1])) + np.array([start, 0])
        plane = scrapeview.Plane.from_corners(
            long.solved.to_px(photo, corners), (end - start, LONG_MM[1])
        )
        reading = scrapeview.read_print(long.photos[photo], plane=plane, marking=long.marking)
        single.append(reading.contact_percent - contact_between(long, start, end))
    assert abs(off) < 1.2
    assert abs(off) < abs(np.mean(single)) + 0.3
    assert long_joined.solved.residual_mm < 0.05
    assert long_joined.seams["apart_mm"].max() < 0.1


def test_points_on_seams_are_counted_once(long, long_joined, long_reading):
    found = long_reading.points
    twice = seen_twice(found, long.truth.points)
    plane = placed(long_joined, long)
    middles = plane.to_mm(long_joined.plane.to_px(long_joined.seams[["x_mm", "y_mm"]]))
    on_face = middles[(middles[:, 1] > 0) & (middles[:, 1] < LONG_MM[1])]
    assert len(on_face) >= 6
    near = (np.abs(found["x_mm"].to_numpy()[:, None] - on_face[:, 0]) < NEAR_SEAM_MM).any(axis=1)
    assert near.sum() > 300
    assert twice[near].mean() <= twice[~near].mean() + 0.004


@pytest.fixture(scope="module")
def told_and_joined(made_once):
    """What was told of the progress of joining a strip, and its map."""
    told = []
    joined = join_photos(
        strip(made_once).photos, progress=lambda share, what: told.append((share, what))
    )
    return told, joined


def test_the_order_of_photographs_does_not_matter(made_once, told_and_joined):
    face = strip(made_once)
    _, there = told_and_joined
    back = join_photos(face.photos[::-1])
    last = len(face.photos) - 1
    one = read_map(there, face)
    plane = back.plane.placed(
        back.plane.to_px(
            [back.solved.to_mm(last - photo, [(x, y)])[0] for photo, x, y in face.corners]
        ),
        face.size_mm,
    )
    other = scrapeview.read_print(back.picture, plane=plane, marking=face.marking)
    assert other.contact_percent == pytest.approx(one.contact_percent, rel=0.005)
    assert len(other.points) == pytest.approx(len(one.points), rel=0.005)


def exposed(rgb, gain, contrast, white):
    """A photograph as another exposure, tone curve and white balance would have made it."""
    level = np.arange(256) / 255
    light = np.where(level <= 0.04045, level / 12.92, ((level + 0.055) / 1.055) ** 2.4)
    channels = []
    for channel, share in enumerate(white):
        seen = np.clip(gain * share * 0.2 * (light / 0.2) ** contrast, 0, 1)
        shown = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055)
        table = np.rint(255 * shown).astype(np.uint8)
        channels.append(cv2.LUT(np.ascontiguousarray(rgb[..., channel]), table))
    return cv2.merge(channels)


def test_unlike_photographs_give_the_same_contact_as_like_ones(made_once):
    face = strip_alike(made_once)
    unlike = [
        exposed(rgb, *how)
        for rgb, how in zip(
            face.rgb,
            [(1, 1, (1, 1, 1)), (0.71, 1.1, (1.08, 1, 0.88)), (1.1, 0.9, (0.9, 1, 1.1)),
             (0.72, 1, (1, 0.97, 1.08))],
            strict=True,
        )
    ]  # fmt: skip
    contact, step = [], []
    for photos in (face.rgb, unlike):
        joined = map_from(photos, face.solved, face_mm=outline(STRIP_MM))
        reading = scrapeview.read_print(joined.picture, plane=joined.plane, marking=face.marking)
        contact.append(reading.contact_percent)
        step.append(np.abs(joined.seams["light_percent"]).max())
    assert contact[1] == pytest.approx(contact[0], abs=0.7)
    assert max(step) < 3


def test_a_photograph_left_out_leaves_a_gap_that_is_not_read(made_once):
    face = strip(made_once)
    kept = [0, 1, 3]
    solved = replace(
        face.solved,
        mm_to_px=tuple(face.solved.mm_to_px[n] for n in kept),
        photo_sizes_px=tuple(face.solved.photo_sizes_px[n] for n in kept),
        photo_residuals_mm=(0.0,) * 3,
    )
    joined = map_from([face.photos[n] for n in kept], solved, face_mm=outline(STRIP_MM))
    gap = joined.gaps.iloc[0]
    assert gap["reason"] == "no photograph"
    assert gap["x0_mm"] == pytest.approx(_reach(face, 1)[1].min(), abs=2)
    assert gap["x1_mm"] == pytest.approx(_reach(face, 3)[0].max(), abs=2)
    assert (gap["y0_mm"], gap["y1_mm"]) == pytest.approx((0, STRIP_MM[1]), abs=2)
    reading = scrapeview.read_print(joined.picture, plane=joined.plane, marking=face.marking)
    whole = STRIP_MM[0] * STRIP_MM[1]
    assert reading.area_mm2 == pytest.approx(whole - gap["area_mm2"], rel=0.03)
    middle = (gap["x0_mm"] + gap["x1_mm"]) / 2
    inside = np.abs(reading.points["x_mm"] - middle) < (gap["x1_mm"] - gap["x0_mm"]) / 2 - 4
    assert not inside.any()
    patch = reading.bare_patch
    assert abs(patch.x_mm - middle) > (gap["x1_mm"] - gap["x0_mm"]) / 2
    assert patch.circle_mm < STRIP_MM[1] / 2


def _reach(face, photo):
    """Leftmost and rightmost place that a photograph shows, mm, along each line of the face."""
    x, y = np.meshgrid(np.arange(0, STRIP_MM[0] + 0.1, 0.5), np.arange(0, STRIP_MM[1] + 0.1, 2.0))
    pixels = face.solved.to_px(photo, np.column_stack((x.ravel(), y.ravel())))
    size = np.array(face.solved.photo_sizes_px[photo])
    inside = ((pixels >= 0) & (pixels <= size - 1)).all(axis=1).reshape(x.shape)
    return np.where(inside, x, np.inf).min(axis=1), np.where(inside, x, -np.inf).max(axis=1)


def test_a_damaged_photograph_is_refused_by_its_name(made_once):
    photos = list(strip(made_once).photos)
    photos[2] = photos[2][: len(photos[2]) // 2]
    with pytest.raises(PhotoError, match=r"^'third\.jpg' is damaged or cut short"):
        join_photos(photos, names=["first.jpg", "second.jpg", "third.jpg", "fourth.jpg"])
    with pytest.raises(PhotoError, match="'photograph 3' is damaged"):
        join_photos(photos)


def test_a_grey_photograph_among_coloured_ones_is_refused(made_once):
    """Read on, it would lose most of its marks in silence."""
    face = strip_alike(made_once)
    grey = [cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)[..., None].repeat(3, axis=2) for rgb in face.rgb]
    with pytest.raises(PhotoError, match=r"^photograph 2 is grey and the others show colours"):
        map_from([face.rgb[0], grey[1], *face.rgb[2:]], face.solved)
    assert map_from(grey, face.solved).rgb.size


def test_what_cannot_be_joined_is_refused_in_words(made_once):
    face = strip(made_once)
    with pytest.raises(PhotoError, match="at least one"):
        join_photos([])
    with pytest.raises(PhotoError, match="names cannot belong"):
        join_photos(face.photos, names=["one.jpg"])
    with pytest.raises(PlaneError, match="size beside them"):
        join_photos(face.photos, corners=face.corners)
    for scale in (float("nan"), -3.0, 0.1):
        with pytest.raises(SettingsError, match="shows no points"):
            map_from(face.photos, face.solved, px_per_mm=scale)
    far = [np.diag([0.1, 0.1, 1.0]) @ view for view in face.solved.mm_to_px]
    with pytest.raises(PlaneError, match="too coarse for points"):
        map_from(face.photos, replace(face.solved, mm_to_px=tuple(far)))
    with pytest.raises(PlaneError, match="cannot be laid"):
        map_from(face.photos[:2], face.solved)


def test_progress_is_told_from_nothing_to_all(told_and_joined):
    told, _ = told_and_joined
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)
    assert {"looking for tiles in photograph 4", "laying out photograph 1"} <= {w for _, w in told}
