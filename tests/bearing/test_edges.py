"""Points at the edge: by their centroid where seen whole, by the half-disc rule where cut."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview.bearing.edges import centre_inside

WIDTH, HEIGHT = 60.0, 40.0
RADIUS_MM = 2.4
SIDES = ("left", "right", "top", "bottom")


def beside(side, inward):
    """Centre that lies `inward` mm inside a side of the face."""
    return {
        "left": (inward, 19.0),
        "right": (WIDTH - inward, 19.0),
        "top": (28.0, inward),
        "bottom": (28.0, HEIGHT - inward),
    }[side]


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("share", [-0.2, 0.2])
@pytest.mark.parametrize("px_per_mm", [5.5, 8.0])
def test_a_point_that_runs_on_counts_by_its_centroid(drawn, side, share, px_per_mm):
    scene = drawn(px_per_mm=px_per_mm).disc(*beside(side, share * RADIUS_MM), RADIUS_MM)
    found = scene.found()
    assert len(found.points) == (1 if share > 0 else 0)
    assert found.points["edge"].all()
    # what lies on the face is contact, counted or not
    assert (found.contact == (scene.marks & scene.face)).all()


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("share", [-0.2, 0.2])
@pytest.mark.parametrize("px_per_mm", [5.5, 8.0])
def test_a_cut_disc_counts_where_its_centre_lies_inside(drawn, side, share, px_per_mm):
    scene = drawn(px_per_mm=px_per_mm).disc(*beside(side, share * RADIUS_MM), RADIUS_MM)
    scene.marks &= scene.face
    found = scene.found()
    assert len(found.points) == (1 if share > 0 else 0)
    assert found.points["edge"].all()


@given(st.floats(-0.95, 0.95), st.floats(1.0, 4.0), st.floats(0, 2 * np.pi))
def test_area_and_chord_of_a_cut_disc_tell_where_its_centre_is(share, radius, turn):
    # closed forms of the circular segment, radius in mm at 40 px/mm: no raster in the way
    inward = share * radius
    chord = 2 * np.sqrt(radius**2 - inward**2)
    area = radius**2 * np.arccos(-share) + inward * np.sqrt(radius**2 - inward**2)
    assert (area > np.pi * chord**2 / 8) == (inward > 0) or abs(inward) < 1e-6
    px = 40.0
    half = np.linspace(-chord / 2, chord / 2, 9) * px
    rows = np.rint(half * np.sin(turn) - (half * np.sin(turn)).min()).astype(int) + 2
    columns = np.rint(half * np.cos(turn) - (half * np.cos(turn)).min()).astype(int) + 2
    edge = np.zeros((rows.max() + 3, columns.max() + 5), bool)
    edge[rows, columns] = True
    if abs(share) > 0.05:
        cut = np.array([False, True])
        told = centre_inside(np.array([0.0, area * px**2]), edge.astype(np.int32), edge, cut)
        assert told[1] == (inward > 0)


def test_what_is_not_cut_has_its_centre_inside():
    labels = np.zeros((6, 9), np.int32)
    labels[2:4, 3:6] = 1
    edge = labels > 0
    assert centre_inside(np.array([0.0, 1.0]), labels, edge, np.array([False, False])).all()


@pytest.mark.parametrize("turn_deg", [0, 17, 45, 80])
def test_cut_discs_along_a_slanting_edge(drawn, turn_deg):
    """Discs at -0.9 to 0.9 radii from an edge at any angle: those inside are counted."""
    scene = drawn((130.0, 60.0))
    cos, sin = np.cos(np.deg2rad(turn_deg)), np.sin(np.deg2rad(turn_deg))
    beyond = (scene.x - 65) * cos + (scene.y - 30) * sin
    face = scene.face & (beyond < 0)
    shares = [s for s in np.linspace(-0.9, 0.9, 10) if abs(s) > 0.15]
    at = 6.0 * (np.arange(len(shares)) - (len(shares) - 1) / 2)
    inside = 0
    for share, along in zip(shares, at, strict=True):
        x = 65 - share * RADIUS_MM * cos - along * sin
        y = 30 - share * RADIUS_MM * sin + along * cos
        if 5 < x < 125 and 5 < y < 55:
            scene.disc(x, y, RADIUS_MM)
            inside += share > 0
    scene.marks &= face
    found = scene.found(face=face)
    assert inside >= 2
    assert len(found.points) == inside


def test_a_smallest_point_at_the_edge_is_kept_and_a_speck_is_not(drawn):
    scene = drawn().disc(0.2, 20, 0.5).disc(30, 0.1, 0.2).disc(30, 20, 0.3)
    scene.marks &= scene.face
    points = scene.found().points
    assert points["x_mm"].tolist() == pytest.approx([0.35], abs=0.1)


@pytest.mark.parametrize("seed", range(4))
def test_two_faces_side_by_side_count_every_point_once(drawn, seed):
    """The counting rule is additive: what halves hold adds up to the whole."""
    rng = np.random.default_rng(seed)
    scene = drawn()
    for x, y in rng.uniform((-5, -5), (65, 45), (60, 2)):
        scene.disc(x, y, rng.uniform(0.7, 2.2))
    middle = rng.uniform(20, 40)
    left, right = scene.face & (scene.x < middle), scene.face & (scene.x >= middle)
    whole = scene.found()
    halves = [scene.found(face=face) for face in (left, right)]
    assert sum(h.contact.sum() for h in halves) == whole.contact.sum()
    assert sum(len(h.points) for h in halves) == len(whole.points)
    both = scene.found(regions=left + 2 * right.astype(int))
    assert len(both.points) == len(whole.points)


def test_a_bench_of_the_film_s_colour_is_no_print(drawn):
    scene = drawn().disc(20, 15, 2.0).disc(0.5, 25, 2.0)
    before = scene.found()
    scene.marks |= ~scene.face
    after = scene.found()
    assert len(after.points) == len(before.points) == 2
    assert (after.contact == before.contact).all()


def test_where_the_photo_ends_a_point_is_judged_by_what_is_seen(drawn):
    scene = drawn().disc(0.5, 20, RADIUS_MM).disc(-0.5, 30, RADIUS_MM)
    found = scene.found(seen=scene.face)
    assert found.points["y_mm"].tolist() == pytest.approx([20], abs=0.1)


def test_an_opening_cuts_points(drawn):
    # slot from y 18 to 22; one centre 0.5 mm off its edge on the metal, one 0.5 mm inside it
    scene = drawn().disc(20, 17.5, RADIUS_MM).disc(40, 21.5, RADIUS_MM)
    slot = scene.box(-10, 18, 80, 22)
    scene.marks &= ~slot
    found = scene.found(face=scene.face & ~slot)
    assert found.points["x_mm"].tolist() == pytest.approx([20], abs=0.1)
