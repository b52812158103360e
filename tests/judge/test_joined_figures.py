"""A face from its placements: every place by those that covered it, every point once."""

from dataclasses import replace

import numpy as np
import pytest
from simulated_long_faces import box, reading_of_contact

from scrapeview.columns import columns_of, table
from scrapeview.errors import ReadingError
from scrapeview.judge.compare.laid import lay, merged
from scrapeview.judge.inline import joined_figures
from scrapeview.judge.inline.estimates import PlacedPrint
from scrapeview.judge.verdict.stretches import JudgedPrint
from scrapeview.placements import Placement
from scrapeview.simulate.fields import grid_over

SIZE_MM = (300.0, 60.0)
GRID = grid_over(SIZE_MM, 0.0, 4.0)
A, B = (0.0, 200.0), (100.0, 300.0)


def points_at(places):
    values = {column.name: np.zeros(len(places)) for column in columns_of("points")}
    values["x_mm"], values["y_mm"] = np.array(places, dtype=float).T
    return table("points", values)


def printed(contact, span, name, places=(), *, print_id=1, side=""):
    x0, x1 = span
    here = np.zeros(GRID.shape, bool)
    here[:, int(x0 * 4) : int(x1 * 4)] = True
    reading = reading_of_contact(
        contact & here, GRID, [box(x0, 0, x1, SIZE_MM[1])],
        points_at(places) if len(places) else None,
    )  # fmt: skip
    place = Placement(name=name, start_mm=x0, length_mm=x1 - x0, side=side)
    return PlacedPrint(JudgedPrint(2, print_id, name, reading), place)


def coins(seed, share, spot_px=8):
    rng = np.random.default_rng(seed)
    spots = rng.random([n // spot_px for n in GRID.shape]) < share
    return np.kron(spots, np.ones((spot_px, spot_px), bool))


def lattice(span, pitch_mm=10.0):
    x = np.arange(span[0] + pitch_mm / 2, span[1], pitch_mm)
    return [(a, b) for a in x for b in np.arange(pitch_mm / 2, SIZE_MM[1], pitch_mm)]


def test_the_mean_of_the_placements_where_a_union_reads_too_much():
    """Two prints of 30 and 40 % that know nothing of each other: 35 % by the mean, 58 by union."""
    one, two = printed(coins(1, 0.3), A, "A"), printed(coins(2, 0.4), B, "B", print_id=2)
    joined = joined_figures([one, two])
    in_both = joined.covered == 2
    mean = 100 * joined.contact[in_both].mean()
    union = merged([lay(p.printed.reading, joined.grid) for p in (one, two)])
    assert mean == pytest.approx(35, abs=2)
    assert 100 * union.contact[in_both].mean() == pytest.approx(100 * (1 - 0.7 * 0.6), abs=2.5)
    assert joined.whole.contact_percent == pytest.approx((30 + 35 + 40) / 3, abs=1.5)
    interval = joined.whole.contact_interval
    assert interval.low < 35 < interval.high


def test_a_point_in_an_overlap_counts_once():
    """One point in every square centimetre: 6.4516 in a square inch, whoever shows it."""
    one = printed(coins(1, 0.3), A, "A", lattice(A))
    two = printed(coins(1, 0.3), B, "B", lattice(B), print_id=2)
    joined = joined_figures([one, two])
    assert joined.whole.area_mm2 == pytest.approx(300 * 60, rel=1e-3)
    assert joined.whole.points_per_square_inch == pytest.approx(6.4516, rel=1e-3)
    assert joined.whole.points_per_25mm_square == pytest.approx(6.25, rel=1e-3)
    interval = joined.whole.ppsi_interval
    assert interval.low < 6.4516 < interval.high
    for stretch in joined.stretches:
        assert stretch.points_per_square_inch == pytest.approx(6.4516, rel=1e-3)


def test_a_point_that_one_of_two_placements_shows_counts_half():
    there = (150.0, 31.0)
    one, two = printed(coins(1, 0.3), A, "A", [there]), printed(coins(1, 0.3), B, "B", print_id=2)
    joined = joined_figures([one, two])
    assert joined.whole.points_per_square_inch * joined.whole.area_mm2 / 645.16 == pytest.approx(
        0.5
    )


def test_stretches_part_the_face_in_the_middle_of_overlaps():
    joined = joined_figures([
        printed(coins(2, 0.5), B, "B", print_id=2), printed(coins(1, 0.2), A, "A")
    ])  # fmt: skip
    spans = [(one.name, one.from_mm, one.to_mm) for one in joined.stretches]
    assert spans == [("A", 0.0, 150.0), ("B", 150.0, 300.0)]
    assert sum(one.area_mm2 for one in joined.stretches) == pytest.approx(
        joined.whole.area_mm2, rel=1e-6
    )
    # a third of each stretch is covered by both
    assert joined.stretches[0].contact_percent == pytest.approx(2 / 3 * 20 + 35 / 3, abs=2.5)
    assert joined.stretches[1].contact_percent == pytest.approx(2 / 3 * 50 + 35 / 3, abs=2.5)


def test_the_map_tells_how_many_placements_covered_a_place():
    joined = joined_figures(
        [
            printed(coins(1, 0.2), (0.0, 120.0), "A"),
            printed(coins(2, 0.5), (200.0, 300.0), "B", print_id=2),
        ]
    )
    x, _ = joined.grid.to_mm(np.array([[c, 0] for c in range(joined.grid.shape[1])])).T
    along = joined.covered.max(axis=0)
    assert along[x < 119].min() == along[x > 201].min() == 1
    assert along[(x > 121) & (x < 199)].max() == 0
    assert np.isnan(joined.contact[~joined.known]).all()
    assert np.isfinite(joined.contact[joined.known]).all()
    assert joined.whole.area_mm2 == pytest.approx(220 * 60, rel=0.01)


def test_the_last_print_of_a_stretch_counts():
    old, new = printed(coins(1, 0.1), A, "A"), printed(coins(3, 0.6), A, "A", print_id=5)
    joined = joined_figures([new, old])
    assert joined.whole.contact_percent == pytest.approx(60, abs=3)
    assert len(joined.stretches) == 1


def test_a_later_print_of_a_part_leaves_what_the_earlier_one_alone_shows():
    whole, part = coins(1, 0.2), coins(3, 0.6)
    prints = [printed(whole, A, "A"), printed(whole, B, "B", print_id=2)]
    joined = joined_figures([*prints, printed(part, (120.0, 180.0), "A again", print_id=5)])
    assert joined.whole.area_mm2 == pytest.approx(300 * 60, rel=0.01)
    assert joined.covered.max() == 3
    assert [one.name for one in joined.stretches] == ["A", "B"]
    assert joined.whole.contact_percent == pytest.approx(20 + (60 - 20) / 3 / 5, abs=3)


@pytest.mark.parametrize("parts", [(A,), (A, B)])
def test_later_prints_of_the_parts_together_take_the_place_of_the_whole(parts):
    old = printed(coins(1, 0.1), (0.0, 300.0), "whole")
    later = [
        printed(coins(3, 0.6), span, name, print_id=5 + i)
        for i, (span, name) in enumerate(zip(parts, "AB", strict=False))
    ]
    joined = joined_figures([old, *later])
    assert joined.whole.area_mm2 == pytest.approx(300 * 60, rel=0.01)
    names = ["whole"] if len(parts) == 1 else ["A", "B"]
    assert [one.name for one in joined.stretches] == names


def test_a_photograph_without_a_print_is_not_taken_as_bare():
    left, right = printed(coins(1, 0.4), A, "A"), printed(coins(1, 0.0), B, "B", print_id=2)
    blank = replace(right.printed, reading=replace(right.printed.reading, is_print=False))
    joined = joined_figures([left, replace(right, printed=blank)])
    assert joined.whole.contact_percent == pytest.approx(
        joined_figures([left]).whole.contact_percent
    )
    assert joined.whole.to_mm == A[1]
    alone = joined_figures([replace(right, printed=blank)])
    assert alone.whole.contact_percent == 0


def test_nothing_to_join_is_refused():
    with pytest.raises(ReadingError, match="keep a print"):
        joined_figures([])
