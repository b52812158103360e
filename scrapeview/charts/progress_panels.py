"""The parts a progress chart is made of: panels over the pass numbers, dots, bars, targets."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from numpy.typing import NDArray

from scrapeview.charts.chart_style import BLUE, CLEAR, GREEN, GREY, ORANGE, VERMILION, styled
from scrapeview.charts.progress_frame import pass_line

SYMBOLS = ("circle", "square", "diamond", "triangle-up", "star", "hexagon")
"""One for each placement of the reference."""
SHIFT = 0.16
"""Between the dots of two placements, of the step from pass to pass."""
MANY_PRINTS = 40
HEIGHT_PX, TALL_PX = 316, 388
TITLE_PX = 52
"""Above the uppermost panel: its title, below the buttons."""
GAP = 0.2
"""Between two panels, of the height; holds the lower one's title."""
NO_PRINT = "no print found"
Traces = list[dict[str, Any]]


@dataclass(frozen=True)
class Line:
    """A target or a limit: a level, and up to where its ground is tinted.

    Parameters
    ----------
    level : float
    text : str
    colour, dash : str
    up_to : float or None
        Other end of the tinted band; None for a line alone.
    ends : tuple of float
        Levels that are drawn as lines.
    """

    level: float
    text: str
    colour: str = GREEN
    dash: str = "dash"
    up_to: float | None = None
    ends: tuple[float, ...] = ()


@dataclass(frozen=True)
class Panel:
    """One field of a chart over the pass numbers.

    Parameters
    ----------
    title : str
        What is drawn, with its unit.
    traces : list of dict
    lines : sequence of Line
    top : float
        Least upper end of its scale.
    most : float
        Upper end that the scale never passes, such as 100 for per cent.
    """

    title: str
    traces: Traces
    lines: Sequence[Line] = ()
    top: float = 0.0
    most: float = np.inf


def limits(warn: float, bad: float) -> tuple[Line, ...]:
    """Return the limits of a check, from the findings, as lines of a panel."""
    return (
        Line(warn, f"from {warn:g} % on with care", ORANGE, "dash", ends=(warn,)),
        Line(bad, f"from {bad:g} % on too much", VERMILION, "dot", ends=(bad,)),
    )


def dots(
    frame: pd.DataFrame,
    column: str,
    sound: NDArray[np.bool_],
    hover: list[str],
    *,
    between: tuple[str, str] | None = None,
    unsound: str = "",
    colour: str = BLUE,
    wide: bool = False,
) -> Traces:
    """Return the dots of all prints and the line that joins their passes.

    Parameters
    ----------
    frame : DataFrame
        From `progress_frame`.
    column : str
    sound : (n,) bool
        Prints whose figure means something; the others are hollow and not joined.
    hover : list of str
    between : (str, str), optional
        Columns of the ends of a bar through the dot.
    unsound : str
        What the legend calls the others.
    colour : str
    wide : bool
        Whether the bar shows a spread, broad, rather than an interval, thin.
    """
    traces = _joined(pass_line(frame, column, sound), colour)
    found = frame["is_print"].to_numpy(dtype=bool)
    many = len(frame) > MANY_PRINTS
    placements = list(dict.fromkeys(frame["placement"]))
    for number, placement in enumerate(placements):
        symbol = SYMBOLS[number % len(SYMBOLS)]
        here = (frame["placement"] == placement).to_numpy()
        states = [
            (sound, symbol, (placement or "placement not told") if len(placements) > 1 else ""),
            (~sound & found, f"{symbol}-open", unsound),
            (~sound & ~found, "x-thin-open", NO_PRINT),
        ]
        shift = SHIFT * (number - (len(placements) - 1) / 2)
        for state, shape, name in states:
            chosen = here & state
            if chosen.any():
                dot = _dots(frame[chosen], column, between, colour, wide, many)
                dot |= {"x": dot["x"] + shift, "name": name.capitalize()}
                dot["hovertext"] = [text for text, its in zip(hover, chosen, strict=True) if its]
                dot["marker"] |= {"symbol": shape}
                told = bool(name) and name.capitalize() not in {t["name"] for t in traces}
                traces.append(dot | {"showlegend": told})
    return traces


def _joined(line: pd.Series, colour: str) -> Traces:
    if line.notna().sum() < 2:
        return []
    return [
        {
            "type": "scatter", "mode": "lines", "x": line.index.to_numpy(), "y": line.to_numpy(),
            "line": {"color": colour, "width": 2}, "hoverinfo": "skip", "showlegend": False,
            "connectgaps": False, "name": "joined",
        }
    ]  # fmt: skip


def _dots(
    frame: pd.DataFrame,
    column: str,
    between: tuple[str, str] | None,
    colour: str,
    wide: bool,
    many: bool,
) -> dict[str, Any]:
    values = frame[column].to_numpy(dtype=np.float64)
    trace: dict[str, Any] = {
        "type": "scatter", "mode": "markers", "x": frame["number"].to_numpy(), "y": values,
        "hoverinfo": "text", "cliponaxis": False,
        "marker": {"color": colour, "size": 6 if many else 9,
                   "line": {"color": colour, "width": 2}},
    }  # fmt: skip
    if between is not None:
        low, high = (frame[end].to_numpy(dtype=np.float64) for end in between)
        known = np.isfinite(low) & np.isfinite(high) & frame["is_print"].to_numpy(dtype=bool)
        trace["error_y"] = {
            "type": "data", "symmetric": False,
            "array": np.where(known, high - values, 0.0),
            "arrayminus": np.where(known, values - low, 0.0),
            "color": "rgba(0, 114, 178, 0.45)" if wide else colour,
            "thickness": (3 if many else 7) if wide else (1 if many else 1.5),
            "width": 0 if many or wide else 4,
        }  # fmt: skip
    return trace


def bars(frame: pd.DataFrame, column: str, hover: list[str], colour: str = BLUE) -> Traces:
    """Return one bar a pass, of what was told of it; none where nothing was."""
    first = ~frame["number"].duplicated().to_numpy() & frame[column].notna().to_numpy()
    chosen = frame[first]
    return [
        {
            "type": "bar", "x": chosen["number"].to_numpy(), "y": chosen[column].to_numpy(),
            "marker": {"color": colour}, "width": 0.6, "hoverinfo": "text", "name": "told",
            "hovertext": [text for text, wanted in zip(hover, first, strict=True) if wanted],
            "textposition": "none", "showlegend": False,
        }
    ]  # fmt: skip


def stacked(panels: Sequence[Panel], numbers: pd.Series) -> go.Figure:
    """Return a chart of one or two panels, one above the other, over the pass numbers."""
    height = (1 - GAP * (len(panels) - 1)) / len(panels)
    traces: Traces = []
    layout: dict[str, Any] = {"annotations": [], "shapes": [], "xaxis": pass_axis(numbers)}
    for number, panel in enumerate(panels, start=1):
        axis = "y" if number == len(panels) else f"y{len(panels) - number + 1}"
        top = 1 - (number - 1) * (height + GAP)
        layout[axis.replace("y", "yaxis")] = _scale(panel, (max(0.0, top - height), top))
        traces += [trace | {"yaxis": axis} for trace in panel.traces]
        layout["annotations"].append(_title(panel.title, top))
        for line in panel.lines:
            layout["shapes"] += _drawn(line, axis)
            layout["annotations"] += _named(line, axis, _top(panel))
    legend = any(trace.get("showlegend") for trace in traces)
    tall = HEIGHT_PX if len(panels) == 1 else TALL_PX
    below = {"l": 8, "r": 12, "t": TITLE_PX, "b": 64 if legend else 8}
    layout |= {"height": tall + 56 * legend, "margin": below, "showlegend": legend}
    layout["legend"] = {"yref": "container", "y": 0.0, "yanchor": "bottom"}
    return styled(traces, layout)


def nothing_to_draw(text: str) -> go.Figure:
    """Return an empty chart that says why it is empty and what to do."""
    said = {
        "text": text, "showarrow": False, "x": 0.5, "y": 0.5, "xref": "paper", "yref": "paper",
    }  # fmt: skip
    hidden = {"visible": False}
    return styled([], {"annotations": [said], "xaxis": hidden, "yaxis": hidden, "height": 120})


def pass_axis(numbers: pd.Series) -> dict[str, Any]:
    """Return an axis of whole pass numbers, with room for as many as there are."""
    first, last = (int(numbers.min()), int(numbers.max())) if len(numbers) else (1, 1)
    step = next(s for s in (1, 2, 5, 10, 20, 50, 100, 200, 500, 10**6) if last - first < 15 * s)
    return {
        "title": {"text": "pass"}, "range": [first - 0.6, last + 0.6], "dtick": step,
        "tick0": 0 if step > 1 else first, "tickformat": "d", "showgrid": False, "zeroline": False,
        "anchor": "y", "ticks": "outside", "ticklen": 6, "tickcolor": CLEAR,
    }  # fmt: skip


def _scale(panel: Panel, domain: tuple[float, float]) -> dict[str, Any]:
    return {
        "domain": domain, "range": [0, _top(panel)], "rangemode": "tozero", "nticks": 6,
    }  # fmt: skip


def _top(panel: Panel) -> float:
    highest = max((_highest(trace) for trace in panel.traces), default=0.0)
    return float(min(panel.most, 1.1 * max(highest, panel.top)) or 1.0)


def _highest(trace: dict[str, Any]) -> float:
    values = np.nan_to_num(np.asarray(trace["y"], dtype=np.float64), posinf=0.0)
    reach = trace.get("error_y", {}).get("array", 0.0)
    return float(np.max(values + reach, initial=0.0))


def _title(text: str, top: float) -> dict[str, Any]:
    return {
        "text": f"<b>{text}</b>", "showarrow": False, "x": 0, "xref": "paper", "xanchor": "left",
        "y": top, "yref": "paper", "yanchor": "bottom", "yshift": 4,
    }  # fmt: skip


def _drawn(line: Line, axis: str) -> list[dict[str, Any]]:
    across = {"xref": "paper", "x0": 0, "x1": 1, "yref": axis, "layer": "below"}
    shapes: list[dict[str, Any]] = [
        across | {"type": "line", "y0": end, "y1": end,
                  "line": {"color": line.colour, "width": 1.5, "dash": line.dash}}
        for end in line.ends
    ]  # fmt: skip
    if line.up_to is not None:
        shapes.append(
            across | {"type": "rect", "y0": line.level, "y1": line.up_to, "opacity": 0.14,
                      "fillcolor": line.colour, "line": {"width": 0}}
        )  # fmt: skip
    return shapes


def _named(line: Line, axis: str, top: float) -> list[dict[str, Any]]:
    if line.level > top:
        return []
    below = line.level > 0.8 * top
    return [
        {
            "text": line.text, "showarrow": False, "x": 0, "xref": "paper", "xanchor": "left",
            "xshift": 4, "y": line.level, "yref": axis,
            "yanchor": "top" if below else "bottom", "font": {"color": GREY, "size": 12},
        }
    ]  # fmt: skip
