"""Layers as plain numbers: what is in them, where it lies, and that JSON can hold all of it."""

import json
from dataclasses import replace

import numpy as np
import pytest

from scrapeview.charts.layers import split_necks_mm
from scrapeview.charts.layers_data import layered, layers_of
from scrapeview.charts.picture import picture_of
from scrapeview.charts.plain_layer import contours_um, places_layer
from scrapeview.corrections import Correction
from scrapeview.plane.polygons import polygon_area


@pytest.fixture(scope="module")
def seen(printed, reading):
    """A reading with openings, splits and merged patches, and its face square-on."""
    shot, found = printed("touching", 5), reading("touching", 5)
    return found, picture_of(found, shot.jpeg)


def by_key(layers):
    return {layer["key"]: layer for layer in layers}


def test_all_of_it_survives_json(seen):
    told = layered(*seen)
    assert json.loads(json.dumps(told, allow_nan=False)) == told


def test_every_point_has_one_marker_and_its_numbers(seen):
    found, view = seen
    told = layered(found, view)
    markers = [
        at
        for layer in told["layers"]
        if layer["kind"] == "points" and layer["key"] != "by_hand"
        for at in layer["at"]
    ]
    assert sorted(markers) == list(range(len(found.points)))
    np.testing.assert_allclose(told["points"]["x_mm"], found.points["x_mm"], atol=5e-4)
    np.testing.assert_allclose(told["points"]["area_mm2"], found.points["area_mm2"], atol=5e-4)
    hollow = found.points["hollow"].to_numpy()
    assert ["hollow" in flags for flags in told["points"]["flags"]] == hollow.tolist()


def test_outlines_hold_the_contact(seen):
    found, view = seen
    layers = by_key(layered(found, view)["layers"])
    lines = layers["contact"]["lines_um"] + layers.get("merged", {"lines_um": []})["lines_um"]
    # lines run through the middles of border pixels, so they hold a little less
    areas = [polygon_area(np.array(line).reshape(-1, 2) / 1000) for line in lines]
    contact_mm2 = found.contact_mask.sum() / found.px_per_mm**2
    assert 0.6 * contact_mm2 < sum(areas) < 1.02 * contact_mm2


def test_a_contour_lies_where_its_mask_does():
    mask = np.zeros((40, 60), bool)
    mask[10:21, 20:41] = True
    (line,) = contours_um(mask, 4.0, (-3.0, 5.0))
    xy = np.array(line).reshape(-1, 2) / 1000
    assert xy.min(axis=0).tolist() == [-3 + 20 / 4, 5 + 10 / 4]
    assert xy.max(axis=0).tolist() == [-3 + 40 / 4, 5 + 20 / 4]


def test_cells_end_where_the_face_does(seen):
    found, view = seen
    cells = by_key(layered(found, view)["layers"])["cells"]
    xy = np.array(cells["lines_um"]).reshape(-1, 2) / 1000
    assert xy.min(axis=0).tolist() == [0, 0]
    np.testing.assert_allclose(xy.max(axis=0), found.regions_mm[0].max(axis=0), atol=1e-3)
    assert len(cells["lines_um"]) == len(found.cells)


def test_the_bare_circle_and_the_worst_square_are_the_readings_own(seen):
    found, view = seen
    layers = by_key(layered(found, view, "inch")["layers"])
    circle = np.array(layers["bare"]["lines_um"][0]).reshape(-1, 2) / 1000
    middle = found.bare_patch.x_mm, found.bare_patch.y_mm
    radii = np.linalg.norm(circle - middle, axis=1)
    np.testing.assert_allclose(radii, found.bare_patch.circle_mm / 2, atol=2e-3)
    assert layers["bare"]["label"].endswith(" in")
    corner = np.array(layers["worst"]["lines_um"][0][:2]) / 1000
    np.testing.assert_allclose(
        corner, [found.worst_square.x_mm, found.worst_square.y_mm], atol=1e-3
    )


def test_split_necks_lie_between_points_of_one_mark(seen):
    found, view = seen
    layers = by_key(layered(found, view)["layers"])
    necks = split_necks_mm(found)
    assert len(necks) > 0
    assert len(layers["splits"]["lines_um"]) == len(necks)
    assert layers["splits"]["label"].endswith(f"({len(necks)})")
    split = found.points[found.points["split"]][["x_mm", "y_mm"]].to_numpy()
    for middle in necks.mean(axis=1):
        nearest = np.sort(np.linalg.norm(split - middle, axis=1))[:2]
        assert nearest[1] < found.settings.largest_point_mm


def test_what_was_done_by_hand_is_a_layer_of_its_own(printed, read):
    shot = printed("touching", 5)
    corrections = (
        Correction("leave_out", ((5.0, 5.0), (25.0, 5.0), (25.0, 20.0))),
        Correction("remove", (tuple(read(shot).points[["x_mm", "y_mm"]].to_numpy()[-1]),)),
    )
    found = read(shot, corrections=corrections)
    layers = {layer.key: layer for layer in layers_of(found, picture_of(found, shot.jpeg))}
    assert layers["left_out"].lines_um == [[5000, 5000, 25000, 5000, 25000, 20000]]
    assert layers["left_out"].shape == "dashes"


def test_places_of_a_layer_survive_beside_the_others(seen):
    extra = places_layer("sample", "sample of marking (1)", [(3.0, 4.0)], (0, 158, 115), "square")
    told = layered(*seen, extra=(extra,))
    assert told["layers"][-1]["places"] == [(3.0, 4.0)]
    assert told["layers"][-1]["colour"] == "#009e73"


def test_no_two_layers_share_a_look(seen):
    looks = [
        (layer["colour"], layer["shape"], layer["cased"]) for layer in layered(*seen)["layers"]
    ]
    assert len(set(looks)) == len(looks)


def test_a_face_without_a_print_has_layers_too(printed, read):
    shot = printed("blank", 5)
    found = read(shot)
    assert not found.is_print
    keys = set(by_key(layered(found, picture_of(found, shot.jpeg))["layers"]))
    assert {"cells", "face"} <= keys
    assert "contact" not in keys


def test_unknown_film_is_told_as_none(seen):
    found, view = seen
    points = found.points.copy()
    points.loc[0, "film_share"] = np.nan
    assert layered(replace(found, points=points), view)["points"]["film_share"][0] is None
