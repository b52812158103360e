"""Where a face is heading, pass by pass, and how counting by eye agrees with the program."""

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from numpy.typing import NDArray

from scrapeview.charts.chart_style import BLUE, GREY, ORANGE, styled
from scrapeview.charts.progress_charts import contact_panel, points_panel
from scrapeview.charts.progress_frame import progress_frame
from scrapeview.charts.progress_panels import (
    HEIGHT_PX,
    Panel,
    Traces,
    nothing_to_draw,
    pass_axis,
    stacked,
)
from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.judge.eye import EyeAgreement
from scrapeview.judge.forecast.forecast import FigureForecast, Forecast

BAND = "rgba(230, 159, 0, 0.22)"
LIMIT_BAND, BIAS_BAND = "rgba(230, 159, 0, 0.16)", "rgba(0, 114, 178, 0.22)"
FEWEST_AHEAD, MOST_AHEAD = 3, 12
ROOM = 1.5
"""Of the scale, over the highest print and the target; bands may run out at the top."""
COUNT_FIRST = "No square counted by eye yet:<br>count one on a print first."


def forecast_chart(passes: pd.DataFrame, found: Forecast, units: Units = "metric") -> go.Figure:
    """Return the prints of a face with the curves they follow and the target.

    Parameters
    ----------
    passes : DataFrame
        With the columns of the table "passes", in any order of rows.
    found : Forecast
        Of the same passes.
    units : {"metric", "inch"}
    """
    if not len(passes):
        return nothing_to_draw("No print of this face yet:<br>keep one on the page New print.")
    frame = progress_frame(passes, units)
    last = found.last_pass + passes_ahead(found)
    panels = [
        _with_curve(points_panel(frame, found.target, units), found.points, last, units),
        _with_curve(contact_panel(frame, found.target), found.contact, last, units),
    ]
    figure = stacked(panels, frame["number"])
    axis = pass_axis(pd.Series([int(frame["number"].min()), last]))
    figure.update_xaxes(axis)
    _mark_expected(figure, found, last)
    return figure


def forecast_data(found: Forecast, units: Units = "metric") -> pd.DataFrame:
    """Return the curves behind the chart, one row a pass, in the reader's units."""
    unit = "per_square_inch" if units == "inch" else "per_25mm_square"
    points = found.points.curve.set_index("pass").map(lambda v: points_by(v, units))
    contact = found.contact.curve.set_index("pass")
    told = [
        points.rename(columns=lambda name: f"points_{unit}_{name}"),
        contact.rename(columns=lambda name: f"contact_percent_{name}"),
    ]
    return pd.concat(told, axis=1).reset_index()


def passes_ahead(found: Forecast) -> int:
    """Return how many passes ahead of the last are drawn."""
    if not (len(found.points.curve) or len(found.contact.curve)):
        return 0
    if found.state in ("ahead", "never"):
        high = found.passes.high or MOST_AHEAD
        return int(min(MOST_AHEAD, max(FEWEST_AHEAD, high + 1)))
    return FEWEST_AHEAD


def _with_curve(panel: Panel, found: FigureForecast, last: int, units: Units) -> Panel:
    """Put band and curve below the dots, and a scale that the band does not stretch."""
    drawn = found.curve[found.curve["pass"] <= last]
    if not len(drawn):
        return panel
    scale = (lambda v: points_by(v, units)) if found.which == "points" else float
    x = drawn["pass"].to_numpy()
    low, middle, high = (
        np.array([scale(v) for v in drawn[name]]) for name in ("low", "middle", "high")
    )
    first = found.which == "contact"
    dots = [trace for trace in panel.traces if trace.get("name") != "joined"]
    top = max([panel.top, *(_reach(trace) for trace in dots)])
    return replace(
        panel,
        traces=[*_curve_traces(x, low, middle, high, told=first), *dots],
        most=min(panel.most, ROOM * top),
    )


def _curve_traces(
    x: NDArray[np.int64],
    low: NDArray[np.float64],
    middle: NDArray[np.float64],
    high: NDArray[np.float64],
    *,
    told: bool,
) -> Traces:
    common: dict[str, Any] = {"type": "scatter", "mode": "lines", "showlegend": told}
    texts = [
        f"<b>Pass {n}</b>, expected {m:.1f}<br>8 cases in 10: {a:.1f} to {b:.1f}"
        for n, m, a, b in zip(x, middle, low, high, strict=True)
    ]
    return [
        common
        | {
            "x": np.concatenate((x, x[::-1])), "y": np.concatenate((high, low[::-1])),
            "fill": "toself", "fillcolor": BAND, "line": {"width": 0}, "hoverinfo": "skip",
            "name": "8 cases in 10",
        },
        common
        | {
            "x": x, "y": middle, "line": {"color": ORANGE, "width": 2.5, "dash": "solid"},
            "hoverinfo": "text", "hovertext": texts, "name": "Expected",
        },
    ]  # fmt: skip


def _reach(trace: dict[str, Any]) -> float:
    above = np.asarray(trace.get("error_y", {}).get("array", 0.0), dtype=np.float64)
    return float(np.max(np.nan_to_num(np.asarray(trace["y"], dtype=np.float64) + above), initial=0))


def _mark_expected(figure: go.Figure, found: Forecast, last: int) -> None:
    """Tint the passes on which the target is expected to be cleared."""
    low, middle, high = found.passes.low, found.passes.middle, found.passes.high
    if found.state not in ("ahead", "never") or low is None:
        return
    start = found.last_pass + low
    if start > last:
        return
    end = min(last, found.last_pass + high) if high is not None else last
    figure.add_shape(
        type="rect", xref="x", yref="paper", x0=start - 0.45, x1=end + 0.45, y0=0, y1=1,
        fillcolor=GREY, opacity=0.16, line={"width": 0}, layer="below",
    )  # fmt: skip
    figure.add_annotation(
        text=_expected_words(found), showarrow=False, xref="x", yref="paper", x=end + 0.45,
        xanchor="right", y=1, yanchor="top", font={"size": 12},
    )  # fmt: skip
    if middle is not None and found.last_pass + middle <= last:
        figure.add_shape(
            type="line", xref="x", yref="paper", x0=found.last_pass + middle,
            x1=found.last_pass + middle, y0=0, y1=1, layer="below",
            line={"color": GREY, "width": 1.5, "dash": "dot"},
        )  # fmt: skip


def _expected_words(found: Forecast) -> str:
    low, high = (None if n is None else found.last_pass + n for n in
                 (found.passes.low, found.passes.high))  # fmt: skip
    if high is None:
        ever = ", if at all" if found.state == "never" else ""
        return f"cleared on pass {low:.0f} or later{ever}"
    return f"cleared on pass {low:.0f}" + (f" to {high:.0f}" if high != low else "")


def agreement_chart(found: EyeAgreement, units: Units = "metric") -> go.Figure:
    """Return the difference of eye and program against their mean, a dot a square.

    Parameters
    ----------
    found : EyeAgreement
    units : {"metric", "inch"}
    """
    if not found.count:
        return nothing_to_draw(COUNT_FIRST)
    mean, difference = (
        points_by_all(found.table[name], units) for name in ("mean_ppsi", "difference_ppsi")
    )
    dots: dict[str, Any] = {
        "type": "scatter", "mode": "markers", "x": mean, "y": difference, "hoverinfo": "text",
        "hovertext": [f"mean {m:.1f}, eye {d:+.1f} against the program"
                      for m, d in zip(mean, difference, strict=True)],
        "marker": {"color": BLUE, "size": 10, "opacity": 0.7, "line": {"color": BLUE, "width": 1}},
        "showlegend": False, "cliponaxis": False,
    }  # fmt: skip
    shapes, texts, reach = _agreement_lines(found, units)
    high = 1.15 * max(reach, float(np.abs(difference).max()), 1.0)
    unit = points_unit(units)
    title = "<b>Points: eye less program</b>"
    texts.append(
        {"text": title, "showarrow": False, "x": 0, "xref": "paper", "xanchor": "left", "y": 1,
         "yref": "paper", "yanchor": "bottom", "yshift": 4}
    )  # fmt: skip
    return styled(
        [dots],
        {
            "height": HEIGHT_PX, "shapes": shapes, "annotations": texts,
            "xaxis": {"title": {"text": f"mean of both, points per {unit}"}, "zeroline": False},
            "yaxis": {"range": [-high, high], "zeroline": True, "zerolinewidth": 1.5},
            "margin": {"l": 8, "r": 12, "t": 52, "b": 8},
        },
    )  # fmt: skip


def points_by_all(values: pd.Series, units: Units) -> NDArray[np.float64]:
    """Return points per square inch as the shop counts them."""
    return np.array([points_by(float(value), units) for value in values], dtype=np.float64)


def _agreement_lines(
    found: EyeAgreement, units: Units
) -> tuple[list[dict[str, Any]], list[dict[str, Any]], float]:
    across = {"xref": "paper", "x0": 0, "x1": 1, "yref": "y", "layer": "below"}
    shapes: list[dict[str, Any]] = []
    texts: list[dict[str, Any]] = []
    reach = 0.0
    lines = (
        (found.bias, found.bias_interval, "on the whole", BLUE, BIAS_BAND, "solid"),
        (found.low, found.low_interval, "limit of agreement", ORANGE, LIMIT_BAND, "dash"),
        (found.high, found.high_interval, "limit of agreement", ORANGE, LIMIT_BAND, "dash"),
    )
    for level, interval, what, colour, band, dash in lines:
        if not np.isfinite(level):
            continue
        y, low, high = (points_by(v, units) for v in (level, interval.low, interval.high))
        if np.isfinite(low):
            shapes.append(
                across | {"type": "rect", "y0": low, "y1": high, "fillcolor": band,
                          "line": {"width": 0}}
            )  # fmt: skip
            reach = max(reach, abs(low), abs(high))
        shapes.append(
            across | {"type": "line", "y0": y, "y1": y,
                      "line": {"color": colour, "width": 2, "dash": dash}}
        )  # fmt: skip
        texts.append(
            {"text": f"{what} {y:+.1f}", "showarrow": False, "x": 1, "xref": "paper",
             "xanchor": "right", "y": y, "yref": "y", "yanchor": "bottom", "font": {"size": 12}}
        )  # fmt: skip
        reach = max(reach, abs(y))
    return shapes, texts, reach
