"""Rubbed-bright middles are contact; bare islands in a network are not."""

import numpy as np
import pytest


@pytest.mark.parametrize("px_per_mm", [5.5, 8.0, 11.0])
def test_a_ring_is_one_point_and_its_middle_contact(drawn, px_per_mm):
    found = drawn(px_per_mm=px_per_mm).ring(20, 15, 3.0, 1.6).found()
    assert len(found.points) == 1
    point = found.points.iloc[0]
    assert point["hollow"]
    # closed form: the whole disc
    assert point["area_mm2"] == pytest.approx(np.pi * 9, rel=0.02)
    assert (point["x_mm"], point["y_mm"]) == pytest.approx((20, 15), abs=0.05)
    assert found.middles.sum() / px_per_mm**2 == pytest.approx(np.pi * 1.6**2, rel=0.05)


def test_a_disc_is_not_hollow(drawn):
    found = drawn().disc(20, 15, 3.0).found()
    assert not found.points["hollow"].any()
    assert not found.middles.any()


def test_a_broken_ring_is_filled_only_where_it_is_closed(drawn):
    closed = drawn().ring(20, 15, 3.0, 1.6)
    open_ = drawn().ring(20, 15, 3.0, 1.6)
    open_.marks &= ~open_.box(20, 14, 24, 16)
    assert closed.found().middles.any()
    assert not open_.found().middles.any()


def test_islands_of_a_network_stay_bare(drawn):
    # bars 2.25 mm wide every 5 mm both ways, running on past the face
    net = drawn()
    for x in np.arange(-5, 66, 5.0):
        net.bar(x, -10, x + 2.25, 60)
    for y in np.arange(-5, 46, 5.0):
        net.bar(-10, y, 80, y + 2.25)
    found = net.found()
    share = found.contact[net.face].mean()
    # closed form: 1 - (2.75 / 5)^2 of the plane; the face holds whole periods
    assert share == pytest.approx(1 - (2.75 / 5) ** 2, abs=0.002)
    assert not found.middles.any()
    assert found.merged_percent == pytest.approx(100)


def test_a_ring_inside_a_crowd_is_still_filled(drawn):
    crowd = drawn().ring(20, 15, 2.5, 1.3)
    for turn in np.arange(6) * np.pi / 3:
        crowd.disc(20 + 6 * np.cos(turn), 15 + 6 * np.sin(turn), 2.2)
    found = crowd.found()
    assert len(found.points) == 7
    assert found.points["hollow"].sum() == 1


def test_two_rings_that_touch_are_two_hollow_points(drawn):
    found = drawn().ring(20, 15, 2.5, 1.2).ring(24.6, 15, 2.5, 1.2).found()
    assert len(found.points) == 2
    assert found.points["hollow"].all()
    assert found.points["split"].all()
    assert sorted(found.points["x_mm"]) == pytest.approx([20, 24.6], abs=0.2)


def test_a_ring_with_a_neck_to_a_disc_is_two_points(drawn):
    found = drawn().ring(20, 15, 2.5, 1.3).bar(22.2, 14.6, 26, 15.4).disc(27, 15, 2.0).found()
    assert len(found.points) == 2
    assert found.points.sort_values("x_mm")["hollow"].tolist() == [True, False]


def test_pinholes_of_the_grain_are_contact_but_no_middle(drawn):
    speckled = drawn().disc(20, 15, 3.0)
    speckled.marks &= ~speckled.circle(20.5, 15.5, 0.15)
    found = speckled.found()
    assert found.points["area_mm2"].iloc[0] == pytest.approx(np.pi * 9, rel=0.02)
    assert not found.points["hollow"].any()


def test_a_middle_larger_than_a_point_is_bare_metal(drawn):
    found = drawn().ring(25, 20, 9.0, 7.5).found()
    assert not found.middles.any()
