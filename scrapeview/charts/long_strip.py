"""A long face as a strip: where the reference lay, what bears, where stretches meet.

Along the face everything is to scale; across, a strip that would be too thin to see is drawn wider.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import cv2
import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray

from scrapeview.charts.cells_map import SCALE
from scrapeview.charts.chart_style import CLEAR, GREY, ORANGE, VERMILION, styled
from scrapeview.charts.long_bars import bars, lanes_of, plain
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.shown import Units
from scrapeview.units import MM_PER_INCH

LANE_PX, GAP_PX, SMALL_LANE_PX = 34, 8, 26
SIGNS_PX = 30
"""Height of the row that names the joints."""
STRIP_PX, SMALL_STRIP_PX = 116, 52
"""Height of the face itself, on a phone and at the bench alike."""
TOP_PX, SMALL_TOP_PX, BELOW_PX, LEGEND_PX = 64, 6, 46, 34
SQUARES, FEWEST_ROWS = 100, 8
"""Squares of the map along the face, and across it at least: each holds several points."""
NOT_SEEN = "not seen in any print"


@dataclass(frozen=True, eq=False)
class ContactMap:
    """Contact of a face, joined from its placements, in squares.

    Parameters
    ----------
    percent : (h, w) float
        Contact of each square; NaN where no print shows it.
    px_per_mm : float
        Squares per mm.
    origin_mm : (x, y)
        Face point of the middle of square (0, 0).
    face : (h, w) bool
        Which squares are face at all.
    """

    percent: NDArray[np.float64]
    px_per_mm: float
    origin_mm: tuple[float, float]
    face: NDArray[np.bool_]

    @property
    def unseen(self) -> NDArray[np.bool_]:
        """Squares of the face that no print shows, (h, w) bool."""
        return np.asarray(self.face & np.isnan(self.percent))

    def middles(self, axis: int) -> NDArray[np.float64]:
        """Return the middles of the squares along an axis (0 x, 1 y), mm."""
        count = self.percent.shape[1 - axis]
        return np.asarray(self.origin_mm[axis] + np.arange(count) / self.px_per_mm)


@dataclass(frozen=True)
class JointSign:
    """Where two stretches meet, and what stands over it.

    Parameters
    ----------
    at_mm : float
    letter, sign : str
        What it is called, and how its step stands: up, down, none or not told.
    told : str
        What is said when it is pointed at.
    """

    at_mm: float
    letter: str
    sign: str
    told: str


@dataclass(frozen=True, eq=False)
class StripView:
    """All that a strip shows.

    Parameters
    ----------
    bounds_mm : (x0, y0, x1, y1)
        Of the face.
    stretches : sequence of Stretch
        Placed ones of one pass, from left to right.
    contact : ContactMap or None
    joints : sequence of JointSign
    picture : str
        Address of a picture of the face (a data URI) to show in place of the map; "" for none.
    picture_mm : (x0, y0, x1, y1)
        Where the picture lies.
    window_mm : (from, to) or None
        A stretch that is looked at.
    small : bool
        Whether it only tells where something lies: lower, and without a scale of colours.
    """

    bounds_mm: tuple[float, float, float, float]
    stretches: Sequence[Stretch]
    contact: ContactMap | None = None
    joints: Sequence[JointSign] = field(default=())
    picture: str = ""
    picture_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    window_mm: tuple[float, float] | None = None
    small: bool = False


def long_strip(view: StripView, units: Units = "metric") -> go.Figure:
    """Return the strip: placements as bars, the face below them, joints across both.

    Parameters
    ----------
    view : StripView
    units : {"metric", "inch"}
    """
    per_unit = MM_PER_INCH if units == "inch" else 1.0
    across_mm = view.bounds_mm[2] - view.bounds_mm[0]
    unseen = _unseen(view, per_unit)
    traces = [
        *_face(view, per_unit),
        *unseen,
        _outline(view.bounds_mm, per_unit),
        *bars(view.stretches, across_mm, units, view.window_mm),
        *_signs(view, per_unit),
    ]
    return styled(traces, _layout(view, units, bool(unseen)))


def contact_map_table(contact: ContactMap) -> dict[str, NDArray[np.float64]]:
    """Return a map as columns: places in mm and contact in per cent, seen squares only."""
    rows, columns = np.nonzero(np.isfinite(contact.percent))
    return {
        "x_mm": contact.middles(0)[columns].round(2),
        "y_mm": contact.middles(1)[rows].round(2),
        "contact_percent": contact.percent[rows, columns].round(2),
    }


def _face(view: StripView, per_unit: float) -> list[dict[str, Any]]:
    if view.picture or view.contact is None:
        return []
    contact = view.contact
    return [
        {
            "type": "heatmap", "z": np.round(contact.percent, 1),
            "x": contact.middles(0) / per_unit, "y": contact.middles(1) / per_unit,
            "zmin": 0, "zmax": _most(contact), "colorscale": SCALE, "hoverongaps": False,
            "hovertemplate": "%{z:.0f} % contact<extra></extra>", "showlegend": False,
            "showscale": not view.small,
            "colorbar": {
                "orientation": "h", "thickness": 10, "len": 0.62, "x": 0, "xanchor": "left",
                "xpad": 0, "y": 1, "yanchor": "bottom", "ypad": 4, "nticks": 5, "outlinewidth": 0,
                "ticksuffix": " %",
            },
        }
    ]  # fmt: skip


def _most(contact: ContactMap) -> float:
    seen = contact.percent[np.isfinite(contact.percent)]
    return float(max(10.0, np.ceil(np.quantile(seen, 0.995) / 10) * 10)) if seen.size else 100.0


def _unseen(view: StripView, per_unit: float) -> list[dict[str, Any]]:
    """What no print shows, hatched."""
    if view.contact is None or not view.contact.unseen.any():
        return []
    contact = view.contact
    mask = contact.unseen.astype(np.uint8)
    # doubled, so that a border runs along the squares' sides and not through their middles
    fine = cv2.resize(mask, None, fx=4, fy=4, interpolation=cv2.INTER_NEAREST)
    found, _ = cv2.findContours(fine, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    x: list[float | None] = []
    y: list[float | None] = []
    for contour in found:
        places = (np.asarray(contour, dtype=float).reshape(-1, 2) + 0.5) / 4 - 0.5
        line = np.round((places / contact.px_per_mm + contact.origin_mm) / per_unit, 3)
        x += [*line[:, 0].tolist(), float(line[0, 0]), None]
        y += [*line[:, 1].tolist(), float(line[0, 1]), None]
    return [
        {
            "type": "scatter", "mode": "lines", "x": x, "y": y, "fill": "toself",
            "name": NOT_SEEN, "hoverinfo": "name", "hoveron": "fills", "showlegend": True,
            "line": {"color": GREY, "width": 1}, "fillcolor": CLEAR,
            "fillpattern": {"shape": "/", "fgcolor": GREY, "bgcolor": CLEAR, "size": 7},
        }
    ]  # fmt: skip


def _outline(bounds_mm: tuple[float, float, float, float], per_unit: float) -> dict[str, Any]:
    x0, y0, x1, y1 = (at / per_unit for at in bounds_mm)
    return {
        "type": "scatter", "mode": "lines", "x": [x0, x1, x1, x0, x0], "y": [y0, y0, y1, y1, y0],
        "line": {"color": GREY, "width": 1.5}, "hoverinfo": "skip", "showlegend": False,
        "name": "face",
    }  # fmt: skip


def _signs(view: StripView, per_unit: float) -> list[dict[str, Any]]:
    if not view.joints:
        return []
    return [
        {
            "type": "scatter", "mode": "text", "yaxis": "y3", "name": "joints",
            "x": [joint.at_mm / per_unit for joint in view.joints],
            "y": [0.5] * len(view.joints), "showlegend": False, "hoverinfo": "text",
            "text": [f"<b>{joint.letter} {joint.sign}</b>" for joint in view.joints],
            "textfont": {"color": VERMILION, "size": 15},
            "hovertext": [plain(joint.told) for joint in view.joints],
        }
    ]  # fmt: skip


def _layout(view: StripView, units: Units, legend: bool) -> dict[str, Any]:
    per_unit = MM_PER_INCH if units == "inch" else 1.0
    x0, y0, x1, y1 = (value / per_unit for value in view.bounds_mm)
    count = max(lanes_of(view.stretches), default=-1) + 1
    bars_px = count * (SMALL_LANE_PX if view.small else LANE_PX)
    strip_px = SMALL_STRIP_PX if view.small else STRIP_PX
    top_px = SMALL_TOP_PX if view.small else TOP_PX
    signs_px = SIGNS_PX if view.joints else 0
    inner = bars_px + GAP_PX + signs_px + strip_px
    strip, signs = strip_px / inner, (strip_px + signs_px) / inner
    legend = legend and not view.small
    unit = "in" if units == "inch" else "mm"
    hidden = {"visible": False, "fixedrange": True}
    layout: dict[str, Any] = {
        "xaxis": {
            "title": {"text": f"from the left end, {unit}"}, "range": [x0, x1], "nticks": 7,
            "showgrid": False, "zeroline": False, "anchor": "y",
        },
        "yaxis": {
            "range": [y1, y0], "domain": [0, strip], "showgrid": False, "zeroline": False,
            "nticks": 3, "fixedrange": True,
        },
        "yaxis2": hidden | {"range": [count - 0.45, -0.55], "domain": [1 - bars_px / inner, 1]},
        "yaxis3": hidden | {"range": [0, 1], "domain": [strip, max(strip + 1e-3, signs)]},
        "height": inner + top_px + BELOW_PX + LEGEND_PX * legend,
        "margin": {"l": 8, "r": 12, "t": top_px, "b": 8 + LEGEND_PX * legend},
        "showlegend": legend, "barmode": "overlay",
        "legend": {"yref": "container", "y": 0.0, "yanchor": "bottom"},
        "shapes": [*_joint_lines(view, per_unit), *_window(view, per_unit)],
        "images": _picture(view, per_unit),
    }  # fmt: skip
    return layout


def _joint_lines(view: StripView, per_unit: float) -> list[dict[str, Any]]:
    return [
        {
            "type": "line", "xref": "x", "yref": "y", "x0": joint.at_mm / per_unit,
            "x1": joint.at_mm / per_unit, "y0": view.bounds_mm[1] / per_unit,
            "y1": view.bounds_mm[3] / per_unit,
            "line": {"color": VERMILION, "width": 2, "dash": "dash"},
        }
        for joint in view.joints
    ]  # fmt: skip


def _window(view: StripView, per_unit: float) -> list[dict[str, Any]]:
    if view.window_mm is None:
        return []
    left, right = (at / per_unit for at in view.window_mm)
    return [
        {
            "type": "rect", "xref": "x", "yref": "y", "x0": left, "x1": right,
            "y0": view.bounds_mm[1] / per_unit, "y1": view.bounds_mm[3] / per_unit,
            "line": {"color": ORANGE, "width": 3}, "fillcolor": CLEAR,
        }
    ]  # fmt: skip


def _picture(view: StripView, per_unit: float) -> list[dict[str, Any]]:
    if not view.picture:
        return []
    x0, y0, x1, y1 = (value / per_unit for value in view.picture_mm)
    return [
        {
            "source": view.picture, "xref": "x", "yref": "y", "x": x0, "y": y0,
            "sizex": x1 - x0, "sizey": y1 - y0, "sizing": "stretch", "layer": "below",
        }
    ]  # fmt: skip
