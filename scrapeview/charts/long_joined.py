"""How a map of a face was joined from photographs: what each shows, seams, gaps, tiles."""

from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from numpy.typing import NDArray

from scrapeview.charts.chart_style import BLUE, CLEAR, GREY, ORANGE, VERMILION, styled
from scrapeview.charts.long_bars import plain
from scrapeview.charts.shown import Units
from scrapeview.plane.joined.joined import Joined
from scrapeview.units import MM_PER_INCH

LANE_PX, GAP_PX, STRIP_PX, TOP_PX, BELOW_PX, LEGEND_PX = 30, 8, 130, 44, 46, 60
DOUBLED_MM = 0.5
"""From here on the two photographs of a seam may cut or double a mark; as the notes have it."""
FEWEST_LANES = 2
PALE = "#f4f5f7"
"""Stands out on the grey that a map has where no photograph shows anything."""


def joined_strip(joined: Joined, picture: str, units: Units = "metric") -> go.Figure:
    """Return the map with its seams and gaps, and above it which part each photograph shows.

    Parameters
    ----------
    joined : Joined
    picture : str
        Address of a picture of the whole map (a data URI).
    units : {"metric", "inch"}
    """
    per_unit = MM_PER_INCH if units == "inch" else 1.0
    bounds = map_bounds_mm(joined) / per_unit
    traces = [
        _photos(joined, bounds, per_unit, units),
        *_seams(joined, per_unit, units),
        *_gaps(joined, per_unit),
        *_tiles(joined, per_unit),
    ]
    return styled(traces, _layout(picture, bounds, units))


def map_bounds_mm(joined: Joined) -> NDArray[np.float64]:
    """Return what the map's picture covers, (x0, y0, x1, y1) in mm of its plane."""
    height, width = joined.rgb.shape[:2]
    corners = joined.plane.to_mm([(-0.5, -0.5), (width - 0.5, height - 0.5)])
    return np.asarray(np.concatenate((corners.min(axis=0), corners.max(axis=0))))


def reaches_mm(joined: Joined) -> NDArray[np.float64]:
    """Return from where to where along the map each photograph shows it, (N, 2) mm."""
    reaches = []
    for number, (width, height) in enumerate(joined.solved.photo_sizes_px):
        border = np.array([(0, 0), (width - 1, 0), (width - 1, height - 1), (0, height - 1)])
        x = joined.solved.to_mm(number, border)[:, 0]
        reaches.append((float(x.min()), float(x.max())))
    return np.array(reaches, dtype=float).reshape(-1, 2)


def _photos(
    joined: Joined, bounds: NDArray[np.float64], per_unit: float, units: Units
) -> dict[str, Any]:
    ends = np.clip(reaches_mm(joined) / per_unit, bounds[0], bounds[2])
    rows = joined.photos.to_dict("records")
    return {
        "type": "bar", "orientation": "h", "yaxis": "y2", "width": 0.8, "name": "photographs",
        "base": ends[:, 0], "x": ends[:, 1] - ends[:, 0],
        "y": [at % FEWEST_LANES for at in range(len(ends))],
        "text": [str(at + 1) for at in range(len(ends))], "textangle": 0,
        "textposition": "inside", "insidetextanchor": "middle", "constraintext": "none",
        "insidetextfont": {"color": GREY}, "hoverinfo": "text", "showlegend": False,
        "hovertext": [
            f"<b>{row['photo']} {plain(str(row['name']))}</b><br>"
            f"{row['share_percent']:.0f} % of the map<br>"
            f"{_fine(row['residual_mm'], units)} off"
            for row in rows
        ],
        "marker": {"color": "rgba(0, 114, 178, 0.16)", "line": {"color": BLUE, "width": 2}},
    }  # fmt: skip


def _fine(mm: float, units: Units) -> str:
    return f"{mm / MM_PER_INCH:.3f} in" if units == "inch" else f"{mm:.2f} mm"


def _seams(joined: Joined, per_unit: float, units: Units) -> list[dict[str, Any]]:
    """Seams as lines across the map as long as they are; those that may double a mark thicker."""
    if joined.seams.empty:
        return []
    traces = []
    apart = joined.seams["apart_mm"].to_numpy(dtype=float)
    bounds = map_bounds_mm(joined)
    for wide in (False, True):
        chosen = joined.seams[np.asarray(apart > DOUBLED_MM) == wide]
        if chosen.empty:
            continue
        x: list[float | None] = []
        y: list[float | None] = []
        told: list[str] = []
        for row in chosen.to_dict("records"):
            half = row["length_mm"] / 2
            top = max(bounds[1], row["y_mm"] - half)
            foot = min(bounds[3], row["y_mm"] + half)
            x += [row["x_mm"] / per_unit] * 2 + [None]
            y += [top / per_unit, foot / per_unit, None]
            told += [seam_hover(row, units)] * 2 + [""]
        traces.append({
            "type": "scatter", "mode": "lines", "x": x, "y": y, "hoverinfo": "text",
            "hovertext": told, "showlegend": True,
            "name": "seam, more than 0.5 mm (0.02 in) apart" if wide else "seam",
            "line": {"color": VERMILION if wide else ORANGE, "width": 4 if wide else 2,
                     "dash": "solid" if wide else "dash"},
        })  # fmt: skip
    return traces


def seam_hover(row: dict[Any, Any], units: Units) -> str:
    """Return what is said of a seam when it is pointed at."""
    apart = row["apart_mm"]
    told = np.isfinite(apart)
    far = f"{_fine(apart, units)} apart" if told else "how far apart cannot be told"
    return f"photographs {row['first']} and {row['second']}<br>{far}"


def _gaps(joined: Joined, per_unit: float) -> list[dict[str, Any]]:
    if joined.gaps.empty:
        return []
    x: list[float | None] = []
    y: list[float | None] = []
    for row in joined.gaps.to_dict("records"):
        x0, y0, x1, y1 = (row[name] / per_unit for name in ("x0_mm", "y0_mm", "x1_mm", "y1_mm"))
        x += [x0, x1, x1, x0, x0, None]
        y += [y0, y0, y1, y1, y0, None]
    return [
        {
            "type": "scatter", "mode": "lines", "x": x, "y": y, "fill": "toself", "name": "gap",
            "hoverinfo": "name", "hoveron": "fills", "showlegend": True,
            "line": {"color": VERMILION, "width": 1.5}, "fillcolor": CLEAR,
            "fillpattern": {"shape": "/", "fgcolor": PALE, "bgcolor": CLEAR, "size": 8},
        }
    ]  # fmt: skip


def _tiles(joined: Joined, per_unit: float) -> list[dict[str, Any]]:
    tiles = joined.solved.tiles_mm
    if not tiles:
        return []
    x: list[float | None] = []
    y: list[float | None] = []
    for corners in tiles.values():
        closed = np.vstack((corners, corners[:1])) / per_unit
        x += [*closed[:, 0].tolist(), None]
        y += [*closed[:, 1].tolist(), None]
    return [
        {
            "type": "scatter", "mode": "lines", "x": x, "y": y, "name": "tile",
            "hoverinfo": "name", "showlegend": True, "line": {"color": BLUE, "width": 2},
        }
    ]  # fmt: skip


def _layout(picture: str, bounds: NDArray[np.float64], units: Units) -> dict[str, Any]:
    lanes_px = LANE_PX * FEWEST_LANES
    inner = lanes_px + GAP_PX + STRIP_PX
    unit = "in" if units == "inch" else "mm"
    x0, y0, x1, y1 = (float(at) for at in bounds)
    return {
        "xaxis": {
            "title": {"text": f"along the map, {unit}"}, "range": [x0, x1], "nticks": 7,
            "showgrid": False, "zeroline": False, "anchor": "y",
        },
        "yaxis": {
            "range": [y1, y0], "domain": [0, STRIP_PX / inner], "showgrid": False,
            "zeroline": False, "nticks": 3, "fixedrange": True,
        },
        "yaxis2": {
            "visible": False, "fixedrange": True, "range": [FEWEST_LANES - 0.45, -0.55],
            "domain": [1 - lanes_px / inner, 1],
        },
        "height": inner + TOP_PX + BELOW_PX + LEGEND_PX,
        "margin": {"l": 8, "r": 12, "t": TOP_PX, "b": 8 + LEGEND_PX},
        "showlegend": True, "barmode": "overlay",
        "legend": {"yref": "container", "y": 0.0, "yanchor": "bottom"},
        "images": [
            {
                "source": picture, "xref": "x", "yref": "y", "x": x0, "y": y0, "sizex": x1 - x0,
                "sizey": y1 - y0, "sizing": "stretch", "layer": "below",
            }
        ],
    }  # fmt: skip


def photos_shown(joined: Joined, units: Units) -> pd.DataFrame:
    """Return the photographs as a table to look at: share, how far off, scale."""
    unit, per_unit, digits = ("in", MM_PER_INCH, 3) if units == "inch" else ("mm", 1.0, 2)
    photos = joined.photos
    return pd.DataFrame({
        "no.": photos["photo"],
        "photograph": photos["name"],
        "share of the map, %": photos["share_percent"].round(0),
        f"off, {unit}": (photos["residual_mm"] / per_unit).round(digits),
        f"pixels per {unit}": (photos["scale"] * per_unit).round(1),
    })  # fmt: skip
