"""The map of how often places were marked shows what was counted."""

import json

import numpy as np
import pytest

from scrapeview.charts.chart_style import figure_html
from scrapeview.charts.compare_charts import MOST_NUMBERED, MOST_PX, frequency_map
from scrapeview.judge import FaceGrid, LaidPrint, over_passes


def laid(grid, *boxes, known=None):
    contact = np.zeros(grid.shape, bool)
    for x0, y0, x1, y1 in boxes:
        contact[y0:y1, x0:x1] = True
    known = np.ones(grid.shape, bool) if known is None else known
    return LaidPrint(grid, contact & known, known)


@pytest.fixture(scope="module")
def over():
    grid = FaceGrid(2.0, (0.25, 0.25), (60, 90))
    known = np.ones(grid.shape, bool)
    known[:, 80:] = False
    always, once = (10, 10, 14, 16), (30, 30, 40, 36)
    return over_passes(
        [laid(grid, always, once, known=known), laid(grid, always, known=known),
         laid(grid, always, known=known)]
    )  # fmt: skip


def test_the_map_tells_in_how_many_passes(over):
    heat = frequency_map(over).data[0]
    times = np.array(heat.z)
    assert times[12, 12] == 3
    assert times[33, 33] == 1
    assert times[50, 5] == 0
    assert np.isnan(times[:, 80:]).all()
    assert heat.x[12] == pytest.approx(6.25)
    assert heat.y[33] == pytest.approx(16.75)


def test_every_count_has_a_step_of_its_own_and_all_passes_a_colour(over):
    scale = frequency_map(over).data[0].colorscale
    assert len(scale) == 2 * (over.passes + 1)
    assert len({colour for _, colour in scale}) == over.passes + 1
    assert scale[-1][1].lower() == "#d55e00"


def test_places_carry_the_numbers_of_their_tables(over):
    figure = frequency_map(over)
    squares, rounds = figure.data[2], figure.data[3]
    assert len(rounds.text) == len(over.always.table) == 1
    assert len(squares.text) == min(MOST_NUMBERED, len(over.never.table))
    assert rounds.x[0] == pytest.approx(over.always.table["x_mm"][0])
    assert squares.marker.symbol != rounds.marker.symbol


def test_in_inches_all_places_are(over):
    metric, inch = frequency_map(over), frequency_map(over, "inch")
    assert np.array(inch.data[0].x) * 25.4 == pytest.approx(np.array(metric.data[0].x))
    assert inch.data[3].x[0] * 25.4 == pytest.approx(metric.data[3].x[0])
    assert inch.layout.xaxis.title.text.endswith("in")
    assert np.array(inch.layout.yaxis.range) * 25.4 == pytest.approx(
        np.array(metric.layout.yaxis.range)
    )


def test_a_large_map_is_shrunk_without_changing_what_it_tells():
    grid = FaceGrid(4.0, (0.125, 0.125), (900, 1500))
    known = np.ones(grid.shape, bool)
    known[:, 1000:] = False
    prints = [
        laid(grid, (0, 0, 400, 400), known=known),
        laid(grid, (200, 0, 600, 400), known=known),
    ]
    heat = frequency_map(over_passes(prints)).data[0]
    times = np.array(heat.z)
    assert times.size <= MOST_PX
    at = [int(np.argmin(np.abs(np.array(heat.x) - mm))) for mm in (25.0, 75.0, 125.0, 200.0, 300.0)]
    row = times[int(np.argmin(np.abs(np.array(heat.y) - 50.0)))]
    assert row[at[:4]].tolist() == [1, 2, 1, 0]
    assert np.isnan(row[at[4]])


def test_the_map_is_strict_json_and_a_page_by_itself(over):
    figure = frequency_map(over)
    json.loads(figure.to_json())
    assert "marked in so many of 3 passes" in figure_html(figure, "map")


def test_many_passes_keep_few_ticks():
    grid = FaceGrid(2.0, (0.25, 0.25), (20, 30))
    many = over_passes([laid(grid, (2, 2, 6, 6)) for _ in range(41)])
    ticks = frequency_map(many).data[0].colorbar.tickvals
    assert len(ticks) <= 6
    assert (ticks[0], ticks[-1]) == (0, 41)
