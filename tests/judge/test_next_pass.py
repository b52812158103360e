"""What to take next: the order holds whatever the print, and low places are left alone."""

import dataclasses

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from known_prints import SIZE_MM, print_of, spread_points, strewn_points

from scrapeview.bearing import Interval
from scrapeview.columns import columns_of
from scrapeview.judge.next.next_pass import MOST_TAKEN, meets, next_pass
from scrapeview.judge.next.to_take import SPARSE_SHARE, ranking
from scrapeview.targets import NO_TARGET, Target

TARGET = Target(
    name="t", ppsi_least=40, contact_least_percent=10, contact_most_percent=60,
    bare_circle_most_mm=14,
)  # fmt: skip
EASY = Target(name="easy", ppsi_least=5, contact_least_percent=5)


def flagged(reading, **flags):
    """The reading with flags set for the rows that are named."""
    points = reading.points.copy()
    for name, rows in flags.items():
        points.loc[list(rows), name] = True
    return dataclasses.replace(reading, points=points)


def row_of(advice, row):
    return advice.points[advice.points["number"] == row + 1].iloc[0]


def by_place(advice):
    keyed = advice.points.set_index(["x_mm", "y_mm"]).drop(columns="number")
    return keyed.sort_index()


@pytest.fixture(scope="module")
def plain(base):
    return print_of(base, spread_points(3))


def test_the_table_has_its_columns_and_every_point_once(plain):
    points = next_pass(plain, TARGET).points
    assert dict(points.dtypes) == {c.name: np.dtype(c.dtype) for c in columns_of("to_take")} or {
        c.name for c in columns_of("to_take")
    } == set(points.columns)
    assert sorted(points["number"]) == list(range(1, len(plain.points) + 1))
    assert set(points["what"]) <= {"take", "later", "leave", ""}
    ranked = points[points["rank"] > 0]
    assert list(ranked["rank"]) == list(range(1, len(ranked) + 1))
    assert set(ranked["what"]) <= {"take", "later"}
    assert not set(points[points["rank"] == 0]["what"]) & {"take", "later"}
    place = plain.points.iloc[points["number"] - 1]
    assert (place["x_mm"].to_numpy() == points["x_mm"].to_numpy()).all()


def test_hollow_goes_first_then_large_then_crowded_then_the_rest(base):
    spots = strewn_points(5, count=150)
    corner = np.column_stack((strewn_points(6, 120, 2.2, (0.6, 0.7), (24, 30)),))
    spots = np.vstack((spots, corner))
    spots[:4, 2] = (3.4, 3.9, 3.6, 3.2)
    reading = flagged(print_of(base, spots), hollow=[7], merged=[9])
    ranked = next_pass(reading, dataclasses.replace(TARGET, ppsi_least=30)).points
    ranked = ranked[ranked["rank"] > 0].sort_values("rank")
    kinds = list(dict.fromkeys(ranked["why"].replace({"merged": "large"})))
    assert kinds == ["hollow", "large", "crowded", "largest"]
    sizes = ranked[ranked["why"].isin(["merged", "large"])]["diameter_mm"].to_numpy()
    assert (np.diff(sizes) <= 1e-9).all()


def test_where_too_little_bears_everything_is_left(base):
    """One half bears twenty times what the other does; in the poor half nothing may be taken."""
    dense = spread_points(3, spacing_mm=4.0)
    dense = dense[dense[:, 0] < 46]
    lone = np.array([[80.0, 20.0, 3.0], [84.0, 44.0, 2.0]])
    reading = flagged(print_of(base, np.vstack((dense, lone))), hollow=[len(dense)])
    advice = next_pass(reading, TARGET)
    assert row_of(advice, len(dense))["why"] == "hollow, sparse"
    assert row_of(advice, len(dense) + 1)["why"] == "sparse"
    assert row_of(advice, len(dense))["what"] == "leave"
    right, y = (SIZE_MM[0] - 10.0, SIZE_MM[1] / 2)
    assert advice.grid.holds(advice.leave, np.array([[right, y]]))[0]
    assert not advice.grid.holds(advice.leave, np.array([[15.0, y]]))[0]
    assert len(advice.sparse) == 1
    assert advice.sparse["x_mm"][0] > 50
    assert len(advice.bare) >= 1


def test_a_hole_among_the_points_is_bare_and_named(base):
    spots = spread_points(3)
    away = np.hypot(spots[:, 0] - 48, spots[:, 1] - 32)
    advice = next_pass(print_of(base, spots[away > 12]), TARGET)
    assert len(advice.bare) == 1
    assert advice.bare["x_mm"][0] == pytest.approx(48, abs=3)
    assert advice.bare["y_mm"][0] == pytest.approx(32, abs=3)
    assert advice.bare["across_mm"][0] > 20
    assert len(next_pass(print_of(base, spots), TARGET).bare) == 0


def test_nothing_is_taken_of_a_face_that_is_done(plain):
    plain = dataclasses.replace(
        plain, contact_interval=Interval(10.0, 14.0), ppsi_interval=Interval(20.0, 28.0)
    )
    assert meets(plain, EASY)
    cases = (("enough", next_pass(plain, EASY)), ("done", next_pass(plain, TARGET, done=True)))
    for halt, advice in cases:
        assert advice.halt == halt
        assert set(advice.points["what"]) == {"leave"}
        assert (advice.points["rank"] == 0).all()
        assert advice.stage is None
        assert advice.stroke is None


def test_a_face_without_target_is_never_called_done(plain):
    assert not meets(plain, NO_TARGET)
    assert next_pass(plain, NO_TARGET).halt == ""


def test_heavy_film_is_printed_again_first(plain):
    heavy = dataclasses.replace(
        plain, heaviness=dataclasses.replace(plain.heaviness, haze_percent=60.0)
    )
    advice = next_pass(heavy, TARGET)
    assert advice.halt == "heavy film"
    assert advice.to_take.empty


def test_a_face_without_a_print_gives_an_empty_table(reading):
    advice = next_pass(reading("blank", 2), TARGET)
    assert advice.halt == "no print"
    assert advice.points.empty
    assert {c.name for c in columns_of("to_take")} == set(advice.points.columns)
    assert not advice.leave.any()


def test_where_a_square_inch_bears_what_is_asked_its_points_stay(base):
    """The left half has what is asked, the right half half of it with points twice as large."""
    left, right = spread_points(3, 3.6, (0.8, 0.9)), spread_points(4, 6.0, (1.9, 2.0))
    spots = np.vstack((left[left[:, 0] < 46], right[right[:, 0] > 50]))
    target = dataclasses.replace(TARGET, ppsi_least=40)
    points = next_pass(print_of(base, spots), target).points
    well_left, well_right = points["x_mm"] < 30, points["x_mm"] > 66
    assert set(points[well_left]["what"]) <= {"leave"}
    assert (points[well_right]["why"] == "large").all()


def test_a_pass_takes_no_more_than_its_share_here_or_anywhere(base):
    spots = spread_points(3, 6.0, (2.1, 2.3))
    advice = next_pass(print_of(base, spots), Target(name="t", ppsi_least=21))
    assert advice.stage.name == "finish"
    share = MOST_TAKEN["finish"]
    taken = advice.to_take
    assert (taken["why"] == "largest").all()
    assert 0.15 * len(spots) < len(taken) <= np.ceil(share * len(spots))
    assert advice.most_percent == pytest.approx(100 * share)
    for x, y in taken[["x_mm", "y_mm"]].to_numpy():
        near = (np.abs(spots[:, :2] - (x, y)) <= 12.7).all(axis=1)
        beside = (np.abs(taken[["x_mm", "y_mm"]].to_numpy() - (x, y)) <= 12.7).all(axis=1)
        assert beside.sum() < near.sum()


def test_hollow_points_are_never_put_off(base):
    spots = spread_points(3, 6.0, (1.5, 1.7))
    rows = range(0, len(spots), 2)
    reading = flagged(print_of(base, spots), hollow=rows)
    taken = next_pass(reading, Target(name="t", ppsi_least=22)).to_take
    assert set(taken["number"] - 1) >= set(rows)


def test_cautions_are_told(plain):
    reading = flagged(plain, edge=[1], glare=[2], faint=[3], by_hand=[4])
    advice = next_pass(reading, TARGET)
    told = [row_of(advice, row)["caution"] for row in range(5)]
    assert told == ["", "edge", "glare", "faint", ""]
    assert len(advice.points) == len(plain.points)


def test_glare_is_not_taken_as_bare(base):
    spots = spread_points(3)
    lost = (spots[:, 0] > 40) & (spots[:, 0] < 70)
    reading = print_of(base, spots[~lost])
    h, w = reading.contact_mask.shape
    x = reading.origin_mm[0] + np.arange(w) / reading.px_per_mm
    washed = np.tile((x > 39) & (x < 71), (h, 1))
    assert len(next_pass(reading, TARGET).bare) == 1
    assert len(next_pass(reading, TARGET, washed_out=washed).bare) == 0


@pytest.mark.parametrize("seed", [1, 2])
def test_the_order_of_the_rows_does_not_matter(base, seed):
    reading = flagged(print_of(base, strewn_points(8)), hollow=[3, 30], merged=[5, 6], edge=[9])
    mixed = reading.points.sample(frac=1, random_state=seed).reset_index(drop=True)
    one = by_place(next_pass(reading, TARGET))
    two = by_place(next_pass(dataclasses.replace(reading, points=mixed), TARGET))
    pd.testing.assert_frame_equal(one, two)


def test_where_the_face_s_origin_lies_does_not_matter(base):
    spots = strewn_points(8)
    one = next_pass(print_of(base, spots), TARGET).points
    two = next_pass(
        print_of(base, spots, start_mm=(40.0, 20.0), moved_mm=(40.0, 20.0)), TARGET
    ).points
    for name in ("rank", "number", "what", "why"):
        assert list(one[name]) == list(two[name])


def test_cells_of_another_size_change_nothing(plain):
    metric = dataclasses.replace(plain, settings=dataclasses.replace(plain.settings, cell_mm=25.0))
    pd.testing.assert_frame_equal(next_pass(plain, TARGET).points, next_pass(metric, TARGET).points)


rows_of_points = st.lists(
    st.tuples(
        st.booleans(), st.floats(0.5, 9), st.floats(0, 60), st.floats(0, 96), st.floats(0, 64),
        st.sampled_from(["large", "merged", "crowded", "largest"]),
    ),
    min_size=1, max_size=25, unique_by=lambda row: row[3:5],
)  # fmt: skip


def as_frame(rows):
    hollow, diameter, around, x, y, why = (list(column) for column in zip(*rows, strict=True))
    frame = pd.DataFrame(
        {"hollow": hollow, "diameter_mm": diameter, "around_ppsi": around, "x_mm": x, "y_mm": y}
    )
    return frame, np.array(why, dtype=object)


@settings(max_examples=60, deadline=None)
@given(rows_of_points, st.randoms(use_true_random=False))
def test_ranking_keeps_its_order_whatever_is_left_out(rows, random):
    frame, why = as_frame(rows)
    order = ranking(frame, why)
    assert sorted(order) == list(range(len(rows)))
    hollow = frame["hollow"].to_numpy()[order]
    assert not (np.diff(hollow.astype(int)) > 0).any()
    rest = [row for row in order if not frame["hollow"][row]]
    late = [
        ["crowded", "largest"].index(w) + 1 if w in ("crowded", "largest") else 0 for w in why[rest]
    ]
    assert late == sorted(late)
    for told, name in (
        (["large", "merged"], "diameter_mm"),
        (["crowded"], "around_ppsi"),
        (["largest"], "diameter_mm"),
    ):
        values = [frame[name][row] for row in rest if why[row] in told]
        assert (np.diff(values) <= 1e-5).all()
    kept = sorted(random.sample(range(len(rows)), random.randint(1, len(rows))))
    fewer = [kept[i] for i in ranking(frame.iloc[kept].reset_index(drop=True), why[kept])]
    assert fewer == [row for row in order if row in set(kept)]


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.0, 0.6), st.sampled_from([8.0, 25.0, 60.0, None]))
def test_no_print_gets_advice_against_the_rules(base, seed, share, asked):
    rng = np.random.default_rng(seed)
    spots = strewn_points(seed, count=int(rng.integers(5, 120)), radius_mm=(0.5, 2.4), apart_mm=4.0)
    spots = spots[spots[:, 0] > share * SIZE_MM[0]]
    reading = flagged(
        print_of(base, spots, px_per_mm=3.0),
        hollow=np.flatnonzero(rng.random(len(spots)) < 0.1),
        merged=np.flatnonzero(rng.random(len(spots)) < 0.1),
    )
    advice = next_pass(reading, Target(name="t", ppsi_least=asked))
    points = advice.points
    if advice.halt:
        assert set(points["what"]) <= {"leave"}
        return
    hollow = points["number"].map(lambda n: bool(reading.points["hollow"][n - 1]))
    ranked = points["rank"] > 0
    if (ranked & hollow).any() and (ranked & ~hollow).any():
        assert points[ranked & hollow]["rank"].max() < points[ranked & ~hollow]["rank"].min()
    poor = points["around_contact_percent"] < SPARSE_SHARE * reading.contact_percent
    assert (points[poor]["what"] == "leave").all()
    assert (points["what"] == "take").sum() <= max(
        np.ceil(advice.most_percent / 100 * len(points)), (ranked & hollow).sum()
    )
    later = points["what"] == "later"
    if later.any():
        assert points[later]["rank"].min() > points[points["what"] == "take"]["rank"].max()
