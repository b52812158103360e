"""Figures of what a print says about shape: the relief as a map, and where the part would turn."""

from typing import Any

import cv2
import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray

from scrapeview.bearing import Pivot
from scrapeview.charts.chart_style import BLUE, GREEN, GREY, ORANGE, VERMILION, styled
from scrapeview.charts.shape_words import FAR_END
from scrapeview.charts.shown import Units, length
from scrapeview.judge.shape import Shape
from scrapeview.record.entries import SwingTest
from scrapeview.units import MM_PER_INCH

SCALE = [[0.0, BLUE], [0.25, "#86b8d8"], [0.5, "#f4f4f2"], [0.75, "#ecab80"], [1.0, VERMILION]]
"""Low in blue, high in vermilion: holds for colour-blind eyes; lines of height carry numbers."""
LEAST_RANGE = 1.0
"""Texture heights either way that the colours span at least: noise shall not look like hills."""
HATCHED = {-1: "too little contact to say how low", 1: "too much contact to say how high"}
PATTERN = {-1: "\\", 1: "x"}
INK = "#20242c"
WIDTH_PX, LEAST_HEIGHT_PX, MOST_HEIGHT_PX = 360, 60, 600
"""Narrower than a column at the bench, so that a phone shows little blank ground below the map."""
AROUND_PX, LEGEND_PX = 150, 40
"""Height that title, colour bar and axis take, and the legend where something is hatched."""
LANES = {0: 1.0, 1: 0.0}
"""Height at which each end's pivot is drawn."""
END_COLOURS = (BLUE, VERMILION)
END_SYMBOLS = ("diamond", "circle")


def relief_map(shape: Shape, units: Units = "metric") -> go.Figure:
    """Return a map of the relief, an estimate, with lines of height.

    What is not known stays open; where contact is too little or too much to give a height it is
    hatched.

    Parameters
    ----------
    shape : Shape
    units : {"metric", "inch"}
        For the axes.
    """
    per_unit, unit = _unit(units)
    x, y = _middles(shape, per_unit)
    traces: list[dict[str, Any]] = [
        _heights(shape, x, y, unit),
        *(_hatch(shape, sign, per_unit) for sign in HATCHED if (shape.relief.beyond == sign).any()),
        *(_lines(p, per_unit, "solid") for p in shape.regions_mm),
        *(_lines(p, per_unit, "dot") for p in shape.openings_mm),
    ]
    return styled(traces, _map_layout(shape, per_unit, unit, length(shape.relief.length_mm, units)))


def pivot_picture(
    shape: Shape, units: Units = "metric", swing: SwingTest | None = None
) -> go.Figure:
    """Return where the face bears along its length, and below it where it would turn.

    Parameters
    ----------
    shape : Shape
    units : {"metric", "inch"}
    swing : SwingTest, optional
        The part's own test, beside what the print says.
    """
    per_unit, unit = _unit(units)
    traces = [*_profile(shape, per_unit, unit), _part(shape, per_unit)]
    for lane, pivot in enumerate(shape.pivots):
        traces += _pivot_traces(shape, pivot, lane, per_unit, unit)
    if swing is not None and swing.pivot_percent is not None and shape.pivots:
        traces.append(_swung(shape, swing, per_unit, unit))
    return styled(traces, _picture_layout(shape, per_unit, unit))


def _unit(units: Units) -> tuple[float, str]:
    return (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")


def _middles(shape: Shape, per_unit: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    grid = shape.relief_grid
    rows, columns = grid.shape
    x = grid.origin_mm[0] + np.arange(columns) / grid.px_per_mm
    y = grid.origin_mm[1] + np.arange(rows) / grid.px_per_mm
    return np.asarray(x / per_unit), np.asarray(y / per_unit)


def _heights(
    shape: Shape, x: NDArray[np.float64], y: NDArray[np.float64], unit: str
) -> dict[str, Any]:
    relief = shape.relief
    told = relief.height[relief.told]
    reach = max(LEAST_RANGE, float(np.abs(told).max())) if told.size else LEAST_RANGE
    step = 0.25 if reach <= 1 else 0.5
    reach = float(np.ceil(reach / step) * step)
    return {
        "type": "contour", "z": np.round(relief.height, 3), "x": x, "y": y, "name": "",
        "customdata": np.round(relief.error, 2), "zmin": -reach, "zmax": reach,
        "colorscale": SCALE, "connectgaps": False, "hoverongaps": False, "showlegend": False,
        "contours": {
            "start": -reach, "end": reach, "size": step, "coloring": "heatmap",
            "showlabels": True, "labelfont": {"size": 11, "color": INK}, "labelformat": ".2~f",
        },
        "line": {"color": "rgba(32, 36, 44, 0.55)", "width": 1, "smoothing": 1},
        "hovertemplate": "%{z:+.2f} texture heights, give or take %{customdata:.2f}"
        f"<br>%{{x:.1f}} {unit} from the left, %{{y:.1f}} {unit} from the top<extra></extra>",
        "colorbar": {
            "orientation": "h", "thickness": 12, "len": 0.75, "x": 0, "xanchor": "left", "xpad": 0,
            "y": 1, "yanchor": "bottom", "ypad": 4, "outlinewidth": 0, "nticks": 5,
            "tickformat": ".2~f",
        },
    }  # fmt: skip


def _hatch(shape: Shape, sign: int, per_unit: float) -> dict[str, Any]:
    grid = shape.relief_grid
    mask = (shape.relief.beyond == sign).astype(np.uint8)
    # doubled, so that a border runs along the squares' sides and not through their middles
    fine = cv2.resize(mask, None, fx=4, fy=4, interpolation=cv2.INTER_NEAREST)
    found, _ = cv2.findContours(fine, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    x: list[float | None] = []
    y: list[float | None] = []
    for contour in found:
        places = (np.asarray(contour, dtype=float).reshape(-1, 2) + 0.5) / 4 - 0.5
        line = np.round(grid.to_mm(places) / per_unit, 3)
        x += [*line[:, 0].tolist(), float(line[0, 0]), None]
        y += [*line[:, 1].tolist(), float(line[0, 1]), None]
    return {
        "type": "scatter", "mode": "lines", "x": x, "y": y, "fill": "toself",
        "name": HATCHED[sign], "hoverinfo": "name", "hoveron": "fills",
        "line": {"color": GREY, "width": 1}, "showlegend": True,
        "fillpattern": {"shape": PATTERN[sign], "fgcolor": GREY, "size": 7, "solidity": 0.18},
    }  # fmt: skip


def _lines(polygon_mm: NDArray[np.float64], per_unit: float, dash: str) -> dict[str, Any]:
    places = np.asarray(polygon_mm, dtype=float).reshape(-1, 2)
    closed = np.vstack((places, places[:1])) / per_unit
    return {
        "type": "scatter", "mode": "lines", "x": closed[:, 0], "y": closed[:, 1],
        "line": {"color": GREY, "width": 1.5, "dash": dash}, "hoverinfo": "skip",
        "showlegend": False,
    }  # fmt: skip


def _map_layout(shape: Shape, per_unit: float, unit: str, smoothed: str) -> dict[str, Any]:
    corners = np.concatenate(shape.regions_mm) / per_unit
    (left, top), (right, bottom) = corners.min(axis=0), corners.max(axis=0)
    wished = WIDTH_PX * (bottom - top) / max(right - left, 1e-9)
    height = float(np.clip(wished, LEAST_HEIGHT_PX, MOST_HEIGHT_PX))
    plain = {"showgrid": False, "zeroline": False, "constrain": "domain"}
    return {
        "xaxis": plain | {
            "title": {"text": f"from the left, {unit}"}, "range": [left, right],
            "constraintoward": "left",
        },
        "yaxis": plain | {
            "title": {"text": f"from the top, {unit}"}, "range": [bottom, top],
            "scaleanchor": "x", "constraintoward": "top",
        },
        "height": round(height) + AROUND_PX + (LEGEND_PX if shape.relief.beyond.any() else 0),
        "margin": {"l": 8, "r": 12, "t": 100, "b": 8},
        "legend": {"orientation": "h", "x": 0, "y": 0, "yref": "container", "yanchor": "bottom"},
        "annotations": [{
            "text": f"<b>Relief, an estimate</b><br>texture heights, over {smoothed}",
            "showarrow": False, "align": "left", "x": 0, "xref": "paper", "xanchor": "left",
            "y": 1, "yref": "paper", "yanchor": "bottom", "yshift": 42,
        }],
    }  # fmt: skip


def _profile(shape: Shape, per_unit: float, unit: str) -> list[dict[str, Any]]:
    """One trace for each run that is known: a ground below one line would fill the gaps too."""
    known = np.flatnonzero(np.isfinite(shape.bears_percent))
    runs = np.split(known, np.flatnonzero(np.diff(known) > 1) + 1)
    return [
        {
            "type": "scatter", "mode": "lines", "x": shape.stretch_mm[run] / per_unit,
            "y": shape.bears_percent[run], "fill": "tozeroy", "yaxis": "y2", "showlegend": False,
            "line": {"color": GREY, "width": 1.5}, "fillcolor": "rgba(128, 132, 140, 0.3)",
            "name": "contact along the length",
            "hovertemplate": f"%{{y:.0f}} % contact at %{{x:.1f}} {unit}<extra></extra>",
        }
        for run in runs
    ]  # fmt: skip


def _part(shape: Shape, per_unit: float) -> dict[str, Any]:
    start, end = shape.start_mm / per_unit, (shape.start_mm + shape.length_mm) / per_unit
    return {
        "type": "scatter", "mode": "lines", "x": [start, end, end, start, start],
        "y": [-0.6, -0.6, 1.6, 1.6, -0.6], "line": {"color": GREY, "width": 1.5},
        "hoverinfo": "skip", "showlegend": False,
    }  # fmt: skip


def _pivot_traces(
    shape: Shape, pivot: Pivot, lane: int, per_unit: float, unit: str
) -> list[dict[str, Any]]:
    at, low, high, even = (
        _along(shape, pivot, share) / per_unit
        for share in (pivot.share, pivot.interval.low, pivot.interval.high, pivot.even_share)
    )
    y, colour = LANES[lane], END_COLOURS[lane]
    end = _along(shape, pivot, 1.0) / per_unit
    far = FAR_END[pivot.pushed]
    told = (
        f"pushed at the {pivot.pushed} end<br>{100 * pivot.share:.0f} % of the length from the "
        f"{far} end ({100 * pivot.interval.low:.0f} to {100 * pivot.interval.high:.0f})<br>"
        f"at %{{x:.1f}} {unit}<extra></extra>"
    )
    return [
        {
            "type": "scatter", "mode": "lines", "x": [end, at], "y": [y, y], "hoverinfo": "skip",
            "line": {"color": colour, "width": 1, "dash": "dot"}, "showlegend": False,
        },
        {
            "type": "scatter", "mode": "markers", "x": [even], "y": [y], "name": "if even",
            "legendrank": 1001,
            "marker": {
                "symbol": "line-ns", "size": 26, "line": {"color": GREEN, "width": 4},
            },
            "hovertemplate": f"bearing evenly: {100 * pivot.even_share:.0f} % from the {far} end"
            "<extra></extra>", "showlegend": lane == 0,
        },
        {
            "type": "scatter", "mode": "markers", "x": [at], "y": [y],
            "name": f"pushed {pivot.pushed}", "hovertemplate": told,
            "marker": {"symbol": END_SYMBOLS[lane], "size": 12, "color": colour},
            "error_x": {
                "type": "data", "symmetric": False, "array": [max(high, low) - at],
                "arrayminus": [at - min(high, low)], "color": colour, "thickness": 2.5, "width": 7,
            },
        },
        {
            "type": "scatter", "mode": "markers", "x": [end], "y": [y], "hoverinfo": "skip",
            "marker": {"symbol": "arrow-down", "size": 15, "color": colour}, "showlegend": False,
        },
    ]  # fmt: skip


def _along(shape: Shape, pivot: Pivot, share_from_far: float) -> float:
    """Place in mm on the length, of a share from the end that is not pushed."""
    from_start = 1 - share_from_far if pivot.pushed in ("left", "top") else share_from_far
    return shape.start_mm + from_start * shape.length_mm


def _swung(shape: Shape, swing: SwingTest, per_unit: float, unit: str) -> dict[str, Any]:
    share = (swing.pivot_percent or 0.0) / 100
    places = [_along(shape, pivot, share) / per_unit for pivot in shape.pivots]
    return {
        "type": "scatter", "mode": "markers", "x": places, "y": list(LANES.values()),
        "name": "swing test", "legendrank": 1002,
        "marker": {
            "symbol": "star", "size": 15, "color": ORANGE, "line": {"color": INK, "width": 1},
        },
        "hovertemplate": f"swing test after pass {swing.pass_number}: {100 * share:.0f} % from the "
        f"far end, at %{{x:.1f}} {unit}<extra></extra>",
    }  # fmt: skip


def _picture_layout(shape: Shape, per_unit: float, unit: str) -> dict[str, Any]:
    start, end = shape.start_mm / per_unit, (shape.start_mm + shape.length_mm) / per_unit
    spare = 0.04 * (end - start)
    side = "left" if shape.along == "x" else "top"
    return {
        "xaxis": {
            "title": {"text": f"along the length, from the {side}, {unit}"},
            "range": [start - spare, end + spare], "zeroline": False, "anchor": "y",
        },
        "yaxis": {
            "domain": [0.0, 0.5], "range": [-0.8, 1.8], "showgrid": False, "zeroline": False,
            "showticklabels": False,
        },
        "yaxis2": {
            "domain": [0.58, 1.0], "rangemode": "tozero", "zeroline": False, "nticks": 4,
            "title": {"text": "contact, %"},
        },
        "height": 400,
        "margin": {"l": 8, "r": 12, "t": 92, "b": 8},
        "legend": {
            "orientation": "h", "x": 0, "y": 1, "yanchor": "bottom", "entrywidth": 0.48,
            "entrywidthmode": "fraction",
        },
        "annotations": [{
            "text": "<b>Bearing and pivots</b>", "showarrow": False, "x": 0,
            "xref": "paper", "xanchor": "left", "y": 1, "yref": "paper", "yanchor": "bottom",
            "yshift": 58, "align": "left",
        }],
    }  # fmt: skip
