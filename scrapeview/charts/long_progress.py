"""How each stretch of a long face came along: contact and points over the passes, side by side."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from scrapeview.charts.chart_style import (
    BLUE,
    GREEN,
    GREY,
    ORANGE,
    PURPLE,
    VERMILION,
    styled,
)
from scrapeview.charts.long_bars import plain
from scrapeview.charts.long_stretches import Followed, Stretch, prints_table
from scrapeview.charts.progress_panels import SYMBOLS, nothing_to_draw, pass_axis
from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.targets import Target

COLOURS = (BLUE, VERMILION, GREEN, PURPLE, ORANGE, GREY)
DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")
"""Colour, line and sign of each stretch, so that none is told by its colour alone."""
PANEL_PX, TITLE_PX, LEGEND_ROW_PX = 230, 52, 26
SIGN_LETTERS, PHONE_LETTERS = 9, 44
"""Room of a sign in the legend, and of a line of it on a phone, in letters."""
GAP = 0.2
SHIFT = 0.08
"""Between two stretches, of the step from pass to pass, so that their bars stand apart."""


def stretches_chart(
    lines: Sequence[Followed], target: Target, units: Units = "metric"
) -> go.Figure:
    """Return contact and points of each stretch over the passes, with their intervals.

    Parameters
    ----------
    lines : sequence of Followed
        From left to right.
    target : Target
    units : {"metric", "inch"}
    """
    shown = [one for line in lines for one in line.stretches]
    if not shown:
        return nothing_to_draw("No print of a stretch is kept yet.")
    traces = [
        trace
        for at, line in enumerate(lines)
        for figure, axis in (("contact", "y2"), ("points", "y"))
        for trace in _line(line, at, len(lines), figure, axis, units)
    ]
    return styled(traces, _layout(lines, shown, target, units))


def stretches_table(lines: Sequence[Followed]) -> pd.DataFrame:
    """Return the numbers behind the chart, one row a print."""
    parts = [prints_table(line.stretches).assign(stretch=line.name) for line in lines]
    table = pd.concat(parts, ignore_index=True) if parts else prints_table(()).assign(stretch="")
    return table[["stretch", *table.columns.drop("stretch")]]


def _line(
    line: Followed, at: int, count: int, figure: str, axis: str, units: Units
) -> list[dict[str, Any]]:
    sound = [one for one in line.stretches if _is_sound(one, figure)]
    unsound = [one for one in line.stretches if one.is_print and not _is_sound(one, figure)]
    colour, symbol = COLOURS[at % len(COLOURS)], SYMBOLS[at % len(SYMBOLS)]
    shift = SHIFT * (at - (count - 1) / 2)
    look = {
        "type": "scatter", "yaxis": axis, "hoverinfo": "text", "cliponaxis": False,
        "legendgroup": str(at), "name": f"{at + 1} {plain(line.name)}",
    }  # fmt: skip
    traces: list[dict[str, Any]] = []
    if unsound:
        values = np.array([_figures(one, figure, units) for one in unsound])
        traces.append(look | {
            "mode": "markers", "x": [one.pass_number + shift for one in unsound],
            "y": values[:, 0], "hovertext": [_hover(one, figure, units) for one in unsound],
            "marker": {"color": colour, "size": 9, "symbol": f"{symbol}-open"},
            "showlegend": False,
        })  # fmt: skip
    if not sound and figure != "contact":
        return traces
    values = np.array([_figures(one, figure, units) for one in sound]).reshape(-1, 3)
    known = np.isfinite(values).all(axis=1)
    traces.append(look | {
        "mode": "lines+markers", "x": [one.pass_number + shift for one in sound],
        "y": values[:, 0], "hovertext": [_hover(one, figure, units) for one in sound],
        "line": {"color": colour, "width": 2, "dash": DASHES[at % len(DASHES)]},
        "marker": {"color": colour, "size": 9, "symbol": symbol},
        "showlegend": figure == "contact",
        "error_y": {
            "type": "data", "symmetric": False, "color": colour, "thickness": 1.5, "width": 4,
            "array": np.where(known, values[:, 2] - values[:, 0], 0.0),
            "arrayminus": np.where(known, values[:, 0] - values[:, 1], 0.0),
        },
    })  # fmt: skip
    return traces


def _is_sound(one: Stretch, figure: str) -> bool:
    return one.is_print and (figure == "contact" or one.count_reliable)


def _figures(one: Stretch, figure: str, units: Units) -> tuple[float, float, float]:
    if figure == "contact":
        return one.contact_percent, one.contact_low, one.contact_high
    told = (points_by(value, units) for value in (one.ppsi, one.ppsi_low, one.ppsi_high))
    value, low, high = told
    return value, low, high


def _hover(one: Stretch, figure: str, units: Units) -> str:
    value, low, high = _figures(one, figure, units)
    unit = "% contact" if figure == "contact" else f"points/{points_unit(units)}"
    told = f" ({low:.1f} to {high:.1f})" if np.isfinite(low) and np.isfinite(high) else ""
    lines = [f"<b>Pass {one.pass_number}, {plain(one.name)}</b>", f"{value:.1f} {unit}{told}"]
    if figure == "points" and not one.count_reliable:
        lines.append("count unreliable: marks merge")
    return "<br>".join(lines)


def _layout(
    lines: Sequence[Followed], shown: Sequence[Stretch], target: Target, units: Units
) -> dict[str, Any]:
    numbers = pd.Series([one.pass_number for one in shown])
    height = (1 - GAP) / 2
    contact, points = target.contact_least_percent, target.ppsi_least
    levels = (
        ("y2", 1.0, "Contact, %", contact),
        ("y", height, f"Points per {points_unit(units)}",
         None if points is None else points_by(points, units)),
    )  # fmt: skip
    letters = sum(len(line.name) + SIGN_LETTERS for line in lines)
    legend_px = LEGEND_ROW_PX * (1 + letters // PHONE_LETTERS)
    return {
        "xaxis": pass_axis(numbers),
        "yaxis": {"domain": [0, height], "rangemode": "tozero", "nticks": 6},
        "yaxis2": {"domain": [1 - height, 1], "rangemode": "tozero", "nticks": 6},
        "annotations": [
            {
                "text": f"<b>{title}</b>{'' if least is None else f', dotted: target {least:.3g}'}",
                "showarrow": False, "x": 0, "xref": "paper", "xanchor": "left", "y": top,
                "yref": "paper", "yanchor": "bottom", "yshift": 4,
            }
            for _, top, title, least in levels
        ],
        "shapes": [
            {
                "type": "line", "xref": "paper", "x0": 0, "x1": 1, "yref": axis, "y0": least,
                "y1": least, "layer": "below",
                "line": {"color": GREEN, "width": 1.5, "dash": "dot"},
            }
            for axis, _, _, least in levels
            if least is not None
        ],
        "height": 2 * PANEL_PX + TITLE_PX + legend_px,
        "margin": {"l": 8, "r": 12, "t": TITLE_PX, "b": 12 + legend_px},
        "showlegend": True, "legend": {"yref": "container", "y": 0.0, "yanchor": "bottom"},
    }  # fmt: skip
