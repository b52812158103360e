"""A verdict does not depend on how a print lies, nor on the order anything comes in."""

import dataclasses

import numpy as np
import pytest
from simulated_faces import PROCESSES, laid_points, printed, reading_of

from scrapeview.charts.verdict_words import verdict_sentence
from scrapeview.judge import JudgedPrint, judge_face
from scrapeview.targets import Target

SIZE_MM = (96.0, 64.0)
PROCESS = PROCESSES[1]
TARGETS = tuple(
    Target(
        name="by share",
        ppsi_least=share * PROCESS.ppsi,
        contact_least_percent=share * PROCESS.contact_percent,
        square_ppsi_least=4,
        bare_circle_most_mm=25,
        spread_most_percent=90,
        balance_most_percent=150,
    )
    for share in (0.5, 0.98, 1.6)
)
OUTCOMES = ("done", "nearly", "keep scraping")
SWAPPED = {
    "left end": "right end", "right end": "left end", "top side": "bottom side",
    "bottom side": "top side", "middle": "middle",
}  # fmt: skip


@pytest.fixture(scope="module")
def shown():
    """x, y and radius of what two prints of one face show."""
    rng = np.random.default_rng(5)
    points = laid_points(PROCESS, SIZE_MM, rng)
    return [printed(points, rng) for _ in range(2)]


def prints_of(shown, **kwargs):
    rng = np.random.default_rng(0)
    return [
        JudgedPrint(2, i, "", reading_of(points, SIZE_MM, rng, errors=False, **kwargs))
        for i, points in enumerate(shown, 1)
    ]


@pytest.fixture(scope="module")
def prints(shown):
    return prints_of(shown)


def turned(points):
    """Half a turn."""
    found = points.copy()
    found[:, :2] = np.array(SIZE_MM) - points[:, :2]
    return found


def test_the_targets_lead_to_three_outcomes(prints):
    assert tuple(judge_face(prints, target).outcome for target in TARGETS) == OUTCOMES


@pytest.mark.parametrize("target", TARGETS, ids=OUTCOMES)
def test_rows_and_prints_may_come_in_any_order(prints, target):
    rng = np.random.default_rng(1)
    shuffled = []
    for one in prints[::-1]:
        tables = {
            name: getattr(one.reading, name).sample(frac=1, random_state=rng)
            for name in ("points", "cells", "regions")
        }
        reading = dataclasses.replace(one.reading, **tables)
        shuffled.append(dataclasses.replace(one, reading=reading))
    # written out, as what is no number equals nothing
    assert repr(judge_face(shuffled, target)) == repr(judge_face(prints, target))


@pytest.mark.parametrize("target", TARGETS, ids=OUTCOMES)
def test_half_a_turn_swaps_the_ends_and_nothing_else(shown, prints, target):
    one = judge_face(prints, target)
    two = judge_face(prints_of([turned(points) for points in shown]), target)
    assert two.outcome == one.outcome
    zones = {zone.name: zone for zone in two.zones}
    for zone in one.zones:
        other = zones[SWAPPED[zone.name]]
        assert other.points == zone.points
        assert other.contact_percent == pytest.approx(zone.contact_percent, rel=0.02)
        assert other.area_mm2 == pytest.approx(zone.area_mm2, rel=0.02)


@pytest.mark.parametrize("target", TARGETS, ids=OUTCOMES)
def test_a_mirror_swaps_the_ends_and_nothing_else(shown, prints, target):
    mirrored = [np.column_stack((SIZE_MM[0] - p[:, 0], p[:, 1:])) for p in shown]
    one, two = judge_face(prints, target), judge_face(prints_of(mirrored), target)
    assert two.outcome == one.outcome
    ends = {b.figure: b.difference_percent for b in one.balances if b.kind == "end to end"}
    other = {b.figure: b.difference_percent for b in two.balances if b.kind == "end to end"}
    assert other["points"] == pytest.approx(-ends["points"])
    assert other["contact"] == pytest.approx(-ends["contact"], abs=2)


@pytest.mark.parametrize("target", TARGETS, ids=OUTCOMES)
def test_squares_of_25_mm_give_the_same_outcome(shown, prints, target):
    assert (
        judge_face(prints_of(shown, cell_mm=25.0), target).outcome
        == judge_face(prints, target).outcome
    )


def test_the_sentence_keeps_its_meaning_in_other_units(prints):
    verdict = judge_face(prints, TARGETS[2])
    inch, metric = (verdict_sentence(verdict, units) for units in ("inch", "metric"))
    high = next(c for c in verdict.criteria if c.name == "ppsi_least").interval.high
    assert inch.startswith(f"{high:.1f} points per in2 ")
    assert metric.startswith(f"{high / 1.032256:.1f} points per 25 mm square ")
    assert inch.split("what", 1)[1].split(":")[0] == metric.split("what", 1)[1].split(":")[0]


def test_a_face_standing_on_end_has_its_ends_at_top_and_bottom(shown):
    points = [np.column_stack((p[:, 1], p[:, 0], p[:, 2])) for p in shown]
    rng = np.random.default_rng(0)
    upright = [
        JudgedPrint(2, i, "", reading_of(p, SIZE_MM[::-1], rng, errors=False))
        for i, p in enumerate(points, 1)
    ]
    verdict = judge_face(upright, TARGETS[0])
    assert [zone.name for zone in verdict.zones] == [
        "top end", "middle", "bottom end", "left side", "right side",
    ]  # fmt: skip
    assert verdict.outcome == "done"
