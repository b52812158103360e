"""The forecast's chart draws the prints, the curve they follow and when the target is cleared."""

import json

import numpy as np
import pytest
from forecast_series import passes_table

from scrapeview.charts.forecast_charts import agreement_chart, forecast_chart, forecast_data
from scrapeview.judge.eye import agreement_of
from scrapeview.judge.forecast.forecast import forecast
from scrapeview.record.entries import EyeCount
from scrapeview.targets import Target
from scrapeview.units import SQUARES_25MM_PER_SQUARE_INCH

TARGET = Target(name="ways", ppsi_least=20, contact_least_percent=40, contact_most_percent=60)


def ended(figures, error=0.04):
    figures = np.asarray(figures, dtype=float)
    return figures, figures * (1 - 1.96 * error), figures * (1 + 1.96 * error)


def rising(count=5):
    points, contact = 30 - 26 * 0.8 ** np.arange(count), 50 + 20 * 0.7 ** np.arange(count)
    return passes_table(ended(points), ended(contact))


def drawn(passes, units="metric"):
    found = forecast(passes, TARGET)
    return forecast_chart(passes, found, units), found


def lines_named(figure, name):
    return [trace for trace in figure.data if trace.name == name]


def texts(figure):
    return [a.text for a in figure.layout.annotations]


def test_points_and_contact_are_drawn_with_curve_and_band():
    figure, found = drawn(rising(), "inch")
    assert len(lines_named(figure, "Expected")) == len(lines_named(figure, "8 cases in 10")) == 2
    assert sum(bool(t.showlegend) for t in lines_named(figure, "Expected")) == 1
    curve = lines_named(figure, "Expected")[0]
    told = found.points.curve.set_index("pass")["middle"]
    assert np.allclose(curve.y, told.loc[list(curve.x)])
    dots = [t for t in figure.data if t.mode == "markers" and t.error_y.array is not None]
    assert sorted(y for t in dots for y in t.y) == pytest.approx(
        sorted([*rising()["points_per_square_inch"], *rising()["contact_percent"]])
    )
    json.loads(figure.to_json())


def test_metric_shops_see_points_per_25_mm_square():
    inch, metric = (drawn(rising(), units)[0] for units in ("inch", "metric"))
    first, second = (np.array(lines_named(f, "Expected")[0].y) for f in (inch, metric))
    assert np.allclose(first / second, SQUARES_25MM_PER_SQUARE_INCH)
    assert any("19.4 per 25 mm square" in text for text in texts(metric))
    assert any("20 per in2" in text for text in texts(inch))


def test_the_passes_that_clear_the_target_are_marked():
    figure, found = drawn(rising())
    assert found.state == "ahead"
    low, high = found.last_pass + found.passes.low, found.last_pass + found.passes.high
    assert f"cleared on pass {low:.0f} to {high:.0f}" in texts(figure)
    tint = [s for s in figure.layout.shapes if s.xref == "x" and s.type == "rect"]
    assert [s.x0 for s in tint] == [low - 0.45]
    assert figure.layout.xaxis.range[1] >= min(high, found.last_pass + 12)


def test_an_interval_without_end_is_told_so():
    passes = passes_table(ended([14.0, 14.6, 15.0, 15.5]), ended([50.0] * 4))
    figure, found = drawn(passes)
    assert found.passes.high is None
    assert any("or later" in text for text in texts(figure))


def test_without_a_forecast_the_prints_stand_alone():
    figure, found = drawn(rising(2))
    assert found.state == "too few"
    assert not lines_named(figure, "Expected")
    assert figure.layout.xaxis.range[1] < 3
    assert forecast_data(found).empty
    empty, _ = drawn(rising(0))
    assert "No print" in texts(empty)[0]


def test_a_wide_band_does_not_squash_the_prints():
    figure, _ = drawn(passes_table(ended([4.0, 6.0, 9.0], 0.1), ended([50.0] * 3)), "inch")
    assert figure.layout.yaxis2.range[1] <= 1.5 * 1.1 * 1.1 * 20


def test_the_numbers_behind_it_can_be_downloaded():
    _, found = drawn(rising())
    inch, metric = (forecast_data(found, units) for units in ("inch", "metric"))
    assert list(inch.columns) == [
        "pass", "points_per_square_inch_middle", "points_per_square_inch_low",
        "points_per_square_inch_high", "contact_percent_middle", "contact_percent_low",
        "contact_percent_high",
    ]  # fmt: skip
    ratio = inch["points_per_square_inch_middle"] / metric["points_per_25mm_square_middle"]
    assert np.allclose(ratio, SQUARES_25MM_PER_SQUARE_INCH)


def counts_of(eye, tool):
    return [
        EyeCount(print_id=1, reading_id=1, x_mm=0.0, y_mm=0.0, side_mm=25.4, by_eye=a, by_tool=b)
        for a, b in zip(eye, tool, strict=True)
    ]


def test_agreement_is_a_dot_a_square_with_bias_and_limits():
    found = agreement_of(counts_of([22, 19, 25, 20], [20, 20, 22, 19]))
    figure = agreement_chart(found, "inch")
    assert list(figure.data[0].x) == [21, 19.5, 23.5, 19.5]
    assert list(figure.data[0].y) == [2, -1, 3, 1]
    levels = [s.y0 for s in figure.layout.shapes if s.type == "line"]
    assert levels == pytest.approx([found.bias, found.low, found.high])
    bands = [(s.y0, s.y1) for s in figure.layout.shapes if s.type == "rect"]
    assert bands[0] == pytest.approx((found.bias_interval.low, found.bias_interval.high))
    low, high = figure.layout.yaxis.range
    assert low <= found.low_interval.low
    assert high >= found.high_interval.high


def test_agreement_of_few_squares_has_no_limits():
    one = agreement_chart(agreement_of(counts_of([22], [20])))
    assert [s.type for s in one.layout.shapes] == ["line"]
    none = agreement_chart(agreement_of([]))
    assert "count one" in texts(none)[0]
