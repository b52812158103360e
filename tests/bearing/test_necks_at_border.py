"""Marks that run off the view: steps of the ascent must not lead round its sides."""

import faulthandler

import numpy as np
import pytest


@pytest.fixture
def no_hang():
    faulthandler.dump_traceback_later(20, exit=True)
    yield
    faulthandler.cancel_dump_traceback_later()


@pytest.mark.usefixtures("no_hang")
def test_marks_on_the_border_of_the_view_end(drawn):
    # lattice at 20 per square inch, 40 % cover, discs cut by the view's border
    rng = np.random.default_rng(21)
    x, y = np.meshgrid(np.arange(-8, 9), np.arange(-8, 9))
    for _ in range(250):
        turn = rng.uniform(0, np.pi / 2)
        turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        grid = np.stack([x.ravel(), y.ravel()], axis=1) + rng.random(2)
        scene = drawn((25.4, 25.4), px_per_mm=5.0, margin_mm=5.0)
        for cx, cy in 5.68 * grid @ turned.T + 12.7:
            if max(abs(cx - 12.7), abs(cy - 12.7)) < 20.7:
                scene.disc(cx, cy, 2.0267)
        assert len(scene.found().points) > 0
