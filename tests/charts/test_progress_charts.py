"""Charts of a face's progress draw the numbers of its passes, in the units asked for."""

import json

import numpy as np
import pandas as pd
import pytest
from skimage.color import rgb2lab

from scrapeview.charts import chart_style
from scrapeview.charts.chart_style import chart_config, figure_html
from scrapeview.charts.progress_charts import PROGRESS_CHARTS
from scrapeview.charts.progress_frame import names_in, pass_line, progress_frame
from scrapeview.charts.progress_panels import pass_axis
from scrapeview.columns import columns_of, table
from scrapeview.targets import NO_TARGET, Target
from scrapeview.units import SQUARES_25MM_PER_SQUARE_INCH

CHARTS = {chart.name: chart for chart in PROGRESS_CHARTS}
TARGET = Target(name="ways", contact_least_percent=40, contact_most_percent=60, ppsi_least=20)
NUMBERS_OF = {
    "contact": ["contact_percent"],
    "points": ["points_per_square_inch"],
    "worst-square": ["worst_contact_percent", "worst_points_per_square_inch"],
    "film": ["haze_percent", "smear_percent"],
    "bare-patch": ["bare_circle_in"],
    "point-sizes": ["median_diameter_in"],
}


def passes_of(count, placements=("",), **changed):
    """An invented face; each figure differs from every other."""
    rows = count * len(placements)
    numbers = np.repeat(np.arange(1, count + 1), len(placements))
    values = {}
    for at, column in enumerate(columns_of("passes")):
        if column.dtype == "str":
            values[column.name] = [""] * rows
        elif column.dtype == "bool":
            values[column.name] = [True] * rows
        elif column.dtype.startswith("int"):
            values[column.name] = np.zeros(rows, int)
        else:
            values[column.name] = at + 1 + 0.1 * np.arange(rows)
    ends = {
        f"{name}{end}": values[value] + shift
        for name, value in (("contact", "contact_percent"), ("ppsi", "points_per_square_inch"))
        for end, shift in (("_low", -2.0), ("_high", 3.0))
    }
    values |= {
        "number": numbers, "placement": list(placements) * count, "print_id": np.arange(rows) + 7,
        "contact_low_percent": ends["contact_low"], "contact_high_percent": ends["contact_high"],
        "ppsi_low": ends["ppsi_low"], "ppsi_high": ends["ppsi_high"],
        "merged_percent": [5.0] * rows,
    }  # fmt: skip
    return table("passes", values | changed)


def dots_of(figure):
    return [trace for trace in figure.data if trace.type != "bar" and trace.mode == "markers"]


def drawn_y(figure):
    return sorted(float(y) for trace in dots_of(figure) for y in trace.y)


def lines_of(figure):
    return [trace for trace in figure.data if trace.type != "bar" and trace.mode == "lines"]


@pytest.mark.parametrize("name", NUMBERS_OF)
def test_dots_are_the_numbers_of_the_passes(name):
    passes = passes_of(6)
    frame = progress_frame(passes, "inch")
    known = sorted(v for column in NUMBERS_OF[name] for v in frame[column])
    assert drawn_y(CHARTS[name].figure(passes, TARGET, "inch")) == pytest.approx(known, rel=1e-12)


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_data_behind_a_figure_hold_what_it_draws(name, units):
    passes = passes_of(4, ("left", "right"))
    data = CHARTS[name].data(progress_frame(passes, units), units)
    figure = CHARTS[name].figure(passes, TARGET, units)
    held = {round(float(v), 9) for c in data.select_dtypes("number") for v in data[c]}
    assert len(data) == len(passes)
    assert {round(y, 9) for y in drawn_y(figure)} <= held
    assert {"number", "placement", "printed_at"} <= set(data)


def test_a_square_inch_holds_a_little_more_than_a_25_mm_square():
    passes = passes_of(3)
    metric, inch = (CHARTS["points"].figure(passes, TARGET, units) for units in ("metric", "inch"))
    assert drawn_y(inch) == pytest.approx(list(passes["points_per_square_inch"]))
    assert drawn_y(metric) == pytest.approx([y / 1.032256 for y in drawn_y(inch)], rel=1e-12)
    levels = [figure.layout.shapes[0].y0 for figure in (metric, inch)]
    assert levels == pytest.approx([20 / 1.032256, 20], rel=1e-12)
    assert dots_of(metric)[0].error_y.array == pytest.approx([3 / SQUARES_25MM_PER_SQUARE_INCH] * 3)


def test_lengths_and_metal_in_inches():
    passes = passes_of(2, bare_circle_mm=[25.4, 50.8], metal_um=[25.4, 2.54])
    frame = progress_frame(passes, "inch")
    assert list(frame["bare_circle_in"]) == pytest.approx([1.0, 2.0])
    assert list(frame["metal_total_thousandths_in"]) == pytest.approx([1.0, 1.1])
    assert not any(name.endswith("_mm") for name in frame)


def test_intervals_reach_from_low_to_high():
    passes = passes_of(5)
    (dots,) = dots_of(CHARTS["contact"].figure(passes))
    high = np.asarray(dots.y) + dots.error_y.array
    low = np.asarray(dots.y) - dots.error_y.arrayminus
    assert high == pytest.approx(passes["contact_high_percent"].to_numpy())
    assert low == pytest.approx(passes["contact_low_percent"].to_numpy())


def test_an_interval_without_end_is_not_drawn_but_said():
    passes = passes_of(2, contact_high_percent=[np.inf, 9.0])
    (dots,) = dots_of(CHARTS["contact"].figure(passes))
    assert dots.error_y.array[0] == 0
    assert "interval unknown" in dots.hovertext[0]
    assert "interval unknown" not in dots.hovertext[1]


@pytest.mark.parametrize("name", CHARTS)
def test_the_order_of_the_rows_does_not_matter(name):
    passes = passes_of(7, ("left", "right"))
    mixed = passes.sample(frac=1, random_state=3)
    assert list(mixed["print_id"]) != list(passes["print_id"])
    assert CHARTS[name].figure(mixed, TARGET) == CHARTS[name].figure(passes, TARGET)


def test_unreliable_counts_are_hollow_named_and_never_joined():
    reliable = [True, True, False, True, True]
    passes = passes_of(5, count_reliable=reliable, merged_percent=[5, 5, 41, 5, 5])
    figure = CHARTS["points"].figure(passes)
    (line,) = lines_of(figure)
    assert list(np.isnan(line.y)) == [False, False, True, False, False]
    assert line.connectgaps is False
    solid, hollow = dots_of(figure)
    assert (solid.marker.symbol, hollow.marker.symbol) == ("circle", "circle-open")
    assert list(hollow.x) == [3]
    assert "count unreliable: 41 %" in hollow.hovertext[0]
    assert not any("unreliable" in text for text in solid.hovertext)
    assert hollow.showlegend
    assert hollow.name == "Count unreliable"
    # contact means something all the same
    assert not np.isnan(lines_of(CHARTS["contact"].figure(passes))[0].y).any()


def test_what_is_no_print_is_crossed_and_not_joined():
    passes = passes_of(4, is_print=[True, True, False, True], contact_percent=[9, 12, 0, 15])
    figure = CHARTS["contact"].figure(passes)
    assert np.isnan(lines_of(figure)[0].y[2])
    crossed = [trace for trace in dots_of(figure) if trace.marker.symbol == "x-thin-open"]
    assert [list(trace.x) for trace in crossed] == [[3]]
    assert "no print found" in crossed[0].hovertext[0]
    assert crossed[0].error_y.array[0] == 0


def test_a_single_pass_has_a_dot_and_no_line():
    figure = CHARTS["contact"].figure(passes_of(1), TARGET)
    assert lines_of(figure) == []
    assert [len(trace.x) for trace in dots_of(figure)] == [1]
    assert len(lines_of(CHARTS["contact"].figure(passes_of(2)))) == 1


def test_placements_of_a_pass_are_all_drawn_and_joined_by_their_mean():
    area = np.array([100.0, 300.0] * 3)
    passes = passes_of(3, ("left end", "right end"), area_mm2=area)
    figure = CHARTS["contact"].figure(passes)
    assert sum(len(trace.x) for trace in dots_of(figure)) == 6
    assert {trace.name for trace in dots_of(figure)} == {"Left end", "Right end"}
    assert len({trace.marker.symbol for trace in dots_of(figure)}) == 2
    contact = passes["contact_percent"].to_numpy()
    mean = (contact[::2] + 3 * contact[1::2]) / 4
    assert lines_of(figure)[0].y == pytest.approx(mean)
    assert all(abs(x - round(x)) < 0.5 for trace in dots_of(figure) for x in trace.x)


def test_a_pass_is_not_joined_where_one_of_its_prints_cannot_be_counted():
    frame = progress_frame(passes_of(2, ("a", "b")), "metric")
    line = pass_line(frame, "contact_percent", np.array([True, False, True, True]))
    assert list(line.isna()) == [True, False]


def test_hours_and_metal_add_up_once_a_pass_and_pass_over_what_was_not_told():
    nan = np.nan
    passes = passes_of(4, ("a", "b"), hours=[nan, nan, 2, 2, nan, nan, 1.5, 1.5])
    frame = progress_frame(passes, "metric")
    total = frame.groupby("number")["hours_total"].first()
    assert np.isnan(total[1])
    assert list(total[1:]) == [2.0, 2.0, 3.5]
    figure = CHARTS["hours"].figure(passes)
    (bar,) = [trace for trace in figure.data if trace.type == "bar"]
    assert dict(zip(bar.x, bar.y, strict=True)) == {2: 2.0, 4: 1.5}


@pytest.mark.parametrize("name", ["hours", "metal"])
def test_what_was_never_told_is_said_instead_of_drawn(name):
    nothing = [np.nan] * 3
    figure = CHARTS[name].figure(passes_of(3, hours=nothing, metal_um=nothing))
    assert len(figure.data) == 0
    assert "Notes" in figure.layout.annotations[0].text


def test_the_target_is_drawn_only_where_there_is_one():
    passes = passes_of(3)
    without = CHARTS["contact"].figure(passes, NO_TARGET)
    assert len(without.layout.shapes) == 0
    shapes = CHARTS["contact"].figure(passes, TARGET).layout.shapes
    band = next(shape for shape in shapes if shape.type == "rect")
    assert (band.y0, band.y1) == (40, 60)
    least = Target(name="plate", contact_least_percent=20)
    band = next(
        s for s in CHARTS["contact"].figure(passes, least).layout.shapes if s.type == "rect"
    )
    assert (band.y0, band.y1) == (20, 100)


def test_the_target_lies_inside_the_scale():
    for name, level in (("contact", 60), ("points", 20 / SQUARES_25MM_PER_SQUARE_INCH)):
        passes = passes_of(3, contact_percent=[1, 2, 3], points_per_square_inch=[1, 2, 3])
        assert CHARTS[name].figure(passes, TARGET).layout.yaxis.range[1] > level


@pytest.mark.parametrize("count", [1, 2, 8, 15, 16, 100, 1000])
def test_the_axis_counts_whole_passes_and_stays_readable(count):
    axis = pass_axis(pd.Series(np.arange(1, count + 1)))
    ticks = np.arange(axis["tick0"], axis["range"][1], axis["dtick"])
    assert axis["dtick"] == int(axis["dtick"]) >= 1
    assert len(ticks[ticks >= axis["range"][0]]) <= 16
    assert axis["range"][0] < 1
    assert axis["range"][1] > count


def test_what_a_person_wrote_is_no_markup():
    passes = passes_of(1, who=["<b>A & B"], placement=["<i>left"])
    (dots,) = dots_of(CHARTS["contact"].figure(passes))
    assert "<i>" not in dots.hovertext[0]
    assert "&lt;b&gt;A &amp; B" in dots.hovertext[0]


def lightness(colour):
    rgb = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    return float(rgb2lab(rgb[None, None])[0, 0, 0])


def test_colours_differ_in_lightness():
    told = (chart_style.BLUE, chart_style.VERMILION, chart_style.PURPLE, chart_style.ORANGE)
    levels = [lightness(colour) for colour in told]
    assert levels == sorted(levels)
    assert min(np.diff(levels)) > 4
    assert abs(lightness(chart_style.BLUE) - lightness(chart_style.GREEN)) > 8


def luminance(colour):
    rgb = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return float(linear @ (0.2126, 0.7152, 0.0722))


@pytest.mark.parametrize("ground", ["#ffffff", "#0e1117"])
def test_text_and_dots_stand_out_on_light_and_on_dark(ground):
    for colour, least in ((chart_style.GREY, 4.0), (chart_style.BLUE, 3.0)):
        levels = sorted((luminance(colour), luminance(ground)))
        # WCAG 2 contrast ratio
        assert (levels[1] + 0.05) / (levels[0] + 0.05) >= least
    layout = CHARTS["contact"].figure(passes_of(2)).layout.template.layout
    assert layout.paper_bgcolor.endswith(" 0)")
    assert layout.plot_bgcolor.endswith(" 0)")


def test_a_figure_becomes_a_page_that_needs_no_network():
    page = figure_html(CHARTS["contact"].figure(passes_of(3)), "contact")
    assert "<title>contact</title>" in page
    assert 'src="http' not in page
    assert "Plotly.newPlot" in page


def test_pictures_are_saved_at_double_size():
    options = chart_config("contact")["toImageButtonOptions"]
    assert (options["format"], options["scale"], options["filename"]) == ("png", 2, "contact")


def test_names_of_both_units_are_different_where_the_unit_is():
    metric, inch = vars(names_in("metric")), vars(names_in("inch"))
    same = {name for name in metric if metric[name] == inch[name]}
    assert not same
    json.dumps(metric)
