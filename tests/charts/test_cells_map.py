"""The map of cells holds the number of every cell, where it lies."""

import numpy as np
import pytest

from scrapeview.charts.cells_map import TITLES, cells_map, points_figure
from scrapeview.columns import table
from scrapeview.units import per_25mm_square, per_square_inch

SEED = 2


def cells_of(columns, rows, side_mm=25.4, start_mm=(3.0, -2.0)):
    """Cells of an invented face; the last column is mostly off it."""
    row, column = (index.ravel() for index in np.mgrid[:rows, :columns])
    area_mm2 = np.where(column == columns - 1, 0.3, 1.0) * side_mm**2
    points = 3 * column + row + 1
    return table(
        "cells",
        {
            "column": column, "row": row, "x_mm": start_mm[0] + side_mm * column,
            "y_mm": start_mm[1] + side_mm * row, "area_mm2": area_mm2, "points": points,
            "contact_percent": 10.0 + 2 * column + row,
            "points_per_square_inch": per_square_inch(points, area_mm2),
            "points_per_25mm_square": per_25mm_square(points, area_mm2),
            "enough_area": area_mm2 > 0.5 * side_mm**2,
        },
    )  # fmt: skip


def heatmaps(figure):
    return [trace for trace in figure.data if trace.type == "heatmap"]


def merged(figure):
    """Values of all maps of a figure; no cell is in two of them."""
    values = np.array([trace.z for trace in heatmaps(figure)], dtype=float)
    assert (np.isfinite(values).sum(axis=0) <= 1).all()
    return np.nansum(values, axis=0)


@pytest.mark.parametrize("figure", TITLES)
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_every_cell_is_at_its_place_with_its_number(reading, figure, units):
    found = reading("plain", SEED)
    side = found.settings.cell_mm
    drawn = cells_map(found.cells, side, figure, units)
    x, y = (np.asarray(heatmaps(drawn)[0][axis]) for axis in "xy")
    per_unit = 25.4 if units == "inch" else 1.0
    values = merged(drawn)
    assert np.diff(x) == pytest.approx(side / per_unit)
    for cell in found.cells.itertuples():
        column = int(np.argmin(abs(x * per_unit - cell.x_mm)))
        row = int(np.argmin(abs(y * per_unit - cell.y_mm)))
        assert x[column] * per_unit == pytest.approx(cell.x_mm)
        assert values[row, column] == pytest.approx(getattr(cell, figure))


def test_cells_with_too_little_face_are_pale_and_bracketed():
    whole, pale = heatmaps(cells_map(cells_of(4, 3), 25.4, "contact_percent"))
    assert np.isfinite(np.array(whole.z, float)).sum() == 9
    assert np.isfinite(np.array(pale.z, float)).sum() == 3
    assert pale.text[0][3] == "(16)"
    assert whole.text[0][0] == "10"
    assert "too little face" in pale.hovertext[0][3]
    assert "too little face" not in whole.hovertext[0][0]


def test_the_order_of_the_cells_does_not_matter():
    cells = cells_of(5, 3)
    mixed = cells.sample(frac=1, random_state=1)
    assert list(mixed.index) != list(cells.index)
    one, other = (cells_map(c, 25.4, "points_per_square_inch", "inch") for c in (cells, mixed))
    assert one == other


def test_a_face_may_begin_anywhere_and_lack_cells():
    cells = cells_of(4, 3).query("not (row == 0 and column < 2)")
    drawn = cells_map(cells, 25.4, "contact_percent")
    assert heatmaps(drawn)[0].x[0] == pytest.approx(3.0)
    assert heatmaps(drawn)[0].y[0] == pytest.approx(-2.0)
    assert np.isnan(float(heatmaps(drawn)[0].z[0][0]))
    assert merged(drawn)[1, 0] == pytest.approx(11.0)


def test_the_worst_square_is_outlined(reading):
    found = reading("plain", SEED)
    drawn = cells_map(found.cells, 25.4, "contact_percent", "inch", found.worst_square)
    (outline,) = [trace for trace in drawn.data if trace.type == "scatter"]
    worst = found.worst_square
    assert min(outline.x) * 25.4 == pytest.approx(worst.x_mm)
    assert max(outline.y) * 25.4 == pytest.approx(worst.y_mm + worst.side_mm)


def test_numbers_stand_in_the_cells_only_where_there_is_room():
    few, many = (cells_map(cells_of(n, 2), 25.4, "contact_percent") for n in (8, 48))
    assert heatmaps(few)[0].texttemplate == "%{text}"
    assert heatmaps(many)[0].texttemplate == ""


def test_the_face_is_drawn_to_scale_and_held_as_the_photo():
    layout = cells_map(cells_of(6, 3), 25.4, "contact_percent").layout
    assert layout.yaxis.scaleanchor == "x"
    assert layout.yaxis.range[0] > layout.yaxis.range[1]


def test_without_cells_there_is_an_empty_map():
    drawn = cells_map(table("cells"), 25.4, "contact_percent")
    assert not np.isfinite(np.array(heatmaps(drawn)[0].z, float)).any()


def test_the_hover_counts_points_by_the_figure_that_is_drawn():
    cells = cells_of(3, 2)
    inch = heatmaps(cells_map(cells, 25.4, "points_per_square_inch", "inch"))[0].hovertext[0][0]
    metric = heatmaps(cells_map(cells, 25.4, "points_per_25mm_square"))[0].hovertext[0][0]
    assert "1 point, 1.0 per in2" in inch
    assert "per 25 mm square" in metric
    assert points_figure("inch") == "points_per_square_inch"
    assert points_figure("metric") == "points_per_25mm_square"
