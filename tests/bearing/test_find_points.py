"""The table of points of masks that are known in closed form."""

import numpy as np
import pytest

from scrapeview.bearing import find_points
from scrapeview.columns import columns_of


def test_an_isolated_disc_is_measured(drawn):
    points = drawn(px_per_mm=10.0).disc(22.3, 14.7, 1.9).found().points
    assert len(points) == 1
    point = points.iloc[0]
    assert (point["x_mm"], point["y_mm"]) == pytest.approx((22.3, 14.7), abs=0.03)
    assert point["area_mm2"] == pytest.approx(np.pi * 1.9**2, rel=0.01)
    assert point["diameter_mm"] == pytest.approx(3.8, rel=0.005)
    assert point["film_share"] == pytest.approx(1)
    assert not point[["edge", "hollow", "split", "merged", "glare", "faint"]].any()


@pytest.mark.parametrize("px_per_mm", [4.0, 5.5, 8.0, 16.0])
def test_answers_in_mm_do_not_depend_on_the_scale(drawn, px_per_mm):
    rng = np.random.default_rng(3)
    scene = drawn(px_per_mm=px_per_mm)
    centres = [(x, y) for x in np.arange(3, 60, 6.5) for y in np.arange(3, 40, 6.5)]
    radii = rng.uniform(0.9, 2.6, len(centres))
    for (x, y), radius in zip(centres, radii, strict=True):
        scene.disc(x, y, radius)
    points = scene.found().points
    assert len(points) == len(centres)
    assert points["area_mm2"].sum() == pytest.approx(np.pi * (radii**2).sum(), rel=0.01)
    ordered = points.sort_values(["x_mm", "y_mm"])
    assert ordered["x_mm"].to_numpy() == pytest.approx(np.array(centres)[:, 0], abs=1.5)


def test_marks_below_the_smallest_point_are_not_counted(drawn):
    scene = drawn(px_per_mm=12.0).disc(10, 10, 0.36).disc(20, 10, 0.45)
    found = scene.found(smallest_point_mm=0.8)
    assert found.points["x_mm"].tolist() == pytest.approx([20], abs=0.05)
    assert len(scene.found(smallest_point_mm=0.6).points) == 2
    assert len(scene.found(smallest_point_mm=1.0).points) == 0


def test_a_mark_larger_than_a_point_is_merged(drawn):
    scene = drawn().disc(15, 20, 5.4).disc(40, 20, 4.0)
    found = scene.found(largest_point_mm=10.0)
    assert found.points.set_index(found.points["x_mm"].round())["merged"].to_dict() == {
        15.0: True,
        40.0: False,
    }
    # closed form: share of the two discs' area
    assert found.merged_percent == pytest.approx(100 * 5.4**2 / (5.4**2 + 16), abs=0.5)


def test_thin_film_makes_a_point_faint(drawn):
    scene = drawn().disc(10, 10, 2).disc(20, 10, 2).disc(30, 10, 2)
    share = scene.marks * np.where(scene.x < 25, 1.0, 0.55)
    everywhere = np.ones_like(scene.marks)
    found = find_points(
        scene.marks, scene.face.astype(np.int16), everywhere, ~everywhere,
        share.astype(np.float32), scene.px_per_mm, scene.origin_mm,
        smallest_point_mm=0.8, largest_point_mm=10.0, neck_depth_mm=0.12,
    )  # fmt: skip
    assert found.points.sort_values("x_mm")["faint"].tolist() == [False, False, True]


def test_glare_beside_a_point_is_flagged_and_no_contact(drawn):
    scene = drawn().disc(10, 10, 2).disc(30, 10, 2)
    glare = scene.box(11, 0, 15, 20)
    scene.marks &= ~glare
    found = find_points(
        scene.marks, scene.face.astype(np.int16), np.ones_like(glare), glare,
        scene.marks.astype(np.float32), scene.px_per_mm, scene.origin_mm,
        smallest_point_mm=0.8, largest_point_mm=10.0, neck_depth_mm=0.12,
    )  # fmt: skip
    assert found.points.sort_values("x_mm")["glare"].tolist() == [True, False]
    assert not (found.contact & glare).any()


def test_labels_and_contact_belong_together(drawn):
    rng = np.random.default_rng(5)
    scene = drawn()
    for x, y in rng.uniform((0, 0), (60, 40), (50, 2)):
        scene.disc(x, y, rng.uniform(0.5, 2))
    found = scene.found()
    assert ((found.labels > 0) == found.contact).all()
    assert not (found.contact & ~scene.face).any()


def test_an_empty_face_gives_an_empty_typed_table(drawn):
    found = drawn().found()
    assert len(found.points) == 0
    assert found.merged_percent == 0
    expected = {column.name: np.dtype(column.dtype) for column in columns_of("points")}
    assert dict(found.points.dtypes) == expected


def test_points_carry_the_region_they_lie_in(drawn):
    scene = drawn().disc(10, 10, 2).disc(50, 10, 2).disc(31, 30, 3)
    regions = np.where(scene.x < 30, 1, 2) * scene.face
    points = scene.found(regions=regions).points.sort_values("x_mm")
    assert points["region"].tolist() == [1, 2, 2]


@pytest.mark.parametrize("middle", [14.9, 15.9])
def test_a_point_across_two_regions_belongs_to_its_centroid_s(drawn, middle):
    scene = drawn()
    along, across = (scene.x + scene.y - 35.4) / 2**0.5, (scene.y - scene.x - 4.6) / 2**0.5
    scene.marks |= (along / 3.4) ** 2 + (across / 1.6) ** 2 < 1
    regions = np.where(scene.x < middle, 1, 2) * scene.face
    points = scene.found(regions=regions).points
    assert points["x_mm"].tolist() == pytest.approx([15.4], abs=0.1)
    assert points["region"].tolist() == [1 if middle > 15.4 else 2]
