"""Photographs solved by their tiles lie where they truly lie, and say how surely.

Truth comes from OpenCV's camera model (`cv2.projectPoints`); see `laid_tiles.py`.
"""

import itertools
from dataclasses import replace

import cv2
import numpy as np
import pytest
from laid_tiles import (
    Shot,
    laid_along,
    missed,
    rigid_fit,
    rms,
    seen_by,
    shots_along,
    square,
)

from scrapeview.errors import PlaneError
from scrapeview.photo import load_photo
from scrapeview.plane import Plane
from scrapeview.plane.cards import TILES, PaperScale
from scrapeview.plane.joined.bundle import solve_by_tiles
from scrapeview.plane.joined.solved import Lens
from scrapeview.plane.markers import FoundMarker, find_markers
from scrapeview.simulate.long_face import render_long

MEASURED = PaperScale(1.0, 0.0)
SHORT = {"length_mm": 480.0}
NOISE_PX = 0.05
"""Somewhat more than what the corners of rendered markers are off."""


def scene(seed=0, *, photos=7, every_mm=45.0, length_mm=1200.0, **shooting):
    """Generator of chance, tiles and photographs of one face."""
    rng = np.random.default_rng(seed)
    tiles = laid_along(rng, length_mm=length_mm, every_mm=every_mm)
    shooting = {"overlap": 0.4, **shooting}
    return rng, tiles, shots_along(rng, photos=photos, length_mm=length_mm, **shooting)


def short(seed=0, **shooting):
    return scene(seed, photos=3, **SHORT, **shooting)


def found_in(shots, tiles, rng, *, noise_px=NOISE_PX, **seeing):
    seeing["noise_px"] = noise_px
    return [seen_by(shot, tiles, rng, **seeing) for shot in shots]


def solve(found, shots, **kwargs):
    sizes = [shot.size_px for shot in shots]
    return solve_by_tiles(found, sizes, **{"paper": MEASURED, **kwargs})


def distances(solved, numbers=None):
    """All distances between the tiles' middles."""
    numbers = sorted(solved.tiles_mm) if numbers is None else numbers
    middles = np.array([solved.tiles_mm[i].mean(axis=0) for i in numbers])
    return np.array([np.hypot(*(p - q)) for p, q in itertools.combinations(middles, 2)])


def numbers_left_out(solved):
    return {number for _, number in solved.left_out}


def with_tile(tiles, number, corners):
    return {**tiles, number: corners}


# ------------------------------------------------------------------ where all lies


@pytest.mark.parametrize(
    ("seed", "lens"),
    [(0, Lens()), (1, Lens(-0.05, 0.0)), (2, Lens(0.05, -0.02))],
)
def test_a_long_row_lies_where_it_truly_lies(seed, lens):
    rng, tiles, shots = scene(seed, lens=lens)
    solved = solve(found_in(shots, tiles, rng), shots)
    off = missed(solved, tiles, shots)
    assert len(solved.tiles_mm) >= len(tiles) - 2
    assert off.tiles_rms_mm < 0.15
    assert off.ends_rms_mm < 0.25
    assert abs(off.scale) < 0.002
    assert solved.lens.k1 == pytest.approx(lens.k1, abs=0.006)
    assert not solved.left_out
    assert solved.lenses == ()


def test_without_noise_all_is_exact():
    rng, tiles, shots = short(lens=Lens(-0.05, 0.01))
    solved = solve(found_in(shots, tiles, rng, noise_px=0.0), shots)
    off = missed(solved, tiles, shots)
    assert off.tiles_rms_mm < 1e-3
    assert off.ends_rms_mm < 1e-2
    assert solved.residual_mm < 1e-3


def test_what_a_strong_lens_bends_is_not_explained_without_it():
    rng, tiles, shots = short(lens=Lens(-0.05, 0.0))
    found = found_in(shots, tiles, rng)
    with_lens, without = solve(found, shots), solve(found, shots, lens=False)
    assert without.lens == Lens()
    assert without.residual_mm > 3 * with_lens.residual_mm


def test_one_corner_in_ten_may_be_wrong():
    rng, tiles, shots = scene(5, lens=Lens(0.03, 0.0), overlap=0.5)
    off = missed(solve(found_in(shots, tiles, rng, wrong=0.1), shots), tiles, shots)
    assert off.tiles_rms_mm < 0.15
    assert abs(off.scale) < 0.002


def test_a_third_of_the_tiles_may_be_hidden():
    rng, tiles, shots = scene(6, overlap=0.5, every_mm=40.0)
    off = missed(solve(found_in(shots, tiles, rng, hidden=0.33), shots), tiles, shots)
    assert off.tiles_rms_mm < 0.15
    assert abs(off.scale) < 0.002


def test_homographies_are_those_opencv_finds_from_the_solved_places():
    rng, tiles, shots = short()
    found = found_in(shots, tiles, rng, noise_px=0.0)
    solved = solve(found, shots, lens=False)
    for photo, markers in enumerate(found):
        places = np.vstack([solved.tiles_mm[marker.id] for marker in markers])
        pixels = np.vstack([marker.corners_px for marker in markers])
        expected = cv2.findHomography(places, pixels)[0]
        ours = solved.mm_to_px[photo]
        np.testing.assert_allclose(ours / ours[2, 2], expected, rtol=1e-3, atol=1e-6)


@pytest.fixture(scope="module")
def rendered():
    """A face photographed twice, the photographs, and the markers found in them."""
    face = render_long(
        "plain", photos=2, size_mm=(220.0, 40.0), px_per_mm=6.0, overlap=0.45, lens=Lens(-0.006, 0)
    )
    photos = [load_photo(jpeg) for jpeg in face.photos]
    return face, photos, [find_markers(photo) for photo in photos]


def test_a_rendered_face_is_solved_from_its_photographs(rendered):
    face, _, found = rendered
    solved = solve_by_tiles(found, face.solved.photo_sizes_px, paper=MEASURED)
    numbers = sorted(solved.tiles_mm)
    true = np.vstack([face.tiles_mm[i] for i in numbers])
    ours = np.vstack([solved.tiles_mm[i] for i in numbers])
    assert len(numbers) == len(face.tiles)
    assert rms(rigid_fit(ours, true)(ours) - true) < 0.05
    assert solved.lens.k1 == pytest.approx(-0.006, abs=0.003)
    assert solved.residual_mm < 0.03


# ------------------------------------------------------------------ the same seen otherwise


def test_the_order_of_photographs_and_markers_does_not_matter():
    rng, tiles, shots = scene(7, photos=5, length_mm=800.0, every_mm=60.0, overlap=0.5)
    found = found_in(shots, tiles, rng)
    order = [3, 0, 4, 2, 1]
    shuffled = [tuple(reversed(found[i])) for i in order]
    one, other = solve(found, shots), solve(shuffled, [shots[i] for i in order])
    np.testing.assert_allclose(distances(other), distances(one), atol=2e-3)
    np.testing.assert_allclose(
        [other.photo_residuals_mm[order.index(i)] for i in range(5)],
        one.photo_residuals_mm,
        atol=1e-4,
    )


@pytest.mark.parametrize("quarters", [1, 2])
def test_turning_a_photograph_moves_no_distance(quarters):
    rng, tiles, shots = short(8, lens=Lens(-0.03, 0.0))
    found = found_in(shots, tiles, rng)
    turned, size = found[1], shots[1].size_px
    for _ in range(quarters):
        turned = tuple(
            replace(
                m,
                corners_px=np.column_stack((size[1] - 1 - m.corners_px[:, 1], m.corners_px[:, 0])),
            )
            for m in turned
        )
        size = (size[1], size[0])
    sizes = [shots[0].size_px, size, shots[2].size_px]
    one = solve(found, shots)
    other = solve_by_tiles([found[0], turned, found[2]], sizes, paper=MEASURED)
    np.testing.assert_allclose(distances(other), distances(one), atol=1e-3)
    assert other.lenses == ()


def test_other_numbers_on_the_tiles_move_no_distance():
    rng, tiles, shots = short(9)
    found = found_in(shots, tiles, rng)
    shifted = [tuple(replace(m, id=m.id + 57) for m in markers) for markers in found]
    one, other = solve(found, shots), solve(shifted, shots)
    assert sorted(other.tiles_mm) == [i + 57 for i in sorted(one.tiles_mm)]
    np.testing.assert_allclose(distances(other), distances(one), atol=1e-6)


def test_a_larger_print_of_the_sheet_makes_all_larger():
    rng, tiles, shots = short(10)
    found = found_in(shots, tiles, rng)
    one = solve(found, shots)
    other = solve(found, shots, paper=PaperScale(1.02, 0.003))
    np.testing.assert_allclose(distances(other), 1.02 * distances(one), rtol=1e-4)
    assert other.scale_error == pytest.approx(np.hypot(one.scale_error, 0.003), rel=0.05)


def test_x_runs_along_the_row_to_the_right_of_the_first_photograph():
    rng, tiles, shots = short(11)
    found = found_in(shots, tiles, rng)
    solved = solve(found, shots)
    everything = np.vstack(list(solved.tiles_mm.values()))
    np.testing.assert_allclose(everything.min(axis=0), 0, atol=1e-9)
    assert np.ptp(everything, axis=0) == pytest.approx((465, 175), abs=25)
    first, second = solved.to_px(0, [(100, 50), (130, 50)])
    assert second[0] - first[0] > 100
    assert solved.to_px(0, [(100, 80)])[0, 1] - first[1] > 100
    width, height = shots[0].size_px
    upside_down = tuple(
        replace(m, corners_px=np.array([width - 1, height - 1]) - m.corners_px) for m in found[0]
    )
    other = solve([upside_down, *found[1:]], shots)
    for number, corners in solved.tiles_mm.items():
        turned = everything.max(axis=0) - corners
        np.testing.assert_allclose(other.tiles_mm[number], turned, atol=2e-3)


def test_tiles_that_lie_in_no_row_take_the_direction_of_the_lowest_number():
    rng = np.random.default_rng(12)
    first = TILES["small"].first_id
    places = {4: (20, 20), 9: (120, 25), 2: (25, 110), 7: (118, 122), 5: (70, 70)}
    turns = {4: 40, 9: 5, 2: 97, 7: -60, 5: 12}
    tiles = {first + i: square(at, 14.0, turns[i]) for i, at in places.items()}
    shot = Shot((1000, 900), (70, 70), 6.0, (3.0, -4.0))
    solved = solve([seen_by(shot, tiles, rng)], [shot])
    edges = np.diff(solved.tiles_mm[first + 2], axis=0)
    # it lies turned by 97 degrees, so that its own y runs to the left
    np.testing.assert_allclose(np.arctan2(edges[0, 1], edges[0, 0]), np.pi / 2, atol=0.01)


def test_one_photograph_agrees_with_the_plane_from_its_tiles(rendered):
    face, photos, found = rendered
    sizes = face.solved.photo_sizes_px[:1]
    solved = solve_by_tiles(found[:1], sizes, paper=MEASURED, lens=False)
    plane = Plane.from_tiles(photos[0], paper=MEASURED)
    pixels = np.vstack([solved.to_px(0, corners) for corners in solved.tiles_mm.values()])
    ours, theirs = solved.to_mm(0, pixels), plane.to_mm(pixels)
    assert rms(rigid_fit(ours, theirs)(ours) - theirs) < 0.1


# ------------------------------------------------------------------ what does not fit


def test_a_tile_on_a_magnet_is_left_out():
    rng, tiles, shots = scene(13, photos=4, length_mm=700.0)
    number = sorted(tiles)[4]
    proud = with_tile(tiles, number, tiles[number] - [0, 0, 5.0])
    solved = solve(found_in(shots, proud, rng), shots)
    assert numbers_left_out(solved) == {number}
    assert number not in solved.tiles_mm
    assert missed(solved, tiles, shots).tiles_rms_mm < 0.15
    assert {i for i, _ in solved.set_aside_mm} == {number}
    neighbour = solved.tiles_mm[number + 1].mean(axis=0)
    apart = np.hypot(*(tiles[number + 1] - tiles[number]).mean(axis=0)[:2])
    for _, corners in solved.set_aside_mm:
        assert np.hypot(*(corners.mean(axis=0) - neighbour)) == pytest.approx(apart, abs=3)


def test_a_tile_printed_at_another_scale_is_left_out():
    rng, tiles, shots = scene(14, photos=4, length_mm=700.0)
    number = sorted(tiles)[4]
    middle = tiles[number].mean(axis=0)
    larger = with_tile(tiles, number, middle + 1.02 * (tiles[number] - middle))
    solved = solve(found_in(shots, larger, rng), shots)
    assert numbers_left_out(solved) == {number}


def test_one_bent_corner_is_passed_over():
    rng, tiles, shots = short(15)
    number = sorted(tiles)[4]
    bent = tiles[number] - np.array([[0, 0, 4.0], [0, 0, 0], [0, 0, 0], [0, 0, 0]])
    solved = solve(found_in(shots, with_tile(tiles, number, bent), rng), shots)
    assert missed(solved, tiles, shots).tiles_rms_mm < 0.1


@pytest.mark.parametrize("other", [6, 20])
def test_a_number_that_lies_there_twice_says_nothing(other):
    rng, tiles, shots = scene(16)
    first, second = sorted(tiles)[4], sorted(tiles)[other]
    again = {first: tiles[second] + [0, 24.0, 0]}
    found = [a + b for a, b in zip(*(found_in(shots, t, rng) for t in (tiles, again)), strict=True)]
    solved = solve(found, shots)
    assert solved.lying_twice == (first,)
    assert first not in solved.tiles_mm
    assert {number for number, _ in solved.set_aside_mm} == {first}
    assert not solved.left_out
    assert missed(solved, tiles, shots).tiles_rms_mm < 0.15


def test_an_unsharp_photograph_spoils_little():
    rng, tiles, shots = scene(17, photos=4, length_mm=700.0)
    noises = (NOISE_PX, NOISE_PX, NOISE_PX, 2.0)
    found = [seen_by(s, tiles, rng, noise_px=n) for s, n in zip(shots, noises, strict=True)]
    solved = solve(found, shots)
    assert solved.photo_residuals_mm[3] > 5 * max(solved.photo_residuals_mm[:3])
    others = {i for markers in found[:3] for i in (m.id for m in markers)}
    ours = np.vstack([solved.tiles_mm[i] for i in sorted(others)])
    true = np.vstack([tiles[i][:, :2] for i in sorted(others)])
    assert rms(rigid_fit(ours, true)(ours) - true) < 0.15


def test_washed_out_markers_count_less():
    rng, tiles, shots = short(18)
    sharp, noisy = found_in(shots, tiles, rng), found_in(shots, tiles, rng, noise_px=0.15)
    told = [
        tuple(replace(noisy[p][i], washed_out=True) if i % 2 else m for i, m in enumerate(markers))
        for p, markers in enumerate(sharp)
    ]
    trusted = [tuple(replace(m, washed_out=False) for m in markers) for markers in told]
    less = missed(solve(told, shots), tiles, shots).tiles_rms_mm
    assert less < 0.9 * missed(solve(trusted, shots), tiles, shots).tiles_rms_mm


def test_both_kinds_of_tiles_may_lie_there():
    rng, tiles, shots = short(19, margin_mm=100.0)
    large = laid_along(rng, length_mm=480.0, kind="large", every_mm=120.0, first=30)
    both = {**tiles, **{i: corners + np.array([0, 25, 0]) for i, corners in large.items()}}
    solved = solve(found_in(shots, both, rng), shots)
    sides = {i: np.hypot(*(c[1] - c[0])) for i, c in solved.tiles_mm.items()}
    assert {round(side) for side in sides.values()} == {14, 28}
    assert missed(solved, both, shots).tiles_rms_mm < 0.1


def test_two_cameras_have_a_lens_each():
    rng, tiles, shots = scene(20, photos=4, length_mm=700.0)
    wide, narrow = Lens(-0.05, 0.0), Lens(0.03, 0.0)
    (width, height) = shots[0].size_px
    shots = [
        replace(s, lens=wide) if i < 2 else replace(s, lens=narrow, size_px=(width + 40, height))
        for i, s in enumerate(shots)
    ]
    solved = solve(found_in(shots, tiles, rng), shots)
    assert [lens.k1 for lens in solved.lenses] == pytest.approx([-0.05] * 2 + [0.03] * 2, abs=0.008)
    assert missed(solved, tiles, shots).tiles_rms_mm < 0.15


# ------------------------------------------------------------------ what is refused


def test_photographs_that_share_no_tile_are_refused_by_number():
    rng, tiles, shots = scene(21, photos=4, length_mm=700.0)
    found = found_in(shots, tiles, rng)
    before = {m.id for m in found[2]}
    found[3] = tuple(m for m in found[3] if m.id not in before)
    with pytest.raises(PlaneError, match=r"Photo 4 shares no tile with the others"):
        solve(found, shots)


def test_a_photograph_without_tiles_is_refused_by_number():
    rng, tiles, shots = short(22)
    found = found_in(shots, tiles, rng)
    card = FoundMarker(3, found[1][0].corners_px, False)
    with pytest.raises(PlaneError, match=r"Photo 2 shows no tile"):
        solve([found[0], (card,), found[2]], shots)


def test_mirrored_photographs_are_refused():
    rng, tiles, shots = short(23)
    width = shots[0].size_px[0]
    flip = [
        tuple(replace(m, corners_px=m.corners_px * [-1, 1] + [width - 1, 0]) for m in markers)
        for markers in found_in(shots, tiles, rng)
    ]
    with pytest.raises(PlaneError, match="mirror"):
        solve(flip, shots)


def test_a_photograph_made_after_tiles_were_moved_is_refused():
    rng, tiles, shots = scene(24, photos=4, length_mm=700.0, overlap=0.5)
    moved = {i: c + np.append(rng.uniform(-10, 10, 2), 0) for i, c in tiles.items()}
    found = [seen_by(s, moved if i == 3 else tiles, rng) for i, s in enumerate(shots)]
    with pytest.raises(PlaneError, match=r"Photo 4 cannot be placed"):
        solve(found, shots)


@pytest.mark.parametrize("apart", [2, 9])
def test_two_prints_of_one_sheet_along_a_face_are_refused(apart):
    rng, tiles, shots = scene(26, photos=5, length_mm=800.0, overlap=0.5)
    first = min(tiles)
    copies = [
        {i: c for i, c in tiles.items() if (i - first) // apart % 2 == 0},
        {i - apart: c for i, c in tiles.items() if (i - first) // apart % 2 == 1},
    ]
    each = [found_in(shots, copy, rng) for copy in copies]
    with pytest.raises(PlaneError, match=r"small tile .*only once"):
        solve([a + b for a, b in zip(*each, strict=True)], shots)


@pytest.mark.parametrize("count", [1, 2])
def test_a_tile_or_two_in_one_photograph_suffice(count):
    rng, tiles, shots = short(27)
    solved = solve([seen_by(shots[0], tiles, rng)[:count]], shots[:1])
    assert len(solved.tiles_mm) == count
    assert solved.position_error_mm > 0.1


def test_no_photographs_are_refused():
    with pytest.raises(PlaneError, match="No photographs"):
        solve_by_tiles([], [])


@pytest.mark.parametrize("seed", [25, 26, 28])
def test_one_tile_that_another_print_of_a_number_contradicts_is_refused(seed):
    rng, tiles, shots = scene(seed, photos=4, length_mm=620.0)
    found = found_in(shots, tiles, rng)
    shared = sorted({m.id for m in found[1]} & {m.id for m in found[2]})
    # the number of a tile at the left end lies at the right end too
    left = min({m.id for m in found[0]} - {m.id for m in found[2]} - {m.id for m in found[3]})
    right = max({m.id for m in found[3]} - {m.id for m in found[0]} - {m.id for m in found[1]})
    others = {m.id for m in found[0]} & {m.id for m in found[2]} - {shared[0]}
    hidden = (set(shared[1:]) | others) - {left}
    again = [
        tuple(
            replace(m, id=left) if m.id == right else m
            for m in photo
            if at < 2 or m.id not in hidden
        )
        for at, photo in enumerate(found)
    ]
    with pytest.raises(PlaneError, match="one tile only, and another"):
        solve(again, shots)


# ------------------------------------------------------------------ how surely


def test_a_joint_by_one_tile_is_taken_but_told():
    rng, tiles, shots = scene(25, photos=3, length_mm=480.0)
    found = found_in(shots, tiles, rng)
    shared = sorted({m.id for m in found[1]} & {m.id for m in found[2]})
    weak = [*found[:2], tuple(m for m in found[2] if m.id not in shared[1:])]
    strong, loose = solve(found, shots), solve(weak, shots)
    assert loose.by_one_tile == ((1, 2),)
    assert not strong.by_one_tile
    assert loose.position_error_mm > 1.5 * strong.position_error_mm
    assert missed(loose, tiles, shots).tiles_rms_mm < 3 * loose.position_error_mm


@pytest.mark.parametrize("noise_px", [0.1, 0.3])
def test_errors_told_are_about_those_made(noise_px):
    made, told, lengths, lengths_told = [], [], [], []
    for seed in range(8):
        rng, tiles, shots = scene(seed, photos=2, length_mm=360.0, overlap=0.5)
        solved = solve(found_in(shots, tiles, rng, noise_px=noise_px), shots)
        off = missed(solved, tiles, shots)
        made.append(off.ends_rms_mm)
        told.append(solved.position_error_mm)
        lengths.append(off.scale)
        lengths_told.append(solved.scale_error)
    ratio = rms(np.array(made)[:, None]) / rms(np.array(told)[:, None])
    assert 0.5 < ratio < 1.3
    assert 0.5 < rms(np.array(lengths)[:, None]) / rms(np.array(lengths_told)[:, None]) < 1.5


def test_errors_of_printing_are_not_averaged_away_by_photographing_often():
    rng, tiles, shots = scene(30, photos=6, length_mm=480.0, overlap=0.75)
    printed = {
        i: c + np.column_stack((rng.normal(0, 0.05, (4, 2)), np.zeros(4))) for i, c in tiles.items()
    }
    noisy = solve(found_in(shots, tiles, rng, noise_px=0.3), shots)
    crooked = solve(found_in(shots, printed, rng, noise_px=0.02), shots)
    assert crooked.residual_mm < 1.2 * noisy.residual_mm
    assert crooked.scale_error > 1.5 * noisy.scale_error
