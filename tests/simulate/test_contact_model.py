"""The contact model against closed forms and beside an elastic solver."""

import warnings

import numpy as np
import pytest

from scrapeview.errors import SettingsError
from scrapeview.simulate.contact import (
    HeightMap,
    Strokes,
    contact_fraction,
    cut,
    press,
    stone,
    take_print,
)
from scrapeview.simulate.fields import generator, grid_over

with warnings.catch_warnings():
    # it warns on import that it runs without MPI
    warnings.simplefilter("ignore")
    from ContactMechanics import make_system
    from SurfaceTopography import Topography


def flat_face(width_mm=60.0, height_mm=40.0, px_per_mm=4.0):
    grid = grid_over((width_mm, height_mm), 0.0, px_per_mm)
    return HeightMap(np.zeros(grid.shape), np.ones(grid.shape, bool), grid)


def with_heights(face, heights):
    return HeightMap(np.asarray(heights, float), face.metal, face.grid)


def axes_mm(face):
    rows, columns = face.grid.shape
    x = (np.arange(columns) + 0.5) / face.grid.px_per_mm
    y = (np.arange(rows) + 0.5) / face.grid.px_per_mm
    return np.meshgrid(x, y)


@pytest.mark.parametrize(
    ("level", "expected_percent"), [(0.9, 14.357), (0.5, 33.333), (0.0, 50.0), (-0.5, 66.667)]
)
def test_sine_material_ratio(level, expected_percent):
    # Mr(c) = acos(c) / pi, derived; form as in ISO 25178-2 / ISO 13565-2
    phase = (np.arange(1_000_000) + 0.5) / 1_000_000
    sine = np.sin(2 * np.pi * phase)
    assert 100 * contact_fraction(sine, level) == pytest.approx(expected_percent, abs=1e-3)


@pytest.mark.parametrize(
    ("level", "expected_percent"), [(2.622003 / 2, 9.4929), (-2.622003 / 2, 90.5071), (0.0, 50.0)]
)
def test_gaussian_material_ratio(level, expected_percent):
    # Gaussian: Sk = 2.622003 Sq, Mr1 9.4929 %, Mr2 90.5071 %, derived; form as in ISO 13565-2
    heights = generator(4, "gauss").standard_normal((1000, 1600))
    # four standard deviations of the share of 1.6 million independent heights
    sampling = 4 * np.sqrt(0.25 / heights.size) * 100
    assert 100 * contact_fraction(heights, level) == pytest.approx(expected_percent, abs=sampling)


@pytest.mark.parametrize("depth_um", [0.5, 1.0, 2.5])
def test_paraboloid_caps(depth_um):
    # n caps per area of base radius a and height h, cut at depth d: n pi a^2 d / h, derived
    face = flat_face(px_per_mm=20.0)
    x, y = axes_mm(face)
    pitch, radius, height = 5.0, 2.2, 4.0
    r2 = (x % pitch - pitch / 2) ** 2 + (y % pitch - pitch / 2) ** 2
    caps = height * np.maximum(1 - r2 / radius**2, 0)
    expected = np.pi * radius**2 / pitch**2 * depth_um / height
    # edge pixels of a circle of r px: relative error of its area stays below 1 / r
    assert contact_fraction(caps, height - depth_um) == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize("heights", [np.zeros(0), np.array([1.0, np.nan])])
def test_contact_fraction_refuses_what_is_no_surface(heights):
    with pytest.raises(SettingsError):
        contact_fraction(heights, 0.0)


def test_press_on_a_paraboloid_matches_the_elastic_foundation():
    # Winkler foundation on z = -r^2 / (2 R): volume of overlap pi R d^2 = load x area, derived
    face = flat_face(px_per_mm=8.0)
    x, y = axes_mm(face)
    curvature = 20.0
    dome = with_heights(face, -((x - 30) ** 2 + (y - 20) ** 2) / (2 * curvature))
    load = 0.05
    pressed = press(dome, load)
    depth = np.sqrt(load * 60 * 40 / (np.pi * curvature))
    assert -pressed.gap_um.min() == pytest.approx(depth, rel=0.01)
    touched = (pressed.gap_um < 0).mean() * 60 * 40
    assert touched == pytest.approx(2 * np.pi * curvature * depth, rel=0.02)


def test_press_bears_the_load_without_moment():
    rng = generator(3, "rough")
    face = flat_face()
    rough = with_heights(face, rng.standard_normal(face.grid.shape))
    into = np.maximum(-press(rough, 0.2).gap_um, 0)
    x, y = axes_mm(face)
    assert into.mean() == pytest.approx(0.2, rel=1e-4)
    assert (into * (x - 30)).sum() / into.sum() == pytest.approx(0, abs=0.02)
    assert (into * (y - 20)).sum() / into.sum() == pytest.approx(0, abs=0.02)


def test_press_does_not_see_how_the_part_lies():
    rng = generator(5, "rough")
    face = flat_face()
    rough = rng.standard_normal(face.grid.shape)
    x, y = axes_mm(face)
    level = press(with_heights(face, rough), 0.1).gap_um
    tilted = press(with_heights(face, rough + 0.3 * x - 0.2 * y + 7), 0.1).gap_um
    np.testing.assert_allclose(level, tilted, atol=1e-3)


def test_press_refuses_no_load():
    with pytest.raises(SettingsError):
        press(flat_face(), 0.0)


def test_print_contact_is_the_material_ratio_at_half_the_film():
    rng = generator(6, "rough")
    face = flat_face()
    rough = with_heights(face, 2 * rng.standard_normal(face.grid.shape))
    taken = take_print(rough, film_um=3.0, load_um=0.1, rub_um=4.0)
    share = contact_fraction(-taken.gap_um, -1.5)
    assert taken.contact.mean() == pytest.approx(share, abs=1e-9)
    at_edge = np.abs(taken.gap_um - 1.5) < 0.02
    assert taken.thickness[at_edge] == pytest.approx(0.5, abs=0.02)


def test_more_film_never_prints_less():
    rng = generator(7, "rough")
    face = flat_face()
    rough = with_heights(face, rng.standard_normal(face.grid.shape))
    shares = [
        take_print(rough, film_um=film, load_um=0.1, rub_um=9.0).contact.mean()
        for film in (0.5, 1.0, 2.0, 4.0)
    ]
    assert shares == sorted(shares)
    assert shares[-1] > 2 * shares[0]


def test_elastic_sphere_touches_half_of_the_geometric_overlap():
    """Beside ContactMechanics (MIT): Hertz, area pi R d, against the overlap 2 pi R d."""
    count, side, radius, depth = 128, 1.0, 2.0, 0.01
    x = (np.arange(count) + 0.5) / count * side - side / 2
    sphere = -(x[:, None] ** 2 + x[None, :] ** 2) / (2 * radius)
    system = make_system(substrate="free", surface=Topography(sphere, (side, side)), young=1.0)
    assert system.minimize_proxy(offset=depth, pentol=1e-6).success
    elastic = system.compute_contact_area() / side**2
    geometric = contact_fraction(sphere, -depth)
    # a disc 18 pixels in radius is known to about a pixel of its radius: some 5 % of its area
    assert elastic / geometric == pytest.approx(0.5, rel=0.05)


def test_geometric_contact_bounds_elastic_contact_of_a_rough_surface():
    """Beside ContactMechanics (MIT): same random surface, same displacement of the plane.

    The overlap ignores that pressed material pushes its surroundings down, so it bounds the
    elastic contact from above, and at small load both go by separate summits: about one half.
    """
    count = 128
    wave = np.hypot(*np.meshgrid(np.fft.fftfreq(count) * count, np.fft.fftfreq(count) * count))
    power = np.where((wave > 1) & (wave < 12), np.maximum(wave, 4.0) ** -1.8, 0)
    noise = generator(3, "elastic").standard_normal((count, count))
    heights = np.real(np.fft.ifft2(power * np.fft.fft2(noise)))
    heights = heights / heights.std()
    heights -= heights.max()
    surface = Topography(heights, (float(count), float(count)), periodic=True)
    system = make_system(substrate="periodic", surface=surface, young=1.0)
    ratios = []
    for displacement in (1.0, 1.5, 2.0, 2.5):
        assert system.minimize_proxy(offset=displacement, pentol=1e-4).success
        elastic = system.compute_contact_area() / count**2
        ratios.append(elastic / contact_fraction(heights, -displacement))
    assert max(ratios) < 1
    # some hundred contact pixels at the smallest load: a tenth either way
    assert ratios[0] == pytest.approx(0.5, abs=0.1)
    assert ratios == sorted(ratios, reverse=True)


def test_strokes_take_their_volume():
    # parabolic across (2/3 of the width), 1 - u^4 along (4/5 of the length), derived
    face = flat_face(px_per_mm=8.0)
    strokes = Strokes(
        length_mm=12, width_mm=4, depth_um=5, direction_deg=30, pitch_mm=(36, 36), jitter=0.0
    )
    taken = -cut(face, strokes, generator(1, "stroke")).height_um
    # at this pitch two strokes fall on the face, both wholly
    assert taken.max() == pytest.approx(5.0, rel=0.02)
    assert taken.sum() / 8**2 == pytest.approx(2 * 12 * 4 * 5 * (2 / 3) * (4 / 5), rel=0.02)


def test_strokes_stay_where_they_are_wanted():
    face = flat_face()
    where = np.zeros(face.grid.shape, bool)
    where[:, :60] = True
    strokes = Strokes(
        length_mm=6, width_mm=3, depth_um=4, direction_deg=45, pitch_mm=(5, 4), jitter=0.2
    )
    taken = -cut(face, strokes, generator(2, "stroke"), where).height_um
    # left 15 mm scraped; a stroke reaches at most some 5 mm past its middle
    assert taken[:, :50].mean() > 1
    assert taken[:, 88:].max() == 0


def test_stone_lowers_only_what_stands_proud():
    rng = generator(8, "rough")
    face = flat_face()
    rough = with_heights(face, rng.standard_normal(face.grid.shape))
    stoned = stone(rough, load_um=0.1, keep_um=0.5)
    taken = rough.height_um - stoned.height_um
    assert (taken >= 0).all()
    assert 0 < (taken > 0).mean() < 0.2
    assert taken[rough.height_um < 1].max() == 0
