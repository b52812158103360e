"""What glare has emptied is taken out; what it leaves is read."""

import numpy as np
import pytest

from scrapeview.film.glare import washed_out_mask


def grey(level, size=(60, 90)):
    return np.full((*size, 3), level, np.uint8)


def test_a_washed_out_patch_is_found_with_its_outline():
    picture = grey(150)
    picture[20:40, 30:60] = 255
    mask = washed_out_mask(picture, 6.0)
    assert mask[22:38, 32:58].all()
    assert not mask[:20].any()
    assert mask.sum() == pytest.approx(600, abs=20)


def test_specks_are_bridged():
    picture = grey(150)
    picture[10:12, 10:12] = 255
    assert not washed_out_mask(picture, 6.0).any()


def test_one_channel_left_is_colour_left():
    picture = grey(255)
    picture[..., 0] = 180
    assert not washed_out_mask(picture, 6.0).any()


def test_washed_out_places_are_taken_off_the_face_and_told(printed, reading):
    found, truth = reading("glare", 2), printed("glare", 2).truth
    assert found.area_mm2 <= truth.area_mm2
    lost = 100 * (1 - found.area_mm2 / truth.area_mm2)
    assert found.washed_out_percent == pytest.approx(lost, abs=0.1)
    glare = next(c for c in found.checks if c.code == "glare")
    assert glare.figure == pytest.approx(found.washed_out_percent)
