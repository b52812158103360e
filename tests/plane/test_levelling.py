"""Light and contrast that photographs differ by are found and taken out, all overlaps at once."""

from itertools import pairwise

import cv2
import numpy as np
import pytest

from scrapeview.plane.joined.levelling import level_photos
from scrapeview.plane.joined.levels import levelled
from scrapeview.plane.joined.warped import Warped

CELL_PX = 4
WIDTH, HEIGHT, STEP = 320, 192, 192
"""Of each photograph, and how far the next one starts, px: multiples of eight cells."""
METAL, FILM = np.array([0.30, 0.29, 0.28]), np.array([0.03, 0.08, 0.22])


@pytest.fixture(scope="module")
def light():
    """Linear light of a print on a long face that seven photographs show."""
    rng = np.random.default_rng(3)
    shape = (HEIGHT, STEP * 6 + WIDTH)
    blobs = cv2.GaussianBlur(rng.normal(size=shape), (0, 0), 8)
    marked = cv2.GaussianBlur((blobs > np.quantile(blobs, 0.72)).astype(float), (0, 0), 1.0)
    return METAL * (1 - marked[..., None]) + FILM * marked[..., None]


def photographed(light, number, gain=(1, 1, 1), contrast=1.0, slope=(0, 0), noise=0.0):
    """A photograph of its stretch: light times a gain, its contrast raised, brighter to one end."""
    part = light[:, number * STEP : number * STEP + WIDTH]
    across = np.exp(slope[0] * np.linspace(-1, 1, WIDTH))[None, :, None]
    down = np.exp(slope[1] * np.linspace(-1, 1, HEIGHT))[:, None, None]
    seen = np.array(gain) * 0.2 * (part / 0.2) ** contrast * across * down
    shown = np.where(seen <= 0.0031308, 12.92 * seen, 1.055 * seen ** (1 / 2.4) - 0.055)
    spread = np.random.default_rng(number).normal(0, noise, shown.shape[:2])[..., None]
    rgb = np.clip(np.rint(255 * shown + spread), 0, 255).astype(np.uint8)
    blocks = (HEIGHT // 32, WIDTH // 32)
    return Warped(
        rgb, np.ones((HEIGHT, WIDTH), bool), number * STEP, 0,
        np.full(blocks, 7, np.float32), np.zeros(blocks, np.float32),
    )  # fmt: skip


NOTHING = np.zeros((HEIGHT, WIDTH), bool)


def nothing_washed_out(photos):
    return [NOTHING] * len(photos)


def steps_between(photos, levels):
    """Median difference of levelled neighbours, grey levels, in metal and in film by channel."""
    shown = [levelled(photo, n, levels, NOTHING).astype(float) for n, photo in enumerate(photos)]
    steps = []
    for left, right in pairwise(shown):
        one, two = left[:, STEP:], right[:, : WIDTH - STEP]
        for mask in (one[..., 0] > 110, one[..., 0] < 70):
            steps.append(np.median(two[mask] - one[mask], axis=0))
    return np.abs(steps)


@pytest.mark.parametrize("seed", [0, 1])
def test_exposure_white_balance_and_contrast_are_levelled(light, seed):
    rng = np.random.default_rng(seed)
    photos = [
        photographed(
            light, n, gain=2 ** rng.uniform(-0.5, 0.5) * rng.uniform(0.9, 1.1, 3),
            contrast=rng.uniform(0.88, 1.12), noise=2.0,
        )
        for n in range(7)
    ]  # fmt: skip
    before = steps_between(photos, level_photos(photos[:1] * 7, nothing_washed_out(photos), 4))
    after = steps_between(photos, level_photos(photos, nothing_washed_out(photos), CELL_PX))
    assert before.max() > 15
    assert after.max() <= 2.0


def test_gains_come_out_as_they_went_in(light):
    gains = [1.0, 1.4, 0.8, 1.1, 0.75]
    photos = [photographed(light, n, gain=[g] * 3) for n, g in enumerate(gains)]
    found = level_photos(photos, nothing_washed_out(photos), CELL_PX)
    product = found.gain * np.array(gains)[:, None]
    assert product / product.mean() == pytest.approx(np.ones((5, 3)), abs=0.05)
    assert found.contrast == pytest.approx(np.ones((5, 3)), abs=0.03)


def test_light_that_falls_off_across_a_photograph_is_levelled(light):
    slopes = [(0.2, 0.0), (-0.15, 0.1), (0.1, -0.1), (-0.2, 0.0)]
    photos = [photographed(light, n, slope=s) for n, s in enumerate(slopes)]
    levels = level_photos(photos, nothing_washed_out(photos), CELL_PX)
    assert steps_between(photos, levels).max() <= 4.0
    # what all photographs of an overlap share cannot be told from the metal: differences can
    differ = levels.slope[1:, :, 1] - levels.slope[:-1, :, 1]
    assert differ.mean(axis=1) == pytest.approx([-0.1, 0.2, -0.1], abs=0.06)


def test_a_chain_of_like_photographs_does_not_drift(light):
    photos = [photographed(light, n, noise=3.0) for n in range(7)]
    levels = level_photos(photos, nothing_washed_out(photos), CELL_PX)
    assert levels.gain == pytest.approx(np.ones((7, 3)), abs=0.02)
    assert levels.contrast == pytest.approx(np.ones((7, 3)), abs=0.02)


def test_what_glare_has_washed_out_does_not_count(light):
    photos = [photographed(light, n) for n in range(2)]
    glare = np.zeros((HEIGHT, WIDTH), bool)
    glare[20:170, STEP + 20 : WIDTH - 30] = True
    photos[0].rgb[glare] = 255
    washed_out = [glare, np.zeros_like(glare)]
    levels = level_photos(photos, washed_out, CELL_PX)
    assert levels.gain == pytest.approx(np.ones((2, 3)), abs=0.02)
    unaware = level_photos(photos, nothing_washed_out(photos), CELL_PX)
    assert np.abs(unaware.gain - 1).max() > 0.05


def test_photographs_that_share_nothing_stay_as_they_are(light):
    photos = [photographed(light, 0), photographed(light, 5, gain=(1.3, 1.3, 1.3))]
    levels = level_photos(photos, nothing_washed_out(photos), CELL_PX)
    for number, photo in enumerate(photos):
        changed = levelled(photo, number, levels, NOTHING).astype(int) - photo.rgb
        assert np.abs(changed).max() <= 1
