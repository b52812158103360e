"""Four ways of counting points in a one-inch window, and that ours is the unbiased one.

H. J. G. Gundersen, Journal of Microscopy 111 (1977): only a rule by which every particle belongs
to one window of a tessellation is unbiased. Closed forms for discs of diameter d, N per area,
window of side s (derived): all that touch N (s^2 + 2 s d + pi d^2 / 4), only whole ones
N (s - d)^2, inside plus half of the cut ones the mean of the two, by centroid N s^2.
"""

import numpy as np
import pytest

SIDE = 25.4
DENSITY = 20 / SIDE**2
DIAMETER = np.sqrt(0.4 * 4 / np.pi / DENSITY)
CLOSED_FORMS = {
    "all touching": DENSITY * (SIDE**2 + 2 * SIDE * DIAMETER + np.pi * DIAMETER**2 / 4),
    "whole only": DENSITY * (SIDE - DIAMETER) ** 2,
    "centroid": DENSITY * SIDE**2,
}
CLOSED_FORMS["inside and half of cut"] = (
    CLOSED_FORMS["all touching"] + CLOSED_FORMS["whole only"]
) / 2


def counts(centres):
    """Count by each rule in the window [0, SIDE)^2."""
    inside = ((centres >= 0) & (centres < SIDE)).all(axis=1)
    beyond = np.maximum(np.maximum(-centres, centres - SIDE), 0)
    touching = np.hypot(*beyond.T) <= DIAMETER / 2
    whole = ((centres >= DIAMETER / 2) & (centres <= SIDE - DIAMETER / 2)).all(axis=1)
    return {
        "all touching": touching.sum(),
        "whole only": whole.sum(),
        "centroid": inside.sum(),
        "inside and half of cut": whole.sum() + (touching & ~whole).sum() / 2,
    }


def lattice(rng):
    """Square lattice of the density, shifted and turned at random, all about the window."""
    pitch = DENSITY**-0.5
    x, y = np.meshgrid(np.arange(-8, 9), np.arange(-8, 9))
    turn = rng.uniform(0, np.pi / 2)
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    grid = np.stack([x.ravel(), y.ravel()], axis=1) + rng.random(2)
    return pitch * grid @ turned.T + SIDE / 2


def test_published_figures_of_the_rules():
    # at 20 discs / in2 and 40 % cover: 20.00, 20.455, 26.783, 14.126 (derived)
    assert pytest.approx(4.0533, abs=1e-4) == DIAMETER
    assert CLOSED_FORMS["centroid"] == pytest.approx(20)
    assert CLOSED_FORMS["inside and half of cut"] == pytest.approx(20.455, abs=5e-4)
    assert CLOSED_FORMS["all touching"] == pytest.approx(26.783, abs=5e-4)
    assert CLOSED_FORMS["whole only"] == pytest.approx(14.126, abs=5e-4)


@pytest.mark.parametrize("rule", CLOSED_FORMS)
def test_closed_forms_hold_for_discs_strewn_at_random(rule):
    rng = np.random.default_rng(20)
    reach = SIDE + 2 * DIAMETER
    found = [
        counts(rng.uniform(-DIAMETER, SIDE + DIAMETER, (rng.poisson(DENSITY * reach**2), 2)))[rule]
        for _ in range(3000)
    ]
    error = np.std(found) / np.sqrt(len(found))
    assert np.mean(found) == pytest.approx(CLOSED_FORMS[rule], abs=3.5 * error)


def drawn_counts(drawn, *, cut, windows, seed):
    """Our counts and the centroid rule's, window for window."""
    rng = np.random.default_rng(seed)
    ours, centroid = [], []
    for _ in range(windows):
        centres = lattice(rng)
        if cut:
            # what is left of a disc on a corner is no segment
            corners = np.array([(0, 0), (SIDE, 0), (0, SIDE), (SIDE, SIDE)])
            away = np.linalg.norm(centres[:, None] - corners, axis=2).min(axis=1)
            centres = centres[away > DIAMETER / 2]
        # 127 pixels a side: the raster window is the window
        scene = drawn((SIDE, SIDE), px_per_mm=5.0, margin_mm=5.0)
        for x, y in centres[(np.abs(centres - SIDE / 2) < SIDE / 2 + 8).all(axis=1)]:
            scene.disc(x, y, DIAMETER / 2)
        ours.append(len(scene.found(seen=scene.face if cut else None).points))
        centroid.append(counts(centres)["centroid"])
    return np.array(ours), np.array(centroid)


def test_our_count_is_unbiased_where_the_print_runs_on(drawn):
    ours, centroid = drawn_counts(drawn, cut=False, windows=250, seed=21)
    error = ours.std(ddof=1) / np.sqrt(len(ours))
    # sharp enough to tell the rule from the half-counting one, which is 0.455 more
    assert error < 0.13
    assert ours.mean() == pytest.approx(20, abs=3 * error)
    # but for centres within a pixel of the edge it is the centroid rule window for window
    assert np.abs(ours - centroid).mean() < 0.06
    assert (ours - centroid).mean() == pytest.approx(0, abs=0.05)


def test_our_count_is_unbiased_where_the_face_ends(drawn):
    ours, centroid = drawn_counts(drawn, cut=True, windows=250, seed=22)
    off = ours - centroid
    # 13 discs lie on the edges of a window; half of them, 6.4, have their centres inside
    assert off.mean() == pytest.approx(0, abs=max(0.05, 3 * off.std(ddof=1) / np.sqrt(len(off))))
    assert np.abs(off).mean() < 0.35
