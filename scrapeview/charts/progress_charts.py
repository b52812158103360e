"""How a face came along, pass by pass: contact, points and what goes with them."""

from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from numpy.typing import NDArray

from scrapeview.charts.progress_frame import names_in, progress_frame
from scrapeview.charts.progress_panels import (
    NO_PRINT,
    Line,
    Panel,
    bars,
    dots,
    limits,
    nothing_to_draw,
    stacked,
)
from scrapeview.charts.shown import Units
from scrapeview.findings import FINDING_CODES
from scrapeview.targets import NO_TARGET, Target
from scrapeview.units import SQUARES_25MM_PER_SQUARE_INCH

UNRELIABLE = "count unreliable"
_LIMITS = {code.code: (code.warn, code.bad) for code in FINDING_CODES}
_KNOWING = ("number", "placement", "printed_at", "is_print", "count_reliable")


@dataclass(frozen=True)
class ProgressChart:
    """One chart of a face's progress.

    Parameters
    ----------
    name : str
        As in names of files.
    title : str
    draws : callable
        Takes a frame from `progress_frame`, a target and units, and gives the figure.
    shows : tuple of str
        What is drawn: columns, or fields of `Names` where the unit is the reader's choice.
    """

    name: str
    title: str
    draws: Callable[[pd.DataFrame, Target, Units], go.Figure]
    shows: tuple[str, ...]

    def figure(
        self, passes: pd.DataFrame, target: Target = NO_TARGET, units: Units = "metric"
    ) -> go.Figure:
        """Return the figure for the passes of a face (columns of the table "passes")."""
        return self.draws(progress_frame(passes, units), target, units)

    def data(self, frame: pd.DataFrame, units: Units) -> pd.DataFrame:
        """Return the numbers behind the figure, one row a print, of a frame in those units."""
        names = names_in(units)
        shown = [getattr(names, name, name) for name in self.shows]
        return frame[[*_KNOWING, *shown]]


def contact_panel(frame: pd.DataFrame, target: Target) -> Panel:
    """Return contact over the passes with its target, of a frame from `progress_frame`."""
    ends = ("contact_low_percent", "contact_high_percent")
    hover = _hovers(
        frame, lambda row: [_ranged("contact", row.contact_percent, *_of(row, ends), "%")]
    )
    traces = dots(frame, "contact_percent", _found(frame), hover, between=ends)
    lines = _contact_target(target)
    top = max((end for line in lines for end in line.ends), default=0.0)
    return Panel("Contact, % of the face", traces, lines, top, 100.0)


def _contact(frame: pd.DataFrame, target: Target, units: Units) -> go.Figure:  # noqa: ARG001
    return stacked([contact_panel(frame, target)], frame["number"])


def _contact_target(target: Target) -> tuple[Line, ...]:
    least, most = target.contact_least_percent, target.contact_most_percent
    if least is None and most is None:
        return ()
    if most is None:
        return (
            Line(least or 0.0, f"target: {least:g} % or more", up_to=100.0, ends=(least or 0.0,)),
        )
    if least is None:
        return (Line(0.0, f"target: {most:g} % or less", up_to=most, ends=(most,)),)
    return (Line(least, f"target: {least:g} to {most:g} %", up_to=most, ends=(least, most)),)


def points_panel(frame: pd.DataFrame, target: Target, units: Units) -> Panel:
    """Return points over the passes with their target, of a frame from `progress_frame`."""
    names = names_in(units)
    ends = (names.points_low, names.points_high)
    unit = names.points_unit

    def told(row: Any) -> list[str]:
        return [_ranged("points", getattr(row, names.points), *_of(row, ends), unit)]

    traces = dots(
        frame, names.points, _counted(frame), _hovers(frame, told), between=ends, unsound=UNRELIABLE
    )
    lines = _points_target(target, units)
    top = max((line.level for line in lines), default=0.0)
    return Panel(f"Points {unit}", traces, lines, 1.1 * top)


def _points(frame: pd.DataFrame, target: Target, units: Units) -> go.Figure:
    return stacked([points_panel(frame, target, units)], frame["number"])


def _points_target(target: Target, units: Units) -> tuple[Line, ...]:
    if target.ppsi_least is None:
        return ()
    scale = 1.0 if units == "inch" else SQUARES_25MM_PER_SQUARE_INCH
    least = target.ppsi_least / scale
    unit = names_in(units).points_unit
    return (Line(least, f"target: {least:.3g} {unit} or more", ends=(least,)),)


def _worst(frame: pd.DataFrame, target: Target, units: Units) -> go.Figure:
    names = names_in(units)

    def told(row: Any) -> list[str]:
        return [
            f"worst square: {row.worst_contact_percent:.1f} % contact",
            f"{getattr(row, names.worst_points):.1f} points {names.points_unit} there",
        ]

    hover = _hovers(frame, told)
    contact = dots(frame, "worst_contact_percent", _found(frame), hover)
    points = dots(frame, names.worst_points, _counted(frame), hover, unsound=UNRELIABLE)
    hidden = [trace | {"showlegend": False} for trace in contact]
    return stacked(
        [
            Panel("Contact in the worst square, %", hidden, top=10.0, most=100.0),
            Panel(f"Points {names.points_unit} there", points, _points_target(target, units), 1.0),
        ],
        frame["number"],
    )


def _bare(frame: pd.DataFrame, target: Target, units: Units) -> go.Figure:  # noqa: ARG001
    names = names_in(units)
    unit = names.length_unit

    def told(row: Any) -> list[str]:
        return [f"largest bare circle {_length(getattr(row, names.bare_circle), unit)} across"]

    traces = dots(frame, names.bare_circle, _found(frame), _hovers(frame, told))
    return stacked([Panel(f"Largest bare circle, {unit} across", traces)], frame["number"])


def _sizes(frame: pd.DataFrame, target: Target, units: Units) -> go.Figure:  # noqa: ARG001
    names = names_in(units)
    unit, ends = names.length_unit, (names.small, names.large)

    def told(row: Any) -> list[str]:
        small, large = (_length(size, unit) for size in _of(row, ends))
        return [
            f"median point {_length(getattr(row, names.median), unit)} across",
            f"one in ten smaller than {small}, one in ten larger than {large}",
        ]

    traces = dots(
        frame, names.median, _counted(frame), _hovers(frame, told), between=ends,
        unsound=UNRELIABLE, wide=True,
    )  # fmt: skip
    title = f"Point diameter, {unit}: 10, 50, 90 %"
    return stacked([Panel(title, traces)], frame["number"])


def _film(frame: pd.DataFrame, target: Target, units: Units) -> go.Figure:  # noqa: ARG001
    def told(row: Any) -> list[str]:
        return [f"haze {row.haze_percent:.0f} %, smear {row.smear_percent:.0f} %"]

    hover, found = _hovers(frame, told), _found(frame)
    haze, smear = (dots(frame, name, found, hover) for name in ("haze_percent", "smear_percent"))
    hidden = [trace | {"showlegend": False} for trace in haze]
    (haze_warn, haze_bad), (smear_warn, smear_bad) = _LIMITS["heavy_film"], _LIMITS["smear"]
    return stacked(
        [
            Panel("Haze between the points, %", hidden, limits(haze_warn, haze_bad), haze_warn),
            Panel("Smear, %", smear, limits(smear_warn, smear_bad), smear_warn),
        ],
        frame["number"],
    )


def _hours(frame: pd.DataFrame, target: Target, units: Units) -> go.Figure:  # noqa: ARG001
    return _taken(frame, "hours", "hours_total", "Hours", "h", ".1f")


def _metal(frame: pd.DataFrame, target: Target, units: Units) -> go.Figure:  # noqa: ARG001
    names = names_in(units)
    form = ".2f" if units == "inch" else ".1f"
    return _taken(frame, names.metal, names.metal_total, "Metal taken", names.metal_unit, form)


def _taken(
    frame: pd.DataFrame, each: str, total: str, title: str, unit: str, form: str
) -> go.Figure:
    if frame[each].isna().all():
        what = title.lower()
        return nothing_to_draw(f"No {what} noted yet:<br>write it down under Notes.")

    def told(row: Any) -> list[str]:
        one, all_told = (getattr(row, name) for name in (each, total))
        this = f"{one:{form}} {unit}" if np.isfinite(one) else "nothing noted"
        return [f"{title.lower()}: {this}", f"up to this pass {all_told:{form}} {unit}"]

    hover = _hovers(frame, told)
    known = frame[total].notna().to_numpy() & ~frame["number"].duplicated().to_numpy()
    one_a_pass = frame[known].assign(placement="")
    texts = [text for text, wanted in zip(hover, known, strict=True) if wanted]
    line = dots(one_a_pass, total, np.ones(len(one_a_pass), dtype=bool), texts)
    return stacked(
        [
            Panel(f"{title} of each pass, {unit}", bars(frame, each, hover)),
            Panel(f"{title} so far, {unit}", line),
        ],
        frame["number"],
    )


def _found(frame: pd.DataFrame) -> NDArray[np.bool_]:
    return frame["is_print"].to_numpy(dtype=bool)


def _counted(frame: pd.DataFrame) -> NDArray[np.bool_]:
    return _found(frame) & frame["count_reliable"].to_numpy(dtype=bool)


def _hovers(frame: pd.DataFrame, told: Callable[[Any], list[str]]) -> list[str]:
    return ["<br>".join(_hover(row, told)) for row in frame.itertuples(index=False)]


def _hover(row: Any, told: Callable[[Any], list[str]]) -> list[str]:
    head = f"<b>Pass {row.number}</b>" + (f", {escape(row.placement)}" if row.placement else "")
    done = ", ".join(p for p in (row.scraping, escape(row.who), row.printed_at[:10]) if p)
    if not row.is_print:
        return [head, f"{NO_PRINT} on the face", done]
    lines = [head, *told(row), *([done] if done else [])]
    if not row.count_reliable:
        lines.append(f"{UNRELIABLE}: {row.merged_percent:.0f} % of the contact in merged patches")
    if row.corrections:
        lines.append(f"{row.corrections} corrected by hand")
    return lines


def _of(row: Any, columns: tuple[str, str]) -> tuple[float, float]:
    return getattr(row, columns[0]), getattr(row, columns[1])


def _ranged(what: str, value: float, low: float, high: float, unit: str) -> str:
    if not (np.isfinite(low) and np.isfinite(high)):
        return f"{what} {value:.1f} {unit} (interval unknown)"
    return f"{what} {value:.1f} {unit} ({low:.1f} to {high:.1f})"


def _length(value: float, unit: str) -> str:
    return f"{value:.3f} in" if unit == "in" else f"{value:.1f} {unit}"


PROGRESS_CHARTS = (
    ProgressChart(
        "contact", "Contact", _contact,
        ("contact_percent", "contact_low_percent", "contact_high_percent"),
    ),
    ProgressChart("points", "Points", _points, ("points", "points_low", "points_high")),
    ProgressChart(
        "worst-square", "Worst square", _worst, ("worst_contact_percent", "worst_points")
    ),
    ProgressChart("film", "Film", _film, ("haze_percent", "smear_percent")),
    ProgressChart("bare-patch", "Bare patch", _bare, ("bare_circle",)),
    ProgressChart("point-sizes", "Sizes of the points", _sizes, ("small", "median", "large")),
    ProgressChart("hours", "Hours", _hours, ("hours", "hours_total")),
    ProgressChart("metal", "Metal taken", _metal, ("metal", "metal_total")),
)  # fmt: skip
