"""Touching points are told apart at necks, at the same necks whatever the scale."""

import numpy as np
import pytest

SCALES = [4.0, 5.5, 8.0]
RADIUS_MM = 2.2


def pair(drawn, neck_share, px_per_mm, turn_deg=0.0):
    """Two discs whose common chord is `neck_share` of their diameter."""
    half = RADIUS_MM * np.sqrt(1 - neck_share**2)
    cos, sin = np.cos(np.deg2rad(turn_deg)), np.sin(np.deg2rad(turn_deg))
    scene = drawn(px_per_mm=px_per_mm)
    return scene.disc(25 - half * cos, 20 - half * sin, RADIUS_MM).disc(
        25 + half * cos, 20 + half * sin, RADIUS_MM
    )


@pytest.mark.parametrize("turn_deg", [0, 27, 45, 90])
@pytest.mark.parametrize("px_per_mm", SCALES)
@pytest.mark.parametrize(("neck_share", "points"), [(0.3, 2), (0.6, 2), (0.97, 1), (1.0, 1)])
def test_two_discs_split_by_their_neck(drawn, neck_share, points, px_per_mm, turn_deg):
    found = pair(drawn, neck_share, px_per_mm, turn_deg).found()
    assert len(found.points) == points
    assert found.points["split"].all() == (points == 2)
    assert found.points["mark"].nunique() == 1


@pytest.mark.parametrize("px_per_mm", SCALES)
def test_a_deeper_setting_keeps_shallow_necks(drawn, px_per_mm):
    scene = pair(drawn, 0.6, px_per_mm)
    # the neck is 0.4 x 2.2 = 0.88 mm narrower, in radius, than the discs
    assert len(scene.found(neck_depth_mm=0.3).points) == 2
    assert len(scene.found(neck_depth_mm=1.2).points) == 1


def test_splitting_shares_the_area_out(drawn):
    scene = pair(drawn, 0.5, 8.0)
    found = scene.found()
    assert found.points["area_mm2"].sum() * 64 == scene.marks.sum()
    # by symmetry each takes half
    assert np.ptp(found.points["area_mm2"]) < 0.03 * found.points["area_mm2"].mean()


@pytest.mark.parametrize("px_per_mm", SCALES)
@pytest.mark.parametrize("links", [3, 5, 8])
def test_a_chain_is_as_many_points_as_links(drawn, links, px_per_mm):
    scene = drawn(px_per_mm=px_per_mm)
    at = 10 + 3.6 * np.arange(links)
    for x in at:
        scene.disc(x, 17, 2.0)
    found = scene.found()
    assert sorted(found.points["x_mm"]) == pytest.approx(at, abs=0.3)


def test_a_long_chain_is_a_network(drawn):
    scene = drawn()
    for x in 4 + 3.6 * np.arange(15):
        scene.disc(x, 17, 2.0)
    found = scene.found()
    assert found.points["merged"].all()
    assert found.merged_percent == pytest.approx(100)


@pytest.mark.parametrize("px_per_mm", SCALES)
@pytest.mark.parametrize("turn_deg", [0, 20, 70])
@pytest.mark.parametrize("aspect", [1.0, 1.7, 2.5])
def test_an_ellipse_is_one_point(drawn, aspect, turn_deg, px_per_mm):
    scene = drawn(px_per_mm=px_per_mm)
    cos, sin = np.cos(np.deg2rad(turn_deg)), np.sin(np.deg2rad(turn_deg))
    along = (scene.x - 25) * cos + (scene.y - 20) * sin
    across = (scene.y - 20) * cos - (scene.x - 25) * sin
    scene.marks |= (along / aspect) ** 2 + across**2 < 1.5**2
    found = scene.found()
    assert len(found.points) == 1
    assert found.points["area_mm2"].iloc[0] == pytest.approx(np.pi * 1.5**2 * aspect, rel=0.03)


@pytest.mark.parametrize("seed", range(6))
def test_a_ragged_outline_makes_no_points(drawn, seed):
    rng = np.random.default_rng(seed)
    scene = drawn()
    angle = np.arctan2(scene.y - 20, scene.x - 25)
    waves = sum(
        rng.normal(0, 0.06) * np.cos(k * angle + rng.uniform(0, 2 * np.pi)) for k in range(3, 9)
    )
    scene.marks |= np.hypot(scene.x - 25, scene.y - 20) < 2.5 * (1 + waves)
    assert len(scene.found().points) == 1


@pytest.mark.parametrize("sizes", [(2.5, 1.2), (3.0, 1.0)])
def test_a_small_point_at_a_large_one_is_a_point(drawn, sizes):
    large, small = sizes
    found = drawn().disc(20, 18, large).disc(20 + large + 0.85 * small, 18, small).found()
    assert len(found.points) == 2
