"""Thin tongues of contact bound bare circles as broad marks do."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage

from scrapeview.bearing import largest_bare_patch


@settings(derandomize=True, deadline=None)
@given(st.integers(0, 10**6), st.floats(2.5, 14))
def test_the_circle_touches_no_contact_and_lies_in_the_face(seed, px_per_mm):
    rng = np.random.default_rng(seed)
    shape = (90, 130)
    blob = ndimage.gaussian_filter(rng.normal(size=shape), rng.uniform(2, 8))
    contact = blob > np.quantile(blob, rng.uniform(0.3, 0.95))
    face = ndimage.gaussian_filter(rng.normal(size=shape), 12) > -0.05
    patch = largest_bare_patch(face, contact, px_per_mm, (3.0, -2.0))
    bare = face & ~contact
    y, x = np.indices(shape)
    away = np.hypot(x / px_per_mm + 3.0 - patch.x_mm, y / px_per_mm - 2.0 - patch.y_mm)
    grid_mm = max(1, int(px_per_mm / 2.5)) / px_per_mm
    assert bare[away < 0.98 * patch.circle_mm / 2 - 1.25 * grid_mm].all()
