"""Areas, openings, regions and cells of readings: parts add up, and mm stay mm."""

import numpy as np
import pytest

from scrapeview import Plane, Settings

SEED = 2


def edge_doubt_mm2(found):
    """Area of half a pixel all along outline and openings: as exact as pixels can be."""
    polygons = (*found.regions_mm, *found.openings_mm)
    around = sum(np.linalg.norm(p - np.roll(p, 1, axis=0), axis=1).sum() for p in polygons)
    return 0.5 * around / found.px_per_mm


@pytest.mark.parametrize("scene", ["plain", "slots", "disc", "rails"])
def test_area_is_exact_whatever_is_taken_out(scene, printed, reading):
    # the truth sums exact pixel shares at 0.05 mm; polygons stand for circles of the same area
    assert reading(scene, SEED).area_mm2 == pytest.approx(
        printed(scene, SEED).truth.area_mm2, rel=1e-3
    )


def test_an_opening_takes_its_area_and_its_points_out(printed, read, reading):
    shot, before = printed("touching", SEED), reading("touching", SEED)
    box = np.array([(20.3, 11.7), (61.2, 11.7), (61.2, 40.9), (20.3, 40.9)])
    after = read(shot, openings_mm=[box])
    taken = (61.2 - 20.3) * (40.9 - 11.7)
    assert after.area_mm2 == pytest.approx(before.area_mm2 - taken, rel=1e-9)
    xy = after.points[["x_mm", "y_mm"]].to_numpy()
    whole = before.points[["x_mm", "y_mm"]].to_numpy()
    within = ((whole > box[0]) & (whole < box[2])).all(axis=1)
    assert not ((xy > box[0]) & (xy < box[2])).all(axis=1).any()
    assert len(xy) == pytest.approx(len(whole) - within.sum(), abs=2)
    px = [Plane.from_corners(shot.corners_px, size_mm=shot.size_mm).to_px(box)]
    same = read(shot, openings_mm=(), openings_px=px)
    assert same.area_mm2 == pytest.approx(after.area_mm2, rel=1e-6)
    assert len(same.points) == len(after.points)


@pytest.mark.parametrize("scene", ["rails", "disc", "slots"])
def test_regions_add_up_to_the_whole(scene, printed, reading):
    found = reading(scene, SEED)
    regions = found.regions
    assert len(regions) == len(printed(scene, SEED).outline_px)
    assert regions["area_mm2"].sum() == pytest.approx(found.area_mm2, rel=1e-6)
    assert regions["points"].sum() == len(found.points)
    held = (regions["contact_percent"] * regions["area_mm2"]).sum() / regions["area_mm2"].sum()
    assert held == pytest.approx(found.contact_percent, abs=0.05)
    for row in regions.itertuples():
        assert row.points == (found.points["region"] == row.region).sum()
        assert row.points_per_square_inch == pytest.approx(row.points / row.area_mm2 * 645.16)


@pytest.mark.parametrize("scene", ["rails", "disc", "slots", "glare"])
def test_cells_add_up_to_the_whole(scene, reading):
    found = reading(scene, SEED)
    cells = found.cells
    assert cells["points"].sum() == len(found.points)
    assert cells["area_mm2"].sum() == pytest.approx(found.area_mm2, abs=edge_doubt_mm2(found))
    held = (cells["contact_percent"] * cells["area_mm2"]).sum() / cells["area_mm2"].sum()
    assert held == pytest.approx(found.contact_percent, abs=1e-6)
    assert (cells["area_mm2"] <= 25.4**2 * 1.01).all()


@pytest.mark.parametrize("scene", ["plain", "coarse", "slots", "merged"])
def test_the_worst_square_is_no_better_than_the_worst_whole_cell(scene, printed, read):
    # 25 mm cells start on whole millimetres, as the sliding squares do
    found = read(printed(scene, SEED), settings=Settings(cell_mm=25.0))
    enough = 0.999 * 625
    whole = found.cells[found.cells["area_mm2"] >= enough]
    if len(whole):
        assert (
            found.worst_square.points_per_square_inch
            <= whole["points_per_square_inch"].min() + 1e-6
        )
        assert (
            found.best_square.points_per_square_inch >= whole["points_per_square_inch"].max() - 1e-6
        )
    assert found.worst_square.side_mm == 25.0


def test_metric_and_inch_figures_are_one_figure(reading):
    found = reading("plain", SEED)
    assert found.points_per_square_inch == pytest.approx(1.032256 * found.points_per_25mm_square)
    assert found.ppsi_interval.high == pytest.approx(1.032256 * found.p25_interval.high)


def test_two_halves_of_a_face_count_what_the_whole_counts(printed, read, reading):
    shot, whole = printed("touching", SEED), reading("touching", SEED)
    plane = Plane.from_corners(shot.corners_px, size_mm=shot.size_mm)
    w, h = shot.size_mm
    halves = [
        plane.to_px(np.array([(x0, 0), (x1, 0), (x1, h), (x0, h)]))
        for x0, x1 in ((0, 47.3), (47.3, w))
    ]
    both = read(shot, outline_px=halves)
    assert len(both.points) == len(whole.points)
    assert both.contact_percent == pytest.approx(whole.contact_percent, abs=0.05)
    alone = [read(shot, outline_px=[half]) for half in halves]
    # each half finds its own metal and film: a point of thin film may come, go or fall to pieces
    assert sum(len(one.points) for one in alone) == pytest.approx(len(whole.points), rel=0.025)
    assert sum(one.area_mm2 for one in alone) == pytest.approx(whole.area_mm2, rel=1e-6)


def test_a_finer_view_gives_the_same_answer_in_mm(printed, read):
    shot = printed("plain", SEED)
    coarse, fine = (read(shot, settings=Settings(view_px_per_mm=s)) for s in (4.0, 8.0))
    assert fine.px_per_mm == pytest.approx(2 * coarse.px_per_mm, rel=0.05)
    assert fine.points_per_square_inch == pytest.approx(coarse.points_per_square_inch, rel=0.02)
    assert fine.contact_percent == pytest.approx(coarse.contact_percent, abs=0.5)
    assert fine.bare_patch.circle_mm == pytest.approx(coarse.bare_patch.circle_mm, abs=1.0)


def test_the_mask_is_the_contact(reading):
    found = reading("slots", SEED)
    held = found.contact_mask.sum() / found.px_per_mm**2
    doubt = edge_doubt_mm2(found) / found.area_mm2
    assert 100 * held / found.area_mm2 == pytest.approx(found.contact_percent, rel=doubt)


def test_the_bare_circle_is_bare(reading):
    found = reading("plain", SEED)
    patch = found.bare_patch
    y, x = np.indices(found.contact_mask.shape)
    away = np.hypot(
        x / found.px_per_mm + found.origin_mm[0] - patch.x_mm,
        y / found.px_per_mm + found.origin_mm[1] - patch.y_mm,
    )
    assert not found.contact_mask[away < patch.circle_mm / 2 - 0.4].any()
    assert 0 < patch.x_mm < 110
    assert 0 < patch.y_mm < 70


def test_smaller_points_are_left_out_when_asked(printed, read, reading):
    larger = read(printed("plain", SEED), settings=Settings(smallest_point_mm=3.2))
    kept = reading("plain", SEED).points["diameter_mm"] >= 3.2
    assert len(larger.points) == pytest.approx(kept.sum(), abs=0.1 * kept.sum())
    assert len(larger.points) < len(kept)


def test_the_same_photo_gives_the_same_reading(printed, read, reading):
    again, before = read(printed("touching", SEED)), reading("touching", SEED)
    assert again.points.equals(before.points)
    assert (again.contact_mask == before.contact_mask).all()
    assert again.photo_sha256 == before.photo_sha256
    assert again.contact_interval == before.contact_interval
