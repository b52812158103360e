"""Two ways against one reference: what its lean hides, and what stands off all the same."""

from dataclasses import replace

import numpy as np
import pytest
from in_line_coverage import way_cases
from simulated_long_faces import (
    WAY_MM,
    WAYS_MM,
    Rub,
    Texture,
    box,
    contact_of,
    pair_of_ways,
    places_of,
    reading_of_contact,
    textured,
    way_lifted,
)

from scrapeview.judge.inline import share_a_plane
from scrapeview.simulate.contact import HeightMap
from scrapeview.simulate.fields import grid_over

SPANS = ((0.0, WAY_MM), (WAYS_MM[1] - WAY_MM, WAYS_MM[1]))
RUB = Rub(film_um=3.0)


@pytest.fixture(scope="module")
def ways():
    heights, deviation_um = textured(4, WAYS_MM, Texture(long_um=0.3), px_per_mm=1.0)
    return pair_of_ways(heights), deviation_um


def shared_by(height, **told):
    contact = contact_of(height, (0.0, WAYS_MM[0]), RUB)
    regions = [box(0, top, WAYS_MM[0], foot) for top, foot in SPANS]
    return share_a_plane(reading_of_contact(contact, height.grid, regions), **told)


def test_two_ways_in_one_plane_have_zero_inside_their_intervals():
    """36 intervals of 95 %: more than 5 misses come about once in 100 times."""
    textures = ("and waves of 40 mm", "and form of 200 mm")
    cases = [c for seed in range(40, 46) for name in textures for c in way_cases(name, seed)]
    assert len(cases) == 36
    assert sum(not c.low <= 0 <= c.high for c in cases) <= 5


@pytest.mark.parametrize(
    ("name", "built_in"),
    [
        ("offset", {"offset_um": -6.0}),
        ("twist", {"twist_um_m": 25.0}),
        ("tilt_across", {"across_um_m": -100.0}),
    ],
)
def test_what_is_built_in_is_found_with_sign_and_size(ways, name, built_in):
    height, deviation_um = ways
    found = getattr(shared_by(way_lifted(height, **built_in)), name)
    truth = next(iter(built_in.values())) / deviation_um
    assert found.stands_off
    assert found.low <= truth <= found.high


def test_an_offset_hides_from_the_balance_in_the_lean_of_the_reference(ways):
    """The reference leans from one way to the other until both carry it alike."""
    height, deviation_um = ways
    level, lifted = shared_by(height), shared_by(way_lifted(height, offset_um=6.0))
    assert abs(lifted.balance.value - level.balance.value) < 0.15 * 6.0 / deviation_um
    assert lifted.offset.value - level.offset.value == pytest.approx(6.0 / deviation_um, rel=0.25)


def test_a_lean_of_the_reference_moves_the_balance_and_nothing_else():
    """Contact whose probit is a plane of each way plus any lean; closed form."""
    grid = grid_over(WAYS_MM, 0.0, 1.0)
    _, y = places_of(grid)
    texture = textured(6, WAYS_MM, Texture(um=1.0), px_per_mm=1.0)[0].height_um
    texture = (texture - texture.mean()) / texture.std()
    found = []
    for lean in (0.0, 4.0):
        level = -0.3 + lean / 1000 * (y - WAYS_MM[1] / 2)[:, None]
        contact = (texture + level > 0) & pair_of_ways(
            HeightMap(texture, np.ones(grid.shape, bool), grid)
        ).metal
        regions = [box(0, top, WAYS_MM[0], foot) for top, foot in SPANS]
        found.append(share_a_plane(reading_of_contact(contact, grid, regions)))
    level, leaning = found
    moved = leaning.balance.value - level.balance.value
    assert moved == pytest.approx(4.0 / 1000 * (WAYS_MM[1] - WAY_MM), rel=0.1)
    for name in ("offset", "tilt_across", "twist"):
        one, other = getattr(level, name), getattr(leaning, name)
        # the lean itself is a quarter of the interval's length
        assert other.value == pytest.approx(one.value, abs=0.1 * (one.high - one.low)), name


def test_ways_beside_each_other_are_left_and_right(ways):
    height, _ = ways
    contact = contact_of(height, (0.0, WAYS_MM[0]), RUB)
    regions = [box(0, top, WAYS_MM[0], foot) for top, foot in SPANS]
    there = share_a_plane(reading_of_contact(contact, height.grid, regions))
    turned = reading_of_contact(
        np.ascontiguousarray(contact.T), grid_over(WAYS_MM[::-1], 0.0, 1.0),
        [region[:, ::-1] for region in regions[::-1]],
    )  # fmt: skip
    beside = share_a_plane(turned)
    assert (there.first, there.second) == ("far way", "near way")
    assert (beside.first, beside.second) == ("left way", "right way")
    for name in ("balance", "offset", "twist"):
        one, other = getattr(there, name), getattr(beside, name)
        assert other.value == pytest.approx(one.value, abs=0.2 * (one.high - one.low)), name


def test_one_region_is_no_pair_of_ways(ways):
    height, _ = ways
    contact = contact_of(height, (0.0, WAYS_MM[0]), RUB)
    shared = share_a_plane(reading_of_contact(contact, height.grid, [box(0, 0, *WAYS_MM)]))
    assert "this print has 1" in shared.why_not
    assert not np.isfinite(shared.twist.high)
    assert not shared.twist.stands_off


def test_a_photograph_without_a_print_tells_nothing(ways):
    height, _ = ways
    contact = contact_of(height, (0.0, WAYS_MM[0]), RUB)
    regions = [box(0, top, WAYS_MM[0], foot) for top, foot in SPANS]
    blank = replace(reading_of_contact(contact, height.grid, regions), is_print=False)
    assert "no print" in share_a_plane(blank).why_not


def test_a_bare_way_tells_no_height(ways):
    height, _ = ways
    shared = shared_by(way_lifted(height, offset_um=-60.0, across_um_m=-400.0, twist_um_m=-400.0))
    assert "nearly bare" in shared.why_not
