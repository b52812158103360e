"""Figures of regions add up to the whole."""

import numpy as np
import pandas as pd
import pytest

from scrapeview.bearing import measure_regions


def test_regions_of_a_drawn_face():
    regions = np.zeros((40, 90), np.int16)
    regions[5:35, 5:35], regions[5:35, 50:80] = 1, 2
    contact = np.zeros(regions.shape, bool)
    contact[5:20, 5:35], contact[5:35, 50:56] = True, True
    washed_out = np.zeros(regions.shape, bool)
    washed_out[5:35, 65:80] = True
    points = pd.DataFrame({"region": np.array([1, 1, 2], np.int16)})
    table = measure_regions(regions, washed_out, contact, points, (900.0, 900.0))
    assert table["region"].tolist() == [1, 2]
    assert table["area_mm2"].tolist() == pytest.approx([900, 450])
    assert table["contact_percent"].tolist() == pytest.approx([50, 40])
    assert table["points"].tolist() == [2, 1]
    assert table["points_per_square_inch"].tolist() == pytest.approx(
        [2 / 900 * 645.16, 1 / 450 * 645.16]
    )


def test_a_region_that_glare_has_emptied_is_all_zeros():
    regions = np.ones((10, 25), np.int16)
    all_of_it = np.ones(regions.shape, bool)
    points = pd.DataFrame({"region": np.array([], np.int16)})
    table = measure_regions(regions, all_of_it, ~all_of_it, points, (100.0,))
    assert (
        table.iloc[0][["area_mm2", "contact_percent", "points_per_square_inch"]].tolist() == [0] * 3
    )
