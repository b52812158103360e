"""Photographs laid on each other by the print lie right, or are refused."""

from dataclasses import replace

import numpy as np
import pytest
from laid_by_print import (
    EVEN,
    errors_mm,
    given,
    in_order,
    narrowed,
    repeated,
    solve,
    with_strangers,
)

from scrapeview.errors import PlaneError
from scrapeview.photo import load_photo
from scrapeview.plane.joined.overlap import solve_by_print
from scrapeview.plane.joined.solved import Lens
from scrapeview.simulate import SCENES, Jitter, render_long

SHORT = {"photos": 3, "size_mm": (360.0, 70.0), "px_per_mm": 6.0, "tiles": ()}


@pytest.fixture(scope="module")
def face():
    """Four photographs, each tilted its own way and lit its own way, through a lens."""
    return given(
        render_long(
            "plain",
            photos=4,
            size_mm=(520.0, 80.0),
            px_per_mm=6.0,
            tiles=(),
            lens=Lens(0.02, 0.0),
            jitter=Jitter(tilt_deg=14.0, exposure_ev=0.8, colour=0.15, gradient=2.0),
            seed=7,
        )
    )


@pytest.fixture(scope="module")
def solved(face):
    return solve(face)


@pytest.fixture(scope="module")
def stranger():
    return render_long("plain", seed=19, **SHORT)


def rms(values):
    return float(np.sqrt(np.mean(np.square(values))))


def test_every_place_of_the_face_lies_right(face, solved):
    off = errors_mm(face, solved)
    assert len(off) > 500
    assert rms(off) < 0.25
    assert off.max() < 0.5


def test_what_is_told_of_itself_is_so(face, solved):
    off = errors_mm(face, solved)
    # the corners of this test are exact, those a hand picks are not: the error told is larger
    assert rms(off) < solved.position_error_mm < 0.8
    assert 1e-5 < solved.scale_error < 0.005
    assert 0 < solved.residual_mm < 0.1
    assert len(solved.photo_residuals_mm) == 4
    assert solved.lens.k1 == pytest.approx(0.02, abs=0.006)
    assert solved.photo_sizes_px == face.truths[0][0].photo_sizes_px


def halved(rgb):
    """Return a photograph decoded at half its size."""
    height, width = (side // 2 for side in rgb.shape[:2])
    even = rgb[: 2 * height, : 2 * width].reshape(height, 2, width, 2, 3)
    return replace(load_photo(rgb), rgb=even.mean(axis=(1, 3)).astype(np.uint8), reduction=2)


def test_photographs_as_people_give_them(face):
    # two swapped, one taken twice, corners picked by hand; decoded small, as a map is begun
    mixed, rng = in_order(face, [0, 2, 1, 1, 3]), np.random.default_rng(5)
    off = rng.normal(0, 2.0, (4, 2))
    picked = [(n, x + dx, y + dy) for (n, x, y), (dx, dy) in zip(mixed.corners, off, strict=True)]
    photos = [halved(rgb) for rgb in mixed.photos]
    found = solve_by_print(photos, corners=picked, size_mm=mixed.size_mm)
    assert found.photo_sizes_px[0] == face.truths[0][0].photo_sizes_px[0]
    assert rms(errors_mm(mixed, found)) < found.position_error_mm


def test_photographs_of_another_face_are_refused_by_number(face, stranger):
    others = replace(face, photos=(*stranger.rgb, stranger.rgb[0]))
    with pytest.raises(PlaneError, match=r"Photos \d and \d share too little"):
        solve(with_strangers(face, others, {2}))


def test_corners_picked_the_other_way_round_are_refused(stranger):
    first, *others = stranger.corners
    with pytest.raises(PlaneError, match="clockwise"):
        solve(given(stranger), corners=(first, *reversed(others)))


def test_a_missing_photograph_is_told(face):
    with pytest.raises(PlaneError, match=r"Photos 1 and 2 share too little"):
        solve(in_order(face, [0, 3]))


def test_too_small_an_overlap_is_refused(stranger):
    with pytest.raises(PlaneError, match="share too little"):
        solve(narrowed(stranger, 0.7))


def test_a_print_that_repeats_itself_is_refused():
    scene = SCENES["plain"].with_(metal=EVEN, shape={"background": "dark"})
    face = render_long(scene, seed=41, lay=repeated(80.0), **SHORT)
    with pytest.raises(PlaneError, match="fit each other in more than one place"):
        solve(given(face))


def test_a_blank_ground_face_is_refused():
    face = render_long(SCENES["blank"].with_(metal=EVEN), seed=42, **SHORT)
    with pytest.raises(PlaneError, match=r"share too little|more than one place"):
        solve(given(face))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"size_mm": (380.0, 70.0)}, "do not fit a face of 380 x 70 mm"),
        ({"size_mm": (0.0, 80.0)}, "both above 0"),
    ],
)
def test_a_wrong_size_is_refused(stranger, changed, said):
    with pytest.raises(PlaneError, match=said):
        solve(given(stranger), **changed)


def test_impossible_picks_are_refused(face):
    _, *others = face.corners
    for picked, said in (
        (face.corners[:3], "has four corners"),
        (((9, 10.0, 10.0), *others), "in a photo that was not given"),
        (((0, -50.0, 10.0), *others), "outside photo 1"),
    ):
        with pytest.raises(PlaneError, match=said):
            solve(face, corners=picked)
    with pytest.raises(PlaneError, match="more than one"):
        solve(in_order(replace(face, corners=()), [0]), corners=face.corners)
