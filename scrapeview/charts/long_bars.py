"""The bars of a strip: where the reference lay on a long face, each placement in a lane."""

from collections.abc import Sequence
from typing import Any

from scrapeview.charts.chart_style import BLUE, GREY, ORANGE
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.shown import Units, length, points_by, points_unit
from scrapeview.units import MM_PER_INCH

PHONE_PX, LETTER_PX = 300, 8.0
"""Room on a phone across the face, and for one letter: names that do not fit there are left out."""
SIDES = {"far": "▲ far", "near": "▼ near"}
TINTS = {False: "rgba(0, 114, 178, 0.16)", True: "rgba(230, 159, 0, 0.30)"}


def lanes_of(stretches: Sequence[Stretch]) -> list[int]:
    """Return the lane of each stretch, so that none covers another; the far side comes first."""
    lanes: list[int] = []
    ends: list[tuple[str, float]] = []
    for side in ("far", "", "near"):
        for one in stretches:
            if one.placement.side != side:
                continue
            free = (
                at for at, (of, end) in enumerate(ends) if of == side and end <= one.start_mm + 1e-6
            )
            lane = next(free, len(ends))
            if lane == len(ends):
                ends.append((side, one.end_mm))
            ends[lane] = (side, one.end_mm)
            lanes.append(lane)
    order = [i for side in ("far", "", "near") for i, one in enumerate(stretches)
             if one.placement.side == side]  # fmt: skip
    return [lane for _, lane in sorted(zip(order, lanes, strict=True))]


def bar_text(number: int, one: Stretch, across_mm: float) -> str:
    """Return what stands on the bar of a stretch: its number, and its name where there is room."""
    side = SIDES.get(one.placement.side, "")
    words = " ".join(part for part in (str(number), one.name, side) if part)
    room = PHONE_PX * (one.end_mm - one.start_mm) / max(1e-9, across_mm)
    if LETTER_PX * len(words) <= room:
        return words
    return " ".join(part for part in (str(number), side[:1]) if part)


def bars(
    stretches: Sequence[Stretch],
    across_mm: float,
    units: Units,
    window_mm: tuple[float, float] | None = None,
) -> list[dict[str, Any]]:
    """Return the bars of stretches as traces on the axis y2.

    Parameters
    ----------
    stretches : sequence of Stretch
        Placed ones, from left to right.
    across_mm : float
        How long the face is.
    units : {"metric", "inch"}
    window_mm : (from, to), optional
        What is looked at; a stretch that is just that stands out.
    """
    if not stretches:
        return []
    per_unit = MM_PER_INCH if units == "inch" else 1.0
    looked_at = [_is_looked_at(one, window_mm) for one in stretches]
    return [
        {
            "type": "bar", "orientation": "h", "yaxis": "y2", "width": 0.8, "name": "placements",
            "base": [one.start_mm / per_unit for one in stretches],
            "x": [(one.end_mm - one.start_mm) / per_unit for one in stretches],
            "y": lanes_of(stretches), "showlegend": False, "hoverinfo": "text", "textangle": 0,
            "text": [bar_text(n, one, across_mm) for n, one in enumerate(stretches, start=1)],
            "textposition": "inside", "insidetextanchor": "middle", "constraintext": "none",
            "insidetextfont": {"color": GREY}, "cliponaxis": False,
            "hovertext": [bar_hover(one, units) for one in stretches],
            "marker": {
                "color": [TINTS[at] for at in looked_at],
                "line": {"color": [ORANGE if at else BLUE for at in looked_at], "width": 2},
            },
        }
    ]  # fmt: skip


def _is_looked_at(one: Stretch, window_mm: tuple[float, float] | None) -> bool:
    if window_mm is None:
        return False
    return abs(one.start_mm - window_mm[0]) < 1 and abs(one.end_mm - window_mm[1]) < 1


def bar_hover(one: Stretch, units: Units) -> str:
    """Return what is said of a stretch when its bar is pointed at."""
    side = {"far": ", far side", "near": ", near side"}.get(one.placement.side, "")
    ends = f"{length(one.start_mm, units)} to {length(one.end_mm, units)}{side}"
    lines = [f"<b>{plain(one.name)}</b>", ends]
    if not one.is_print:
        return "<br>".join([*lines, "no print found"])
    lines.append(f"{one.contact_percent:.1f} % contact")
    if one.count_reliable:
        lines.append(f"{points_by(one.ppsi, units):.1f} points/{points_unit(units)}")
    else:
        lines.append("count unreliable")
    return "<br>".join(lines)


def plain(text: str) -> str:
    """Return a text that a person wrote, so that a chart shows it as it is."""
    return text.replace("&", "&amp;").replace("<", "&lt;")
