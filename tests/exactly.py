"""Whether two readings, or parts of them, are the same to the last bit."""

import dataclasses
import math

import numpy as np
import pandas as pd

from scrapeview.plane import Plane


def assert_same(one, two):
    """Two values are equal to the last bit, types of tables and arrays included."""
    if isinstance(one, pd.DataFrame):
        pd.testing.assert_frame_equal(one, two, check_exact=True)
    elif isinstance(one, np.ndarray):
        assert (one.dtype, one.shape) == (two.dtype, two.shape)
        assert one.tobytes() == two.tobytes()
    elif isinstance(one, Plane):
        assert one.as_dict() == two.as_dict()
    elif dataclasses.is_dataclass(one):
        for field in dataclasses.fields(one):
            assert_same(getattr(one, field.name), getattr(two, field.name))
    elif isinstance(one, tuple):
        assert len(one) == len(two)
        for a, b in zip(one, two, strict=True):
            assert_same(a, b)
    elif isinstance(one, float) and math.isnan(one):
        assert math.isnan(two)
    else:
        assert one == two
