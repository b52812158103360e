"""Relief follows the known form of a face, within its stated error, and says nothing else."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from scrapeview.bearing import relief_of
from scrapeview.bearing.local_share import (
    MOST_SQUARES,
    block_shares,
    spot_area_mm2,
    window_sigma_mm,
    window_sums,
)
from scrapeview.errors import SettingsError
from scrapeview.simulate.contact import HeightMap, Strokes, cut, take_print
from scrapeview.simulate.fields import generator, grid_over, smooth_field

SIZE_MM, PX_PER_MM = (180.0, 88.0), 3.0
FORMS = ("crown", "hollow", "twist")


def form_of(kind, shape):
    y, x = np.meshgrid(*(np.linspace(-1, 1, n) for n in shape), indexing="ij")
    return {"flat": 0 * x, "crown": 1 - x**2, "hollow": x**2 - 1, "twist": x * y}[kind]


def textured(kind, seed, form_um, *, waves_mm=(2.5, 2.5), strokes=False):
    """A face of known form with Gaussian texture or scraper strokes, and that form."""
    grid = grid_over(SIZE_MM, 0.0, PX_PER_MM)
    rng = generator(seed, "texture")
    form = form_um * form_of(kind, grid.shape)
    metal = np.ones(grid.shape, bool)
    if not strokes:
        return HeightMap(form + 2.0 * smooth_field(rng, grid, waves_mm), metal, grid), form
    face = HeightMap(form + 0.25 * smooth_field(rng, grid, (1.2, 0.8)), metal, grid)
    for direction in (45.0, -45.0, 45.0):
        face = cut(
            face,
            Strokes(
                length_mm=8.5, width_mm=3.6, depth_um=4.0, direction_deg=direction,
                pitch_mm=(8.0, 5.4), jitter=0.22,
            ),
            rng,
        )  # fmt: skip
    return face, form


def printed(kind, seed, form_um, **texture):
    """Relief of the print of such a face, and its form as the relief would show it."""
    face, form = textured(kind, seed, form_um, **texture)
    taken = take_print(face, film_um=4.0, load_um=0.15, rub_um=3.0)
    relief = relief_of(taken.contact, face.metal, PX_PER_MM)
    spread = (face.height_um - form).std()
    step = round(PX_PER_MM / relief.px_per_mm)
    sigma_px = window_sigma_mm(relief.length_mm) * relief.px_per_mm
    rows, columns = relief.height.shape
    coarse = form.reshape(rows, step, columns, step).mean(axis=(1, 3))
    smooth = window_sums(coarse, sigma_px) / window_sums(np.ones(coarse.shape), sigma_px)
    return relief, without_plane(smooth / spread, relief.told)


def without_plane(heights, told):
    y, x = np.indices(heights.shape)
    basis = np.stack([np.ones(x.shape), x, y])
    plane = np.linalg.lstsq(basis[:, told].T, heights[told], rcond=None)[0]
    return heights - np.tensordot(plane, basis, axes=1)


@pytest.mark.parametrize("kind", FORMS)
def test_relief_of_a_print_is_the_face_s_known_form(kind):
    """Five seeds of Gaussian texture, 3 um of form on 2 um of texture."""
    found = [compared(*printed(kind, seed, 3.0)) for seed in range(5)]
    correlation, slope = np.array(found).T
    assert correlation.min() > 0.9, correlation
    assert slope.mean() == pytest.approx(1.0, abs=0.1), slope


@pytest.mark.parametrize("kind", FORMS)
def test_scraper_strokes_are_no_gaussian_texture_and_still_show_the_form(kind):
    found = [compared(*printed(kind, seed, 3.0, strokes=True)) for seed in range(2)]
    correlation, slope = np.array(found).T
    assert correlation.min() > 0.9, correlation
    assert slope.mean() == pytest.approx(1.0, abs=0.2), slope


def compared(relief, form):
    at = relief.told
    slope = (form[at] @ relief.height[at]) / (form[at] @ form[at])
    return np.corrcoef(relief.height[at], form[at])[0, 1], slope


@pytest.mark.parametrize("waves_mm", [(1.5, 1.5), (3.0, 3.0), (6.0, 2.0)])
def test_a_level_face_has_no_relief_beyond_its_error(waves_mm):
    standing_off = [
        printed("flat", seed, 0.0, waves_mm=waves_mm)[0].standing_off_percent for seed in range(6)
    ]
    assert np.mean(standing_off) < 8, standing_off
    assert np.mean(standing_off) > 0.5, "an error that never fails is too large to be of use"


def independent_spots(seed, share, *, spot_px=6, shape=(240, 420)):
    """Contact decided by one coin a square of so many pixels."""
    coins = np.random.default_rng(seed).random([n // spot_px for n in shape])
    return np.kron(coins < share, np.ones((spot_px, spot_px), bool))


def test_a_shift_of_gaussian_heights_is_read_as_that_height():
    # p = Phi((m - c) / s): halves of 30 and 60 % lie Phi^-1(0.6) - Phi^-1(0.3) = 0.777748 apart
    left, right = (independent_spots(1, share, spot_px=2) for share in (0.3, 0.6))
    contact = np.where(np.arange(420) < 210, left, right)
    relief = relief_of(contact, np.ones_like(contact), 4.0, length_mm=15.0, datum="mean")
    columns = relief.height.shape[1]
    low = relief.height[:, : columns // 2 - 12].mean()
    high = relief.height[:, columns // 2 + 12 :].mean()
    # 18,000 coins a half: standard error of the difference 0.014
    assert high - low == pytest.approx(0.777748, abs=0.045)


@pytest.mark.parametrize("share", [0.2, 0.5, 0.8])
def test_a_spot_is_as_large_as_what_one_coin_decides(share):
    # the correlation of lattice squares of side a, over all offsets, integrates to a^2
    contact = independent_spots(3, share)
    found = spot_area_mm2(contact, np.ones_like(contact), 2.0, 25.4)
    assert found == pytest.approx(3.0**2, rel=0.15)


def test_the_error_is_that_of_so_many_coins_in_a_square_of_the_length():
    contact = independent_spots(5, 0.4, shape=(900, 1200))
    relief = relief_of(contact, np.ones_like(contact), 2.0)
    inside = np.s_[20:-20, 20:-20]
    spread = relief.height[inside].std()
    coins = 25.4**2 / 3.0**2
    density = np.exp(-(0.2533471**2) / 2) / np.sqrt(2 * np.pi)  # at the probit of 0.4
    assert spread == pytest.approx(np.sqrt(0.24 / coins) / density, rel=0.15)
    assert np.median(relief.error[inside]) == pytest.approx(spread, rel=0.2)


def test_a_tilt_says_nothing_and_is_taken_out():
    share = np.linspace(0.25, 0.75, 420)
    contact = np.random.default_rng(2).random((240, 420)) < share
    known = np.ones_like(contact)
    level = relief_of(contact, known, 3.0)
    tilted = relief_of(contact, known, 3.0, datum="mean")
    assert np.ptp(np.nanmean(tilted.height, axis=0)) > 0.8
    assert np.ptp(np.nanmean(level.height, axis=0)) < 0.35
    for relief in (level, tilted):
        assert np.nanmean(relief.height) == pytest.approx(0, abs=1e-9)


def test_what_is_bare_or_full_is_told_apart_from_what_is_not_known():
    contact = independent_spots(4, 0.5)
    known = np.ones_like(contact)
    contact[:, :150], contact[:120, 270:] = False, True
    known[120:, 270:] = False
    relief = relief_of(contact, known, 2.0)
    step = 2.0 / relief.px_per_mm
    at = lambda y, x: (int(y / step), int(x / step))  # noqa: E731
    assert relief.beyond[at(120, 40)] == -1
    assert relief.beyond[at(30, 390)] == 1
    assert relief.beyond[at(210, 390)] == 0
    assert relief.beyond[at(150, 210)] == 0
    assert np.isfinite(relief.height[at(150, 210)])
    for place in (at(120, 40), at(30, 390), at(210, 390)):
        assert np.isnan(relief.height[place])
        assert np.isnan(relief.error[place])


def test_where_less_than_half_of_the_face_around_is_known_nothing_is_said():
    contact = independent_spots(6, 0.5)
    face = np.ones_like(contact)
    known = face.copy()
    known[:, 12:] = False
    strip = relief_of(contact, known, 2.0)
    assert strip.told.any(), "a narrow face has its heights"
    washed_out = relief_of(contact, known, 2.0, face=face)
    assert washed_out.told.sum() < strip.told.sum()
    middle = washed_out.told.shape[0] // 2
    assert washed_out.told[middle, 0]
    assert not washed_out.told[middle, 3]


@pytest.mark.parametrize("fill", [False, True])
def test_a_face_without_marks_or_all_over_marked_has_no_heights(fill):
    contact = np.full((90, 160), fill)
    relief = relief_of(contact, np.ones_like(contact), 2.0)
    assert not relief.told.any()
    assert (relief.beyond == (1 if fill else -1)).all()
    assert relief.standing_off_percent == 0


def test_nothing_known_is_nothing_said():
    contact = np.zeros((90, 160), bool)
    relief = relief_of(contact, contact, 2.0)
    assert not relief.told.any()
    assert not relief.beyond.any()


@hypothesis_settings(max_examples=8)
@given(st.integers(0, 999), st.floats(0.2, 0.8), st.booleans())
def test_mirroring_a_print_mirrors_its_relief(seed, share, lengthwise):
    # a whole number of the relief's squares, so that they fall on each other
    contact = independent_spots(seed, share, shape=(120, 240))
    known = np.ones_like(contact)
    known[:40, :70] = False
    axis = int(lengthwise)
    there, back = (
        relief_of(np.flip(c, a), np.flip(known, a), 2.0, length_mm=32.0)
        for c, a in ((contact, ()), (contact, axis))
    )
    np.testing.assert_allclose(np.flip(back.height, axis), there.height, atol=1e-9)
    np.testing.assert_allclose(np.flip(back.error, axis), there.error, atol=1e-9)


@hypothesis_settings(max_examples=6)
@given(st.integers(0, 999), st.sampled_from([2, 3]))
def test_finer_pixels_move_no_height(seed, times):
    contact = independent_spots(seed, 0.4, shape=(120, 240))
    known = np.ones_like(contact)
    known[70:, 160:] = False
    finer = [np.kron(mask, np.ones((times, times), bool)) for mask in (contact, known)]
    coarse, fine = (
        relief_of(contact, known, 2.0, length_mm=32.0),
        relief_of(*finer, 2.0 * times, length_mm=32.0),
    )
    assert fine.px_per_mm == pytest.approx(coarse.px_per_mm)
    np.testing.assert_allclose(fine.height, coarse.height, atol=1e-9)
    np.testing.assert_allclose(fine.error, coarse.error, rtol=1e-6)
    # the centre of the first square lies at the same place of the face, from its corner
    first = [r.origin_mm[0] + 0.5 / scale for r, scale in ((coarse, 2.0), (fine, 2.0 * times))]
    assert first[0] == pytest.approx(first[1])


@pytest.mark.parametrize("px_per_mm", [0.0, -2.0, float("nan")])
def test_scales_lengths_and_masks_that_are_none_are_refused(px_per_mm):
    mask = np.ones((30, 50), bool)
    with pytest.raises(SettingsError, match="scale"):
        relief_of(mask, mask, px_per_mm)
    with pytest.raises(SettingsError, match="length"):
        relief_of(mask, mask, 2.0, length_mm=px_per_mm)
    with pytest.raises(SettingsError, match="same size"):
        relief_of(mask, mask[:, :-1], 2.0)


def test_a_large_face_is_parted_coarser_and_keeps_its_heights():
    contact = independent_spots(2, 0.5, spot_px=4, shape=(900, 1500))
    contact[:, 500:1000] |= independent_spots(3, 0.5, spot_px=4, shape=(900, 1500))[:, 500:1000]
    relief = relief_of(contact, np.ones_like(contact), 1.0)
    assert relief.height.size <= 1.01 * MOST_SQUARES
    across = np.nanmedian(relief.height, axis=0)
    middle, ends = np.median(across[140:180]), np.median(across[[*range(60), *range(-60, 0)]])
    # probit of 0.75 above that of 0.5
    assert middle - ends == pytest.approx(0.674490, abs=0.06)


def test_shares_of_blocks_are_exact():
    mask = np.zeros((5, 7), bool)
    mask[0, :3] = mask[4, 6] = True
    assert block_shares(mask, 2).tolist() == [[0.5, 0.25, 0, 0], [0, 0, 0, 0], [0, 0, 0, 0.25]]
