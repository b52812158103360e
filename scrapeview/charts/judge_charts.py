"""A verdict as pictures: each criterion against its target, and the parts of a face weighed."""

from typing import Any

import numpy as np
import plotly.graph_objects as go

from scrapeview.charts import verdict_words as words
from scrapeview.charts.chart_style import GREEN, GREY, ORANGE, TEXT_PX, VERMILION, styled
from scrapeview.charts.progress_panels import nothing_to_draw
from scrapeview.charts.shown import Units, points_unit
from scrapeview.charts.verdict_amounts import PER_SQUARE_INCH, number
from scrapeview.judge.verdict.criteria import Balance, Criterion, Stands, Verdict

SIGNS: dict[Stands, tuple[str, str, str]] = {
    "clears": ("✓", "circle", GREEN),
    "open": ("◇", "diamond", ORANGE),
    "falls short": ("✗", "x", VERMILION),
    "cannot tell": ("?", "square-open", GREY),
}
"""Sign, marker and colour of each way a criterion can stand: never the colour alone."""
PAIRS = {"left to right": "side to side"}
"""Of parts named top and bottom too, which left to right would contradict."""
NOT_ASKED = ("·", "circle-open", GREY)
"""Of two parts whose balance the target does not ask for."""
ON_TARGET, REACH = 1.0, 1.0
"""Where the target stands on the scale, and how far the scale goes to either side."""
SCALE_AT_PX, TITLE_PX, ROW_PX, BARE_ROW_PX = 34, 58, 72, 28
"""Words of the scale, below the buttons; where rows begin; a row with a bar, and one without."""
BAR_AT_PX = 52
"""From the top of its row to a bar."""
BOTTOM_PX = 8
WORST_FIRST: tuple[Stands, ...] = ("falls short", "cannot tell", "open", "clears")


def criteria_chart(verdict: Verdict, units: Units = "metric") -> go.Figure:
    """Return each criterion with its figure and bounds against its target.

    All targets stand on one line, and right of it is good: figures are drawn as shares of their
    target, mirrored where less is better, and stop at the edge of the chart.

    Parameters
    ----------
    verdict : Verdict
    units : {"metric", "inch"}
    """
    if not verdict.criteria:
        return nothing_to_draw("Nothing is asked of this face: choose a target for it.")
    rows = [_criterion_row(each, units) for each in worst_first(verdict.criteria)]
    return _rows_chart(rows, ("short of its target", "beyond it"))


def balance_chart(verdict: Verdict, units: Units = "metric") -> go.Figure:  # noqa: ARG001
    """Return each pair of parts of a face: how far they differ, against what is allowed.

    Parameters
    ----------
    verdict : Verdict
    units : {"metric", "inch"}
        Differences are percentages in either.
    """
    if not verdict.balances:
        return nothing_to_draw("This print has no parts that could be weighed against each other.")
    reach = _reach(verdict.balances)
    rows = [_balance_row(each, reach) for each in verdict.balances]
    return _rows_chart(rows, ("", ""), centre="equal")


def worst_first(criteria: tuple[Criterion, ...]) -> tuple[Criterion, ...]:
    """Return criteria with those first that are not reached, else in their order."""
    return tuple(sorted(criteria, key=lambda each: WORST_FIRST.index(each.stands)))


def balance_look(balance: Balance) -> tuple[str, str, str]:
    """Return sign, marker and colour of two parts against each other."""
    return NOT_ASKED if balance.allowed_percent is None else SIGNS[balance.stands]


Row = dict[str, Any]
"""title, beside, look, at and ends (None where nothing is drawn), hover, band (from, to)."""


def scale_of(criterion: Criterion, value: float) -> float:
    """Return where a value stands on the scale: 1 on its target, more is better, 0 to 2.

    Parameters
    ----------
    criterion : Criterion
        With a target.
    value : float
    """
    asked = criterion.target or 0.0
    if asked == 0:
        off = float(np.sign(value))
        share = ON_TARGET + off
    else:
        share = value / asked
    told = share if criterion.at_least else 2 * ON_TARGET - share
    return float(np.clip(told, ON_TARGET - REACH, ON_TARGET + REACH))


def _criterion_row(criterion: Criterion, units: Units) -> Row:
    title = words.criterion_title(criterion, units)
    drawn = criterion.target is not None and np.isfinite(criterion.figure)
    ends = None
    if drawn and criterion.interval is not None:
        bounds = criterion.interval.low, criterion.interval.high
        if all(np.isfinite(bounds)):
            ends = tuple(sorted(scale_of(criterion, bound) for bound in bounds))
    told = (words.figure_words(criterion, units), words.target_words(criterion, units))
    return {
        "title": _with_unit(title, criterion, units), "look": SIGNS[criterion.stands],
        "beside": _figures(criterion, units) if drawn else "",
        "at": scale_of(criterion, criterion.figure) if drawn else None, "ends": ends,
        "band": (ON_TARGET, ON_TARGET + REACH),
        "hover": "<br>".join((f"<b>{title}</b>", *told, criterion.stands)),
    }  # fmt: skip


def _with_unit(title: str, criterion: Criterion, units: Units) -> str:
    """The title with the unit that its figures are told without, to fit a narrow screen."""
    unit = points_unit(units)
    return title if criterion.unit != PER_SQUARE_INCH or unit in title else f"{title}, per {unit}"


def _figures(criterion: Criterion, units: Units) -> str:
    """Figure, bounds, target and margin in one line that fits a phone: the unit stands once."""
    unit = criterion.unit

    def bare(value: float) -> str:
        return number(value, unit, units).split()[0]

    figure = f"{number(criterion.figure, unit, units)}{' %' if unit == '%' else ''}"
    found, margin = criterion.interval, criterion.margin
    if found is None:
        bounds = ""
    elif np.isfinite(found.low) and np.isfinite(found.high):
        bounds = f" ({bare(found.low)} to {bare(found.high)})"
    else:
        bounds = " (unknown: too few squares)"
    asked = f"{'at least' if criterion.at_least else 'at most'} {bare(criterion.target or 0.0)}"
    beyond = f", margin {'-' if margin < 0 else '+'}{bare(abs(margin))}"
    return f"{figure}{bounds}: {asked}{beyond if np.isfinite(margin) else ''}"


def _reach(balances: tuple[Balance, ...]) -> float:
    """The largest difference that the scale shows, percent."""
    told = [
        abs(value)
        for each in balances
        for value in (
            each.difference_percent, each.interval.low, each.interval.high,
            each.allowed_percent or 0.0,
        )
        if np.isfinite(value)
    ]  # fmt: skip
    return float(min(200.0, 1.1 * max([*told, 10.0])))


def _balance_row(each: Balance, reach: float) -> Row:
    def at(percent: float) -> float:
        return float(np.clip(ON_TARGET + REACH * percent / reach, 0.0, 2 * ON_TARGET))

    known = np.isfinite(each.difference_percent)
    ends = (each.interval.low, each.interval.high)
    allowed = each.allowed_percent
    more = each.first if each.difference_percent >= 0 else each.second
    told = f"{abs(each.difference_percent):.0f} % more on {more}" if known else "not known"
    asked = "" if allowed is None else f"{allowed:.0f} % allowed"
    kind = PAIRS.get(each.kind, each.kind)
    title = f"{kind.capitalize()}, {each.figure}"
    return {
        "title": title, "look": balance_look(each),
        "beside": ", ".join(filter(None, (told, asked))),
        "at": at(each.difference_percent) if known else None,
        "ends": tuple(map(at, ends)) if known and all(np.isfinite(ends)) else None,
        "band": None if allowed is None else (at(-allowed), at(allowed)),
        "hover": "<br>".join(filter(None, (
            f"<b>{title}</b>", f"{each.first} less {each.second}: {each.difference_percent:+.0f} %",
            f"{ends[0]:+.0f} to {ends[1]:+.0f} %", asked, each.stands,
        ))),
    }  # fmt: skip


def _rows_chart(rows: list[Row], sides: tuple[str, str], centre: str = "target") -> go.Figure:
    heights = [BARE_ROW_PX if row["at"] is None else ROW_PX for row in rows]
    tops = [TITLE_PX + sum(heights[:at]) for at in range(len(rows))]
    total = TITLE_PX + sum(heights) + BOTTOM_PX
    traces: list[dict[str, Any]] = []
    shapes: list[dict[str, Any]] = []
    notes = _scale_words(sides, centre)
    for row, top in zip(rows, tops, strict=True):
        notes += _row_words(row, top)
        if row["at"] is not None:
            shapes += _track(row, top + BAR_AT_PX)
            traces += _bar(row, top + BAR_AT_PX)
    hidden = {"visible": False, "fixedrange": True}
    return styled(traces, {
        "xaxis": hidden | {"range": [-0.05, 2.05]}, "yaxis": hidden | {"range": [total, 0]},
        "shapes": shapes, "annotations": notes, "height": total, "showlegend": False,
        "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
    })  # fmt: skip


def _scale_words(sides: tuple[str, str], centre: str) -> list[dict[str, Any]]:
    said = (
        (0.0, "left", f"◂ {sides[0]}" if sides[0] else ""),
        (ON_TARGET, "center", f"<b>{centre}</b>"),
        (2 * ON_TARGET, "right", f"{sides[1]} ▸" if sides[1] else ""),
    )
    return [_words(text, x, SCALE_AT_PX, anchor) for x, anchor, text in said if text]


def _row_words(row: Row, top: float) -> list[dict[str, Any]]:
    sign = row["look"][0]
    title = f"<b>{sign} {row['title']}</b>"
    if row["at"] is None:
        beside = f": {row['beside']}" if row["beside"] else ""
        return [_words(f"{title}{beside}", 0.0, top + 4, "left")]
    return [
        _words(title, 0.0, top + 4, "left"),
        _words(row["beside"], 0.0, top + 21, "left"),
    ]


def _words(text: str, x: float, y: float, anchor: str) -> dict[str, Any]:
    return {
        "text": text, "x": x, "y": y, "xanchor": anchor, "yanchor": "top", "showarrow": False,
        "align": anchor, "font": {"size": TEXT_PX}, "borderpad": 0,
    }  # fmt: skip


def _track(row: Row, y: float) -> list[dict[str, Any]]:
    across = {"type": "rect", "y0": y - 9, "y1": y + 9, "layer": "below", "line": {"width": 0}}
    drawn: list[dict[str, Any]] = [
        across | {"x0": 0.0, "x1": 2 * ON_TARGET, "fillcolor": GREY, "opacity": 0.12}
    ]
    if row["band"] is not None:
        low, high = row["band"]
        drawn.append(across | {"x0": low, "x1": high, "fillcolor": GREEN, "opacity": 0.2})
    drawn.append({
        "type": "line", "x0": ON_TARGET, "x1": ON_TARGET, "y0": y - 12, "y1": y + 12,
        "line": {"color": GREY, "width": 2},
    })  # fmt: skip
    return drawn


def _bar(row: Row, y: float) -> list[dict[str, Any]]:
    _, symbol, colour = row["look"]
    drawn: list[dict[str, Any]] = []
    if row["ends"] is not None:
        drawn.append({
            "type": "scatter", "mode": "lines", "x": list(row["ends"]), "y": [y, y],
            "line": {"color": colour, "width": 5}, "hoverinfo": "skip", "showlegend": False,
        })  # fmt: skip
    return [*drawn, {
        "type": "scatter", "mode": "markers", "x": [row["at"]], "y": [y], "cliponaxis": False,
        "marker": {"symbol": symbol, "size": 13, "color": colour,
                   "line": {"color": "#ffffff" if "open" not in symbol else colour, "width": 1.5}},
        "hoverinfo": "text", "hovertext": [row["hover"]], "showlegend": False,
    }]  # fmt: skip
