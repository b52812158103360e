"""Regions, ends, sides and stretches of a face, each judged by itself and against each other."""

import dataclasses

import numpy as np
import pytest
from simulated_faces import SQUARE_INCH, Process, laid_points, reading_of

from scrapeview.judge import JudgedPrint, judge_face
from scrapeview.judge.verdict.parts import ground_of, part, whole
from scrapeview.targets import Target

SIZE_MM = (150.0, 70.0)
EVEN = Process("even", 5.4, radius_mm=(1.2, 1.9))
LOWER = Target(
    name="lower", ppsi_least=8, contact_least_percent=8, contact_most_percent=60,
    balance_most_percent=30,
)  # fmt: skip


def laid(seed=1, size_mm=SIZE_MM, keep=None):
    """Points of an even face; `keep` says by x and y of which share stays."""
    rng = np.random.default_rng(seed)
    points = laid_points(EVEN, size_mm, rng)
    if keep is None:
        return points
    return points[rng.random(len(points)) < keep(points[:, 0], points[:, 1])]


def twice(points, size_mm=SIZE_MM, placement="", first_id=1, number=2, **kwargs):
    """Two equal prints of one pass."""
    rng = np.random.default_rng(0)
    reading = reading_of(points, size_mm, rng, errors=False, **kwargs)
    return [JudgedPrint(number, first_id + i, placement, reading) for i in range(2)]


def box(x0, y0, x1, y1):
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=float)


RAILS = (box(0, 0, 150, 30), box(0, 40, 150, 70))


def bare_right_end(x, _):
    return np.where(x > 100, 0.1, 1.0)


def sparse_right_end(x, _):
    return np.where(x > 100, 0.25, 1.0)


def test_parts_add_up_to_the_whole():
    ground = ground_of(twice(laid())[0].reading)
    all_of_it = whole(ground)
    halves = [
        part(ground, (-np.inf, -np.inf, 61.3, np.inf)),
        part(ground, (61.3, -np.inf, np.inf, np.inf)),
    ]
    assert sum(len(one.points) for one in halves) == len(all_of_it.points)
    assert sum(one.area_mm2 for one in halves) == pytest.approx(all_of_it.area_mm2)
    held = sum(one.contact_percent * one.area_mm2 for one in halves) / all_of_it.area_mm2
    assert held == pytest.approx(all_of_it.contact_percent)
    assert all_of_it.contact_percent == pytest.approx(ground.reading.contact_percent, rel=1e-3)
    found, known = all_of_it.ppsi_bounds(0.05), ground.reading.ppsi_interval
    assert (found.low, found.high) == pytest.approx((known.low, known.high), rel=1e-3)


def test_a_zone_holds_its_own_points_by_their_middle():
    points = np.array([(20, 20, 1.5), (75, 35, 1.5), (140, 60, 1.5), (149, 3, 1.5)])
    verdict = judge_face(twice(points), LOWER)
    counts = {zone.name: zone.points for zone in verdict.zones}
    assert counts == {
        "left end": 1, "middle": 1, "right end": 2, "top side": 2, "bottom side": 2,
    }  # fmt: skip
    left = verdict.zones[0]
    assert left.area_mm2 == pytest.approx(50 * 70, rel=0.02)
    assert left.points_per_square_inch == pytest.approx(SQUARE_INCH / 3500, rel=0.02)
    # a disc of 1.5 mm is 64 pixels
    assert left.contact_percent == pytest.approx(100 * np.pi * 1.5**2 / 3500, rel=0.08)


def test_each_rail_must_clear_the_target_itself():
    points = laid(keep=lambda _, y: np.where(y > 35, 0.45, 1.0))
    verdict = judge_face(
        twice(points, outlines_mm=RAILS), dataclasses.replace(LOWER, ppsi_least=14)
    )
    assert verdict.outcome == "keep scraping"
    of_rails = {c.zone: c.stands for c in verdict.criteria if c.name == "ppsi_least"}
    assert of_rails["region 1"] == "clears"
    assert of_rails["region 2"] == "falls short"
    assert "region 2" in [one.zone for one in verdict.decided_by]


def test_a_rail_that_is_open_leaves_the_face_open():
    points = laid(keep=lambda _, y: np.where(y > 35, 0.75, 1.0))
    prints = twice(points, outlines_mm=RAILS)
    second = next(z for z in judge_face(prints, LOWER).zones if z.name == "region 2")
    verdict = judge_face(
        prints, dataclasses.replace(LOWER, ppsi_least=second.points_per_square_inch - 0.1)
    )
    assert verdict.outcome == "nearly"
    assert [one.zone for one in verdict.decided_by] == ["region 2"]


def test_rails_are_weighed_against_each_other_in_place_of_the_sides():
    points = laid(keep=lambda _, y: np.where(y > 35, 0.4, 1.0))
    verdict = judge_face(twice(points, outlines_mm=RAILS), LOWER)
    kinds = {(b.kind, b.first, b.second) for b in verdict.balances}
    assert kinds == {
        ("rail to rail", "region 1", "region 2"),
        ("end to end", "left end", "right end"),
        ("centre against ends", "middle", "ends"),
    }
    rails = {b.figure: b for b in verdict.balances if b.kind == "rail to rail"}
    # 1 and 0.4 differ by 0.6 of their mean of 0.7
    assert rails["points"].difference_percent == pytest.approx(86, abs=12)
    assert rails["points"].stands == "falls short"
    (one,) = verdict.decided_by
    assert (one.name, one.zone) == ("balance_most_percent", "region 1 / region 2")
    assert verdict.outcome == "keep scraping"


def test_an_end_that_plainly_falls_short_keeps_a_face_from_being_done():
    verdict = judge_face(twice(laid(keep=bare_right_end)), Target(name="points", ppsi_least=7))
    assert verdict.outcome == "keep scraping"
    assert {one.zone for one in verdict.decided_by} == {"right end"}
    whole_face = next(c for c in verdict.criteria if c.name == "ppsi_least" and not c.zone)
    assert whole_face.stands == "clears"


def test_an_end_that_is_only_open_holds_nothing_up():
    prints = twice(laid())
    right = next(z for z in judge_face(prints, LOWER).zones if z.name == "right end")
    low = next(c.interval.low for c in judge_face(prints, LOWER).criteria if c.name == "ppsi_least")
    assert right.ppsi_interval.low < low - 0.1 < right.ppsi_interval.high
    verdict = judge_face(prints, Target(name="points", ppsi_least=low - 0.05))
    assert verdict.outcome == "done"


@pytest.mark.parametrize(
    ("allowed", "stands", "outcome"),
    [(140, "clears", "done"), (108, "open", "nearly"), (40, "falls short", "keep scraping")],
)
def test_ends_that_differ_are_out_of_balance(allowed, stands, outcome):
    target = dataclasses.replace(LOWER, ppsi_least=2, contact_least_percent=2)
    target = dataclasses.replace(target, balance_most_percent=allowed)
    verdict = judge_face(twice(laid(keep=sparse_right_end)), target)
    (one,) = [c for c in verdict.criteria if c.name == "balance_most_percent"]
    assert (one.stands, verdict.outcome) == (stands, outcome)
    assert one.zone == "left end / right end"


def test_merged_marks_are_weighed_by_contact_only():
    verdict = judge_face(twice(laid(), merged_percent=70.0), LOWER)
    assert {b.figure for b in verdict.balances} == {"contact"}


LEFT, RIGHT = box(0, 0, 90, 70), box(60, 0, 150, 70)


def stretches(left, right, number=2):
    return [
        *twice(left, outlines_mm=(LEFT,), placement="left", number=number),
        *twice(right, outlines_mm=(RIGHT,), placement="right", first_id=3, number=number),
    ]


def test_the_worst_stretch_decides():
    good, poor = laid(), laid(keep=lambda x, _: np.full(len(x), 0.3))
    target = Target(name="points", ppsi_least=12)
    assert judge_face(stretches(good, good), target).outcome == "done"
    verdict = judge_face(stretches(good, poor), target)
    assert verdict.outcome == "keep scraping"
    assert [one.zone for one in verdict.decided_by] == ["right"]
    assert {zone.name for zone in verdict.zones} >= {"left, middle", "right, left end"}


def test_a_stretch_printed_again_in_the_same_pass_is_judged_by_its_last_print():
    good, poor = laid(), laid(keep=lambda x, _: np.full(len(x), 0.3))
    prints = [*stretches(good, poor), *twice(good, outlines_mm=(RIGHT,), first_id=5)]
    assert judge_face(prints, Target(name="points", ppsi_least=12)).outcome == "done"


def test_a_stretch_the_last_pass_leaves_out_is_open():
    good = laid()
    prints = [*stretches(good, good, number=1), *stretches(good, good)[:2]]
    verdict = judge_face(prints, Target(name="points", ppsi_least=12))
    assert verdict.outcome == "nearly"
    (one,) = verdict.decided_by
    assert (one.name, one.why) == ("print", "part not printed")
    assert one.figure == pytest.approx(40, abs=1)


def test_stretches_of_one_placement_are_told_apart_by_their_prints():
    good = laid()
    prints = [dataclasses.replace(one, placement="") for one in stretches(good, good)]
    zones = {c.zone for c in judge_face(prints, LOWER).criteria}
    assert {"(print 2)", "(print 4)"} <= zones


def test_what_glare_took_is_no_part_of_a_zone():
    whole_face = twice(laid())[0].reading
    cells = whole_face.cells.copy()
    # glare has left half of every cell of the left third, and half of its contact with it
    left = cells["x_mm"] < 50
    cells.loc[left, "area_mm2"] /= 2
    glare = dataclasses.replace(
        whole_face, cells=cells, washed_out_percent=20.0,
        contact_mask=whole_face.contact_mask & _every_other_column(whole_face),
    )  # fmt: skip
    zones = [
        judge_face([JudgedPrint(1, 1, "", one)], LOWER).zones[0] for one in (whole_face, glare)
    ]
    assert zones[1].area_mm2 == pytest.approx(zones[0].area_mm2 / 2, rel=0.02)
    assert zones[1].contact_percent == pytest.approx(zones[0].contact_percent, rel=0.05)


def _every_other_column(reading):
    seen = np.ones(reading.contact_mask.shape, bool)
    seen[:, ::2] = False
    return seen


def test_a_face_too_small_for_parts_has_none():
    size_mm = (40.0, 30.0)
    points = laid(size_mm=size_mm)
    verdict = judge_face(twice(points, size_mm), LOWER)
    assert {zone.kind for zone in verdict.zones} == set()
    assert verdict.balances == ()
    assert "balance_most_percent" not in [one.name for one in verdict.criteria]


@pytest.mark.parametrize("cell_mm", [12.7, 50.0])
def test_the_worst_square_is_a_square_inch_whatever_the_cells_are(cell_mm):
    points = laid(keep=sparse_right_end)
    target = Target(name="square", ppsi_least=2, square_ppsi_least=1)
    inch, other = (
        next(
            one
            for one in judge_face(twice(points, cell_mm=side), target).criteria
            if one.name == "square_ppsi_least"
        )
        for side in (25.4, cell_mm)
    )
    assert other.figure == pytest.approx(inch.figure, rel=0.05)
