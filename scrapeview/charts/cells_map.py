"""A map of the cells of a face: contact or points in each square, with the numbers on hover."""

from typing import Any, Literal

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from numpy.typing import NDArray

from scrapeview.bearing import Square
from scrapeview.charts.chart_style import VERMILION, styled
from scrapeview.charts.shown import Units
from scrapeview.units import MM_PER_INCH

Figure = Literal["contact_percent", "points_per_square_inch", "points_per_25mm_square"]
TITLES: dict[Figure, str] = {
    "contact_percent": "Contact, %",
    "points_per_square_inch": "Points per in2",
    "points_per_25mm_square": "Points per 25 mm square",
}
SCALE = [[0.0, "#e6eef5"], [0.35, "#8fbcdb"], [0.7, "#2f7fb5"], [1.0, "#083d66"]]
"""One blue from light to dark, as the marking itself: holds in grey and for colour-blind eyes."""
PALE_SCALE = [[0.0, "#f3f5f7"], [1.0, "#a7b6c2"]]
MOST_NUMBERED = 30
"""Columns of cells up to which there is room for numbers in them."""
WIDTH_PX, LEAST_HEIGHT_PX, MOST_HEIGHT_PX = 600, 60, 600
LARGEST_CELL_PX = 90
NARROW = 0.2
"""Height over width below which there is no room for a title along the height."""
AROUND_PX = 156
"""Height that titles, axis and colour bar take."""


def points_figure(units: Units) -> Figure:
    """Return the column of the cells that counts points in those units."""
    return "points_per_square_inch" if units == "inch" else "points_per_25mm_square"


def cells_map(
    cells: pd.DataFrame,
    side_mm: float,
    figure: Figure,
    units: Units = "metric",
    worst: Square | None = None,
) -> go.Figure:
    """Return a map of one figure over the cells of a face.

    Cells of which less than half is face are pale, with their number in brackets, as their figures
    do not compare.

    Parameters
    ----------
    cells : DataFrame
        With the columns of the table "cells".
    side_mm : float
        Side of a cell.
    figure : str
        Column that is drawn.
    units : {"metric", "inch"}
        For the axes.
    worst : Square, optional
        The worst square of the face, outlined.
    """
    per_unit, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    x, y = (_lines(cells, axis, side_mm) / per_unit for axis in ("x", "y"))
    enough = cells["enough_area"].to_numpy(dtype=bool)
    highest = float(cells[figure].max()) if len(cells) else 0.0
    shown = {
        "type": "heatmap", "x": x, "y": y, "zmin": 0.0, "zmax": highest or 1.0,
        "xgap": 1, "ygap": 1, "hoverinfo": "text", "hoverongaps": False,
    }  # fmt: skip
    pale = {"colorscale": PALE_SCALE, "showscale": False, "textfont": {"color": "#20242c"}}
    traces: list[dict[str, Any]] = [
        shown | _grid(cells, enough, figure, "{:.0f}") | {"coloraxis": "coloraxis"},
        shown | _grid(cells, ~enough, figure, "({:.0f})") | pale,
    ]
    if len(x) - 1 > MOST_NUMBERED:
        traces = [trace | {"texttemplate": ""} for trace in traces]
    if worst is not None:
        traces.append(_outline(worst, per_unit))
    layout = _layout(x, y, unit) | {"annotations": [_title(figure, worst)]}
    layout["coloraxis"] = {
        "colorscale": SCALE, "cmin": 0.0, "cmax": highest or 1.0, "colorbar": _bar(),
    }  # fmt: skip
    return styled(traces, layout)


def _lines(cells: pd.DataFrame, axis: Literal["x", "y"], side_mm: float) -> NDArray[np.float64]:
    """Sides of the cells along an axis, in mm."""
    if cells.empty:
        return np.array([0.0, side_mm])
    number = "column" if axis == "x" else "row"
    start = float((cells[f"{axis}_mm"] - cells[number] * side_mm).iloc[0])
    return np.asarray(start + side_mm * np.arange(int(cells[number].max()) + 2), dtype=np.float64)


def _grid(
    cells: pd.DataFrame, chosen: NDArray[np.bool_], figure: Figure, form: str
) -> dict[str, Any]:
    """Values, numbers and hover of the chosen cells on the whole grid; nothing elsewhere."""
    size = (int(cells["row"].max()) + 1, int(cells["column"].max()) + 1) if len(cells) else (1, 1)
    values = np.full(size, np.nan)
    numbers, hover = np.full(size, "", dtype=object), np.full(size, "", dtype=object)
    held = cells[chosen]
    at = held["row"].to_numpy(), held["column"].to_numpy()
    values[at] = held[figure].to_numpy()
    numbers[at] = [form.format(value) for value in held[figure]]
    hover[at] = [_hover(cell, figure) for cell in held.itertuples(index=False)]
    return {"z": values, "text": numbers, "texttemplate": "%{text}", "hovertext": hover}


def _hover(cell: Any, figure: Figure) -> str:
    density: Figure = "points_per_25mm_square" if figure == "contact_percent" else figure
    lines = [
        f"<b>square {cell.column + 1} from the left, {cell.row + 1} from the top</b>",
        f"{cell.contact_percent:.1f} % contact",
        f"{cell.points} point{'' if cell.points == 1 else 's'}, "
        f"{getattr(cell, density):.1f} {TITLES[density].removeprefix('Points ')}",
        f"{cell.area_mm2 / 100:.1f} cm2 of face in it",
    ]
    return "<br>".join(lines if cell.enough_area else [*lines, "too little face to compare"])


def _outline(square: Square, per_unit: float) -> dict[str, Any]:
    left, top, side = (v / per_unit for v in (square.x_mm, square.y_mm, square.side_mm))
    return {
        "type": "scatter", "mode": "lines", "name": "worst square",
        "x": [left, left + side, left + side, left, left],
        "y": [top, top, top + side, top + side, top],
        "line": {"color": VERMILION, "width": 3, "dash": "dash"}, "hoverinfo": "skip",
    }  # fmt: skip


def _bar() -> dict[str, Any]:
    return {
        "orientation": "h", "thickness": 10, "len": 0.62, "x": 0, "xanchor": "left", "xpad": 0,
        "y": 1, "yanchor": "bottom", "ypad": 6, "nticks": 5, "outlinewidth": 0,
    }  # fmt: skip


def _title(figure: Figure, worst: Square | None) -> dict[str, Any]:
    dashed = "" if worst is None else "<br>dashed: worst square, wherever it lies"
    return {
        "text": f"<b>{TITLES[figure]}</b>{dashed}", "showarrow": False, "align": "left", "x": 0,
        "xref": "paper", "xanchor": "left", "y": 1, "yref": "paper", "yanchor": "bottom",
        "yshift": 40,
    }  # fmt: skip


def _layout(x: NDArray[np.float64], y: NDArray[np.float64], unit: str) -> dict[str, Any]:
    across, down = float(x[-1] - x[0]), float(y[-1] - y[0])
    wished = min(WIDTH_PX * down / across, LARGEST_CELL_PX * (len(y) - 1))
    height = min(MOST_HEIGHT_PX, max(LEAST_HEIGHT_PX, wished))
    plain = {"showgrid": False, "zeroline": False, "constrain": "domain"}
    narrow = down / across < NARROW
    return {
        "xaxis": plain | {
            "title": {"text": f"from the left, {unit}"}, "range": [x[0], x[-1]],
            "constraintoward": "left",
        },
        "yaxis": plain | {
            "title": {"text": "" if narrow else f"from the top, {unit}"}, "range": [y[-1], y[0]],
            "scaleanchor": "x", "constraintoward": "top", "nticks": 3 if narrow else 6,
        },
        "height": round(height) + AROUND_PX,
        "margin": {"l": 8, "r": 12, "t": 100, "b": 8},
        "showlegend": False,
    }  # fmt: skip
