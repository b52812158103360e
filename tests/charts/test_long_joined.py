"""How a map was joined: photographs, seams and gaps where they are, and what is said of them."""

import numpy as np
import pytest
from long_record import CUTS, SMALL, joined_map

from scrapeview.charts import long_words as words
from scrapeview.charts.long_joined import (
    joined_strip,
    map_bounds_mm,
    photos_shown,
    reaches_mm,
    seam_hover,
)
from scrapeview.charts.long_picture import data_uri, face_picture
from scrapeview.face_reading import read_for_face
from scrapeview.record import FacePlan


@pytest.fixture(scope="module")
def joined():
    return joined_map()[0]


@pytest.mark.parametrize(("units", "per_unit"), [("metric", 1.0), ("inch", 25.4)])
def test_photographs_seam_and_gap_lie_where_they_are(joined, units, per_unit):
    drawn = joined_strip(joined, "data:image/jpeg;base64,", units)
    bars = next(trace for trace in drawn.data if trace.type == "bar")
    base, reach = np.array(bars.base) * per_unit, np.array(bars.x) * per_unit
    # cut from a photograph that shows 4 mm past either end of the face
    ends = np.array(CUTS) * (SMALL.size_mm[0] + 8) - 4
    assert base[1:] == pytest.approx(ends[1:, 0], abs=0.5)
    assert (base + reach)[:2] == pytest.approx(ends[:2, 1], abs=0.5)
    seam = next(trace for trace in drawn.data if trace.name == "seam")
    assert ends[1, 0] < seam.x[0] * per_unit < ends[0, 1]
    gap = next(trace for trace in drawn.data if trace.name == "gap")
    x = [at * per_unit for at in gap.x if at is not None]
    assert (min(x), max(x)) == pytest.approx((ends[1, 1], ends[2, 0]), abs=1)
    image = drawn.layout.images[0]
    bounds = map_bounds_mm(joined)
    assert (image.x * per_unit, image.sizex * per_unit) == pytest.approx(
        (bounds[0], bounds[2] - bounds[0])
    )


def test_what_is_said_of_it_begins_with_its_numbers(joined):
    said = words.joined_map_sentence(joined, "metric")
    assert said.startswith("3 photographs joined to one map, 0.04 mm off on average; 1 seam")
    assert "1 gap in the face" in said
    assert "0.002 in off" in words.joined_map_sentence(joined, "inch")
    table = photos_shown(joined, "inch")
    assert table["share of the map, %"].sum() == pytest.approx(100, abs=1)
    assert list(table["off, in"]) == [0.001, 0.002, 0.002]
    assert len(reaches_mm(joined)) == 3
    row = joined.seams.to_dict("records")[0] | {"apart_mm": float("nan")}
    assert "cannot be told" in seam_hover(row, "metric")


def test_the_face_as_photographed_is_grey_where_nobody_saw_it(joined):
    plan = FacePlan(name="way", width_mm=360, height_mm=48, marking="blue")
    reading = read_for_face(plan, joined.picture, joined.plane)
    wide = (0.0, 0.0, 400.0, 48.0)
    rgb = face_picture([reading], [joined.picture], wide, longest_px=800)
    assert rgb.shape == (96, 800, 3)
    assert (rgb[:, 730:] == 128).all()
    shown = rgb[10:86, 20:420].astype(int)
    # marking is blue and metal is grey: the picture holds both
    assert (shown[..., 2] - shown[..., 0]).max() > 50
    assert data_uri(rgb).startswith("data:image/jpeg;base64,/9j/")
