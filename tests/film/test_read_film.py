"""The film of pictures painted by hand: hue, undercoat, picks, thickness and haze."""

import numpy as np
import pytest

from scrapeview.errors import SettingsError
from scrapeview.film import MARKINGS, read_film
from scrapeview.film.axis import axis_of_picks
from scrapeview.film.light import log_light

PX = 6.0
INK = {"blue": (0.1, 0.3, 0.9), "red": (0.9, 0.15, 0.15), "black": (0.15, 0.15, 0.15)}


def painted(transmission, thickness=1.0, seed=0, metal=(0.4, 0.4, 0.4), noise=0.03):
    """Discs of film on metal: light is multiplied by transmission ** thickness."""
    rng = np.random.default_rng(seed)
    h, w = 240, 380
    y, x = np.ogrid[:h, :w]
    film = np.zeros((h, w), bool)
    for cy in np.arange(20, h, 36):
        for cx in np.arange(20, w, 36):
            film |= (x - cx) ** 2 + (y - cy) ** 2 < 11**2
    light = np.array(metal) * np.exp(rng.normal(0, noise, (h, w, 1)))
    light = light * np.where(film[..., None], np.array(transmission) ** thickness, 1)
    srgb = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.rint(255 * np.clip(srgb, 0, 1)).astype(np.uint8), film


def read(rgb, **told):
    return read_film(rgb, np.ones(rgb.shape[:2], bool), PX, **told)


@pytest.mark.parametrize("told", [True, False], ids=["named", "auto"])
@pytest.mark.parametrize("name", INK)
def test_a_painted_film_is_found(name, told):
    rgb, film = painted(INK[name])
    found = read(rgb, marking=name if told else "auto")
    assert found.marking == name
    assert found.separability.is_print
    assert (found.marked == film).mean() > 0.985
    assert found.share[film].mean() == pytest.approx(1, abs=0.15)
    assert found.share[~film].mean() == pytest.approx(0, abs=0.1)


@pytest.mark.parametrize(
    "metal", [(0.4, 0.4, 0.4), (0.3, 0.35, 0.45), (0.5, 0.4, 0.25), (0.1, 0.1, 0.1)]
)
def test_metal_and_lamp_drop_out(metal):
    rgb, film = painted(INK["blue"], metal=metal)
    found = read(rgb, marking="blue")
    assert (found.marked == film).mean() > 0.98


@pytest.mark.parametrize("thickness", [0.15, 0.4, 1.3])
def test_thin_film_is_film(thickness):
    rgb, film = painted(INK["blue"], thickness)
    found = read(rgb, marking="blue")
    assert (found.marked == film).mean() > 0.98


def test_bright_spots_in_a_coat_are_rubbed():
    rgb, coat = painted((0.25, 0.3, 0.5), seed=3)
    # discs are coat here; the other way round the coat is everything but the discs
    inverted, spots = painted((4.0, 3.3, 2.0), metal=(0.1, 0.12, 0.2), seed=3)
    assert (coat == spots).all()
    assert (read(inverted, marking="rubbed").marked == spots).mean() > 0.98
    assert (read(rgb, marking="black").marked == coat).mean() > 0.98


def test_bare_metal_has_no_film_for_any_marking():
    rng = np.random.default_rng(8)
    rgb = np.clip(rng.normal(150, 6, (200, 310, 1)) + rng.normal(0, 2, (200, 310, 3)), 0, 255)
    for marking in ("auto", *MARKINGS):
        found = read(rgb.astype(np.uint8), marking=marking)
        assert not found.separability.is_print
        assert not found.marked.any()
        assert found.undercoat == ""
        assert found.heaviness.haze_percent == 0


def test_picks_find_a_film_of_any_colour():
    green = (0.2, 0.85, 0.2)
    rgb, film = painted(green)
    marking = np.argwhere(film)[::900, ::-1].astype(float)
    metal = np.argwhere(~film)[::900, ::-1].astype(float)
    found = read(rgb, marking_picks=marking, metal_picks=metal)
    assert found.marking == "picked"
    assert (found.marked == film).mean() > 0.985


def test_the_axis_of_picks_points_from_metal_to_marking():
    metal = np.full((3, 3), -1.0, np.float32)
    blue = metal + np.array([-1.0, -0.6, 0.0], np.float32)
    axis = axis_of_picks(blue, metal)
    assert axis.sum() == pytest.approx(0, abs=1e-6)
    assert (blue - metal)[0] @ axis > 0
    dark = metal - 1
    assert axis_of_picks(dark, metal) == pytest.approx([-2 / 3] * 3)


def test_picks_that_look_alike_are_refused():
    rgb, _ = painted(INK["blue"], noise=0.0)
    picks = np.array([[2.0, 2.0], [3.0, 2.0]])
    with pytest.raises(SettingsError, match="same colour"):
        read(rgb, marking_picks=picks, metal_picks=picks + 1)


def test_an_unknown_marking_is_refused():
    rgb, _ = painted(INK["blue"])
    with pytest.raises(SettingsError, match="choose one of auto, blue, red, black, rubbed"):
        read(rgb, marking="green")


def test_half_a_film_more_or_less_follows_the_setting():
    rgb, _ = painted(INK["blue"])
    soft = np.asarray(
        [read(rgb, marking="blue", film_share=share).marked.sum() for share in (0.3, 0.5, 0.7)]
    )
    assert (np.diff(soft) < 0).all()


@pytest.mark.parametrize("name", ["red", "orange", "yellow"])
def test_an_undercoat_is_seen(name, reading):
    found = reading(f"undercoat_{name}", 2)
    assert found.undercoat != ""
    assert reading("plain", 2).undercoat == ""


def test_log_light_of_a_black_picture_is_finite():
    assert np.isfinite(log_light(np.zeros((3, 5, 3), np.uint8))).all()
