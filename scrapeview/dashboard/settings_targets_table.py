"""The shop's targets to read at a glance: a table at the bench, a list to open on a phone."""

import html
from collections.abc import Sequence

import pandas as pd

from scrapeview.charts.shown import Units
from scrapeview.dashboard.target_values import SURE_LETTERS, short_name, value_words
from scrapeview.targets import ASKED, SURE_WORDS, Asked, Origin, Target

_CSV = ("target", "value_name", "value", "unit", "meaning", "how_sure", "source")


def targets_html(targets: Sequence[Target], units: Units) -> str:
    """Return the targets as a table and, for narrow screens, as a list, with the legend."""
    return (
        f"<div class='sv-targets'><table><thead>{_heads(units)}</thead><tbody>"
        f"{''.join(_row(target, units) for target in targets)}</tbody></table></div>"
        f"<div class='sv-targets-list'>{''.join(_item(target, units) for target in targets)}</div>"
        f"{_legend(targets)}"
    )


def targets_csv(targets: Sequence[Target]) -> str:
    """Return the targets as CSV, one row a value, in the package's units."""
    rows = [
        (target.name, asked.name, value, asked.unit, asked.meaning, SURE_WORDS[sure], source)
        for target in targets
        for asked in ASKED
        if (value := getattr(target, asked.name)) is not None
        for sure, source in (target.origin(asked.name),)
    ]
    return pd.DataFrame(rows, columns=_CSV).to_csv(index=False)


def _heads(units: Units) -> str:
    heads = "".join(f"<th scope='col'>{short_name(asked, units)}</th>" for asked in ASKED)
    return f"<tr><th scope='col'>Kind of face</th>{heads}</tr>"


def _row(target: Target, units: Units) -> str:
    cells = "".join(f"<td>{_value(target, asked, units) or '-'}</td>" for asked in ASKED)
    return f"<tr><th scope='row'>{html.escape(target.name)}</th>{cells}</tr>"


def _item(target: Target, units: Units) -> str:
    lines = "".join(
        f"<tr><th scope='row'>{short_name(asked, units)}</th><td>{value}</td></tr>"
        for asked in ASKED
        if (value := _value(target, asked, units))
    )
    body = f"<table>{lines}</table>" if lines else "<p>It asks nothing.</p>"
    return f"<details><summary>{html.escape(target.name)}</summary>{body}</details>"


def _value(target: Target, asked: Asked, units: Units) -> str:
    value = getattr(target, asked.name)
    if value is None:
        return ""
    return f"<span>{value_words(asked, value, units)} {_badge(target.origin(asked.name))}</span>"


def _badge(origin: Origin) -> str:
    return (
        f"<abbr class='sv-sure' title='{html.escape(origin.words)}'>"
        f"{SURE_LETTERS[origin.sure]}</abbr>"
    )


def _legend(targets: Sequence[Target]) -> str:
    """Say what the letters mean that stand in the table."""
    used = {
        target.origin(asked.name).sure
        for target in targets
        for asked in ASKED
        if getattr(target, asked.name) is not None
    }
    told = "".join(
        f"<span><abbr class='sv-sure'>{letter}</abbr> {SURE_WORDS[sure]}</span>"
        for sure, letter in SURE_LETTERS.items()
        if sure in used
    )
    return f"<div class='sv-legend'>≥ at least, ≤ at most. {told}</div>"
