"""A verdict as pictures: targets stand on one line, and right of it is good."""

import dataclasses
import math

import pytest

from scrapeview.bearing import Interval
from scrapeview.charts.judge_charts import (
    SIGNS,
    WORST_FIRST,
    balance_chart,
    criteria_chart,
    scale_of,
    worst_first,
)
from scrapeview.judge.verdict.criteria import Balance, Criterion, Verdict

POINTS = Criterion(
    name="ppsi_least", figure=29.5, unit="1/in2", interval=Interval(28.1, 30.8), target=25.0,
    at_least=True, margin=3.1, stands="clears",
)  # fmt: skip
BARE = Criterion(
    name="bare_circle_most_mm", figure=15.875, unit="mm", interval=Interval(15.0, 16.5),
    target=12.7, at_least=False, margin=-3.8, stands="falls short",
)  # fmt: skip
PRINT = Criterion(
    name="print", figure=math.nan, unit="", interval=None, target=None, at_least=True,
    margin=math.nan, stands="clears",
)  # fmt: skip
ENDS = Balance(
    kind="end to end", first="left end", second="right end", figure="points",
    difference_percent=-12.0, interval=Interval(-20.0, -4.0), allowed_percent=25.0,
    stands="clears",
)  # fmt: skip


def verdict_of(*criteria, balances=()):
    return Verdict(
        outcome="keep scraping", decided_by=criteria[:1], criteria=criteria, zones=(),
        balances=balances, pass_number=8, compared_with=7,
    )  # fmt: skip


def texts(figure):
    return [note.text for note in figure.layout.annotations]


def marks(figure):
    return [trace for trace in figure.data if trace.mode == "markers"]


def bars(figure):
    return [trace for trace in figure.data if trace.mode == "lines"]


@pytest.mark.parametrize("criterion", [POINTS, BARE])
def test_every_target_stands_on_the_line(criterion):
    assert scale_of(criterion, criterion.target) == 1.0


def test_better_lies_to_the_right_whether_more_or_less_is_better():
    assert scale_of(POINTS, 30.0) == pytest.approx(1.2)
    assert scale_of(POINTS, 20.0) == pytest.approx(0.8)
    assert scale_of(BARE, 10.16) == pytest.approx(1.2)
    assert scale_of(BARE, 15.24) == pytest.approx(0.8)


def test_what_is_far_off_stops_at_the_edge():
    assert scale_of(POINTS, 100.0) == 2.0
    assert scale_of(BARE, 100.0) == 0.0
    none_allowed = dataclasses.replace(BARE, target=0.0)
    assert scale_of(none_allowed, 0.0) == 1.0
    assert scale_of(none_allowed, 0.1) == 0.0


def test_a_row_has_mark_bar_and_figures():
    figure = criteria_chart(verdict_of(POINTS), "inch")
    (mark,), (bar,) = marks(figure), bars(figure)
    assert mark.x == (pytest.approx(29.5 / 25),)
    assert bar.x == (pytest.approx(28.1 / 25), pytest.approx(30.8 / 25))
    assert mark.marker.symbol == SIGNS["clears"][1]
    assert "29.5 (28.1 to 30.8): at least 25.0, margin +3.1" in texts(figure)
    assert "<b>✓ Points per in2</b>" in texts(figure)


def test_a_bar_reads_from_left_to_right_where_less_is_better():
    (bar,) = bars(criteria_chart(verdict_of(BARE)))
    assert bar.x[0] < bar.x[1]
    assert bar.x[0] == pytest.approx(2 - 16.5 / 12.7)


def test_figures_are_told_in_the_units_of_the_shop():
    assert "15.9 mm (15.0 to 16.5): at most 12.7, margin -3.8" in texts(
        criteria_chart(verdict_of(BARE), "metric")
    )
    assert "0.62 in (0.59 to 0.65): at most 0.50, margin -0.15" in texts(
        criteria_chart(verdict_of(BARE), "inch")
    )


def test_a_criterion_without_a_figure_is_told_in_words_alone():
    figure = criteria_chart(verdict_of(PRINT))
    assert not figure.data
    assert "<b>✓ Print</b>" in texts(figure)


def test_bounds_that_are_not_known_are_said_and_not_drawn():
    unknown = dataclasses.replace(
        POINTS, interval=Interval(-math.inf, math.inf), margin=math.nan, stands="cannot tell"
    )
    figure = criteria_chart(verdict_of(unknown))
    assert not bars(figure)
    assert any("unknown: too few squares" in text for text in texts(figure))
    assert not any("margin" in text for text in texts(figure))


def test_what_is_not_reached_comes_first_else_the_order_stays():
    short = dataclasses.replace(PRINT, stands="falls short")
    told = worst_first((POINTS, PRINT, BARE, short))
    assert told == (BARE, short, POINTS, PRINT)
    assert set(WORST_FIRST) == set(SIGNS)


def test_no_two_ways_to_stand_look_alike_without_their_colour():
    signs, symbols, colours = zip(*SIGNS.values(), strict=True)
    assert len(set(signs)) == len(set(symbols)) == len(set(colours)) == len(SIGNS)


def test_without_criteria_the_chart_says_what_to_do():
    assert "choose a target" in texts(criteria_chart(verdict_of()))[0]


def test_parts_are_weighed_with_the_first_to_the_right():
    figure = balance_chart(verdict_of(POINTS, balances=(ENDS,)))
    (mark,), (bar,) = marks(figure), bars(figure)
    assert mark.x[0] < 1 < 1 - (bar.x[0] - 1)
    assert bar.x[0] < mark.x[0] < bar.x[1] < 1
    assert "12 % more on right end, 25 % allowed" in texts(figure)
    band = [shape for shape in figure.layout.shapes if shape.opacity == 0.2]
    assert band[0].x0 == pytest.approx(2 - band[0].x1)
    assert band[0].x0 < mark.x[0]


def test_parts_that_cannot_be_compared_are_told_without_a_mark():
    unknown = dataclasses.replace(
        ENDS, difference_percent=math.nan, interval=Interval(-math.inf, math.inf),
        allowed_percent=None, stands="cannot tell",
    )  # fmt: skip
    figure = balance_chart(verdict_of(POINTS, balances=(unknown,)))
    assert not figure.data
    assert "<b>· End to end, points</b>: not known" in texts(figure)
    assert "no parts" in texts(balance_chart(verdict_of(POINTS)))[0]
