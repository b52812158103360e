"""Where a face stands, in words and as a small picture: its last figures beside its target."""

import html
import math
from base64 import b64encode
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Literal, cast

from scrapeview.charts.chart_style import GREY
from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.charts.verdict_words import OUTCOME
from scrapeview.dashboard.judge_look import COLOURS, unbroken
from scrapeview.judge.verdict.criteria import Outcome
from scrapeview.targets import Target

Row = Mapping[Any, Any]
"""One row of `Record.shop()` with the verdict beside it."""
Against = Literal["met", "below", "above", ""]

NO_TARGET, NO_PRINT = "without a target", "without a print"
SIGNS: dict[str, str] = {
    **{outcome: sign for outcome, (sign, _) in OUTCOME.items()},
    NO_TARGET: "?",
    NO_PRINT: "○",
}
"""Of each way a face can stand: the outcomes of a verdict, and why there is none."""

_MARKS: dict[Against, str] = {"met": "✓", "below": "▽", "above": "△", "": ""}
_LINE_PX = (132, 34)
_LINE_COLOUR = "#0072B2"
"""Blue of Okabe and Ito: stands out on white (5.2 to 1) and on Streamlit's dark (3.6 to 1)."""


def is_told(value: Any) -> bool:
    """Whether a value of the table is there: neither None nor NaN."""
    return value is not None and not (isinstance(value, float) and math.isnan(value))


def against(value: float, least: Any, most: Any = None) -> Against:
    """Return how a figure stands to its target; "" where nothing is asked."""
    if is_told(least) and value < least:
        return "below"
    if is_told(most) and value > most:
        return "above"
    return "met" if is_told(least) or is_told(most) else ""


def range_words(least: Any, most: Any = None) -> str:
    """Return what is asked: 40 to 60, at least 20, at most 60; "" where nothing is."""
    if is_told(least) and is_told(most):
        return f"{least:.3g} to {most:.3g}"
    if is_told(least):
        return f"at least {least:.3g}"
    return f"at most {most:.3g}" if is_told(most) else ""


def target_words(target: Target, units: Units) -> str:
    """Return a target in one line."""
    contact = range_words(target.contact_least_percent, target.contact_most_percent)
    asked = [f"contact {contact} %"] if contact else []
    if target.ppsi_least is not None:
        least = range_words(points_by(target.ppsi_least, units))
        asked.append(f"{least} points per {points_unit(units)}")
    return f"{target.name}: {', '.join(asked)}" if asked else target.name


def day(iso: Any) -> str:
    """Return the day of a time: 25 Nov 2026; as it stands where it is no time; "" for none."""
    if not is_told(iso) or not iso:
        return ""
    try:
        moment = datetime.fromisoformat(str(iso))
    except ValueError:
        return str(iso)[:10]
    return f"{moment.day} {moment:%b %Y}"


def contact_figure(row: Row) -> tuple[str, str]:
    """Return contact of the last print and how it stands to the target."""
    if not row["passes"] or not is_told(row["contact_percent"]):
        return "-", "no print yet"
    if not row["is_print"]:
        return "-", "no print was found"
    least, most = row["target_contact_least_percent"], row["target_contact_most_percent"]
    stands = against(row["contact_percent"], least, most)
    return f"{row['contact_percent']:.1f} %", _beside(stands, range_words(least, most), " %")


def points_figure(row: Row, units: Units) -> tuple[str, str]:
    """Return points of the last print by area and how they stand to the target."""
    if not row["passes"] or not is_told(row["points_per_square_inch"]):
        return "-", "no print yet"
    if not row["is_print"]:
        return "-", "no print was found"
    if not row["count_reliable"]:
        return "-", "marks merge: go by contact"
    least = row["target_ppsi_least"]
    stands = against(row["points_per_square_inch"], least)
    asked = range_words(points_by(least, units)) if is_told(least) else ""
    return f"{points_by(row['points_per_square_inch'], units):.1f}", _beside(stands, asked, "")


def _beside(stands: Against, asked: str, unit: str) -> str:
    if not stands:
        return "no target"
    return f"{_MARKS[stands]} {stands}: {asked}{unit}"


def card_html(row: Row, units: Units) -> str:
    """Return what a face's card shows: its name, last figures, trend and date."""
    contact, contact_beside = contact_figure(row)
    points, points_beside = points_figure(row, units)
    role = f"<span class='sv-role'>{html.escape(str(row['role']))}</span>" if row["role"] else ""
    passes = int(row["passes"])
    count = "no pass yet" if passes == 0 else f"{passes} pass{'es' if passes > 1 else ''}"
    last = f", last print {day(row['last_printed_at'])}" if day(row["last_printed_at"]) else ""
    return (
        f"<div class='sv-name'>{html.escape(str(row['face']))} {role}</div>"
        "<div class='sv-figures'>"
        f"{_figure_html('Contact', contact, contact_beside, row['trend_contact_percent'])}"
        f"{_figure_html(f'Points/{points_unit(units)}', points, points_beside, row['trend_ppsi'])}"
        f"</div>{verdict_html(row['verdict'], row['verdict_reason'])}"
        f"<div class='sv-foot'>{count}{html.escape(last)}</div>"
    )


def verdict_word(stands: str) -> str:
    """Return how a face stands with its sign: ✗ Keep scraping."""
    return f"{SIGNS[stands]} {stands.capitalize()}" if stands else ""


def verdict_html(stands: str, reason: str) -> str:
    """Return a verdict in a line: its sign and word, then why; "" where there is no print."""
    if stands in ("", NO_PRINT):
        return ""
    colour = COLOURS.get(cast(Outcome, stands), GREY)
    return (
        f"<div class='sv-outcome' style='border-color: {colour}'>"
        f"<b>{verdict_word(stands)}:</b> {html.escape(unbroken(reason))}</div>"
    )


def _figure_html(label: str, value: str, beside: str, trend: Sequence[float]) -> str:
    below = html.escape(unbroken(beside))
    return (
        f"<div class='sv-figure'><div class='sv-label'>{label}</div>"
        f"<div class='sv-value'>{unbroken(value)}</div><div class='sv-beside'>{below}</div>"
        f"{_trend_html(trend, label)}</div>"
    )


def trend_svg(trend: Sequence[float]) -> str:
    """Return a small line through a face's last passes, oldest left, drawn from zero up."""
    values = [float(value) for value in trend if is_told(value)]
    width, height = _LINE_PX
    top = max(*values, 1e-9)
    places = [
        (4 + (width - 8) * at / (len(values) - 1), height - 4 - (height - 8) * value / top)
        for at, value in enumerate(values)
    ]
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
    last_x, last_y = places[-1]
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {width} {height}'>"
        f"<polyline points='{line}' fill='none' stroke='{_LINE_COLOUR}' stroke-width='2'/>"
        f"<circle cx='{last_x:.1f}' cy='{last_y:.1f}' r='3.5' fill='{_LINE_COLOUR}'/></svg>"
    )


def _trend_html(trend: Sequence[float], label: str) -> str:
    told = [float(value) for value in trend if is_told(value)]
    if len(told) < 2:
        return ""
    said = f"{label}, last {len(told)} prints: from {told[0]:.1f} to {told[-1]:.1f}"
    # a picture, since what shows HTML takes drawings out of it
    drawn = b64encode(trend_svg(told).encode()).decode()
    return (
        f"<img class='sv-trend' alt='{said}' title='{said}' "
        f"src='data:image/svg+xml;base64,{drawn}'/>"
    )
