"""Figures of what passes of a face have in common: how often each place was marked."""

from typing import Any

import cv2
import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray

from scrapeview.charts.chart_style import styled
from scrapeview.charts.shown import Units
from scrapeview.judge.compare.over_passes import OverPasses, Places
from scrapeview.units import MM_PER_INCH

LIGHT, DARK = (232, 240, 246), (8, 61, 102)
"""One blue from never to often, as the marking itself: holds in grey and for colour-blind eyes."""
ALWAYS, NEVER_LINE = "#D55E00", "#20242c"
"""Marked in every pass has a colour of its own; what was never marked is outlined."""
MOST_PX = 260_000
"""Squares of the map that are sent to the page."""
MOST_NUMBERED = 10
"""Places whose number stands in the map."""
WIDTH_PX, LEAST_HEIGHT_PX, MOST_HEIGHT_PX = 360, 60, 600
"""Narrower than a column at the bench, so that a phone shows little blank ground below the map."""
AROUND_PX = 140
"""Height that the colour bar and the axis take."""


def frequency_map(over: OverPasses, units: Units = "metric") -> go.Figure:
    """Return a map of how often each place was marked.

    What was marked in every pass has a colour of its own, places never marked a dashed outline;
    the largest of both carry their number in the tables, round and square. What no pass shows is
    left open.

    Parameters
    ----------
    over : OverPasses
    units : {"metric", "inch"}
        For the axes.
    """
    per_unit, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    share, step = _coarser(over.marked_share)
    x, y = _middles(over, share.shape, step, per_unit)
    traces: list[dict[str, Any]] = [
        _heat(over, share, x, y, unit),
        _outlines(over.never, over, per_unit),
        _numbers(over.never, per_unit, NEVER_LINE, "square"),
        _numbers(over.always, per_unit, ALWAYS, "circle"),
    ]
    return styled(traces, _layout(over, per_unit, unit))


def _coarser(share: NDArray[np.float64]) -> tuple[NDArray[np.float64], int]:
    """The map shrunk by whole squares, known where at least half of them is."""
    step = max(1, int(np.ceil(np.sqrt(share.size / MOST_PX))))
    known = np.isfinite(share)
    if step == 1:
        return share, step
    size = max(1, share.shape[1] // step), max(1, share.shape[0] // step)
    cut = np.s_[: size[1] * step, : size[0] * step]
    weight = cv2.resize(known[cut].astype(np.float64), size, interpolation=cv2.INTER_AREA)
    held = cv2.resize(np.where(known, share, 0.0)[cut], size, interpolation=cv2.INTER_AREA)
    return np.where(weight >= 0.5, held / np.maximum(weight, 1e-9), np.nan), step


def _middles(
    over: OverPasses, shape: tuple[int, ...], step: int, per_unit: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    columns, rows = (np.arange(count) * step + (step - 1) / 2 for count in shape[::-1])
    x_mm = over.grid.origin_mm[0] + columns / over.grid.px_per_mm
    y_mm = over.grid.origin_mm[1] + rows / over.grid.px_per_mm
    return np.asarray(x_mm / per_unit), np.asarray(y_mm / per_unit)


def _heat(
    over: OverPasses,
    share: NDArray[np.float64],
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    unit: str,
) -> dict[str, Any]:
    n = over.passes
    steps = [*(_blue(k / (n - 1)) for k in range(n)), ALWAYS]
    scale = [
        [edge, colour]
        for k, colour in enumerate(steps)
        for edge in (k / (n + 1), (k + 1) / (n + 1))
    ]
    ticks = sorted({0, n, *(round(n * k / 4) for k in range(5))}) if n > 6 else list(range(n + 1))
    # a picture of whole numbers of passes, each with a colour of its own
    times = np.where(np.isfinite(share), np.round(share * n), np.nan).astype(np.float32)
    return {
        "type": "heatmap", "z": times, "x": x, "y": y, "zmin": -0.5, "zmax": n + 0.5,
        "colorscale": scale, "hoverongaps": False, "name": "",
        "hovertemplate": f"marked in %{{z}} of {n} passes<br>%{{x:.1f}} {unit} from the left, "
        f"%{{y:.1f}} {unit} from the top<extra></extra>",
        "colorbar": {
            "orientation": "h", "thickness": 12, "len": 0.75, "x": 0, "xanchor": "left", "xpad": 0,
            "y": 1, "yanchor": "bottom", "ypad": 4, "tickvals": ticks, "outlinewidth": 0,
            "title": {"text": f"marked in so many of {n} passes", "side": "top"},
        },
    }  # fmt: skip


def _blue(share: float) -> str:
    mixed = (round(a + (b - a) * share) for a, b in zip(LIGHT, DARK, strict=True))
    return f"rgb{tuple(mixed)}"


def _outlines(places: Places, over: OverPasses, per_unit: float) -> dict[str, Any]:
    """Borders of places as one broken line."""
    found, _ = cv2.findContours(places.mask.view(np.uint8), cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    x: list[float | None] = []
    y: list[float | None] = []
    for contour in found:
        line = over.grid.to_mm(np.asarray(contour, dtype=float).reshape(-1, 2)) / per_unit
        closed = np.round(np.vstack((line, line[:1])), 3)
        x += [*closed[:, 0].tolist(), None]
        y += [*closed[:, 1].tolist(), None]
    return {
        "type": "scatter", "mode": "lines", "x": x, "y": y, "hoverinfo": "skip",
        "line": {"color": NEVER_LINE, "width": 1.8, "dash": "dash"}, "showlegend": False,
    }  # fmt: skip


def _numbers(places: Places, per_unit: float, colour: str, symbol: str) -> dict[str, Any]:
    largest = places.table.head(MOST_NUMBERED)
    return {
        "type": "scatter", "mode": "markers+text", "showlegend": False, "hoverinfo": "skip",
        "x": largest["x_mm"] / per_unit, "y": largest["y_mm"] / per_unit,
        "text": [f"<b>{number}</b>" for number in largest["number"]],
        "textfont": {"color": "#16181d", "size": 11},
        "marker": {
            "color": "#ffffff", "size": 16, "opacity": 0.92, "symbol": symbol,
            "line": {"color": colour, "width": 2},
        },
    }  # fmt: skip


def _layout(over: OverPasses, per_unit: float, unit: str) -> dict[str, Any]:
    rows, columns = over.grid.shape
    side = over.grid.px_per_mm * per_unit
    left, top = (value / per_unit - 0.5 / side for value in over.grid.origin_mm)
    height = float(np.clip(WIDTH_PX * rows / columns, LEAST_HEIGHT_PX, MOST_HEIGHT_PX))
    plain = {"showgrid": False, "zeroline": False, "constrain": "domain"}
    return {
        "xaxis": plain | {
            "title": {"text": f"from the left, {unit}"}, "range": [left, left + columns / side],
            "constraintoward": "left",
        },
        "yaxis": plain | {
            "title": {"text": f"from the top, {unit}"}, "range": [top + rows / side, top],
            "scaleanchor": "x", "constraintoward": "top",
        },
        "height": round(height) + AROUND_PX,
        "margin": {"l": 8, "r": 12, "t": 92, "b": 8},
    }  # fmt: skip
