"""A face with nothing left to read."""

import numpy as np
import pytest


def test_a_face_washed_out_wholly_has_no_print(printed, read):
    shot = printed("plain", 2)
    found = read(shot, photo=np.full_like(shot.rgb, 255))
    assert not found.is_print
    assert found.area_mm2 == pytest.approx(0, abs=1)
    assert found.contact_percent == 0
    assert len(found.points) == 0
    assert found.washed_out_percent == pytest.approx(100)
