"""Tables of the record as the plain text that commands print."""

import math
from collections.abc import Sequence
from typing import Any

import pandas as pd

from scrapeview.reread import READ_AGAIN, WOULD_BE_READ

LONGEST_CELL = 60


def faces_text(shop: pd.DataFrame) -> str:
    """Return where each face stands, one line a face.

    Parameters
    ----------
    shop : DataFrame
        Of `Record.shop()`.
    """
    if shop.empty:
        return "There is no face in the record yet: add one with 'scrapeview serve'."
    rows = [
        (
            str(row["face_id"]),
            f"{row['machine']}, {row['part']}: {row['face']}",
            str(row["passes"]),
            _contact(row),
            _points(row),
            _least(row["target_ppsi_least"]),
            "waits for its print" if row["waiting"] else "",
        )
        for row in shop.to_dict("records")
    ]
    heads = ("id", "face", "passes", "contact", "points/in2", "target", "")
    return columns_text(heads, rows, "><>>>><")


def moved_text(moved: pd.DataFrame) -> str:
    """Return what reading again moved, one line a print, and how many there were.

    Parameters
    ----------
    moved : DataFrame
        Of `scrapeview.reread.reread`.
    """
    if moved.empty:
        return "All prints were read with today's method and settings already."
    rows = [
        (
            row["face"],
            str(row["pass"]),
            *_both(row, "contact_percent", " %"),
            *_both(row, "points_per_square_inch", ""),
            row["outcome"],
        )
        for row in moved.to_dict("records")
    ]
    heads = ("face", "pass", "contact", "now", "points/in2", "now", "")
    return "\n".join([columns_text(heads, rows, "<>>>>><"), "", *_summary(moved["outcome"])])


def _summary(outcomes: "pd.Series[str]") -> list[str]:
    again, would_be = (outcomes == what for what in (READ_AGAIN, WOULD_BE_READ))
    counts = (
        (int(again.sum()), "was read again.", "were read again."),
        (int(would_be.sum()), "would be read again.", "would be read again."),
        (
            int((~again & ~would_be).sum()),
            "was not read; why stands beside it.",
            "were not read; why stands beside each.",
        ),
    )
    return [
        f"1 print {one}" if count == 1 else f"{count} prints {several}"
        for count, one, several in counts
        if count
    ]


def columns_text(heads: Sequence[str], rows: Sequence[Sequence[str]], sides: str) -> str:
    """Return rows of text set in columns.

    Parameters
    ----------
    heads : sequence of str
    rows : sequence of sequence of str
    sides : str
        "<" or ">" for each column: flush left or right.
    """
    last = len(heads) - 1
    lines = [
        [cell if at == last else _cut(cell) for at, cell in enumerate(row)]
        for row in (heads, *rows)
    ]
    widths = [max(len(line[at]) for line in lines) for at in range(len(heads))]
    forms = [f"{side}{width}" for side, width in zip(sides, widths, strict=True)]
    return "\n".join(
        "  ".join(map(format, line, forms)).rstrip() for line in lines
    )  # fmt: skip


def _cut(cell: str) -> str:
    return cell if len(cell) <= LONGEST_CELL else cell[: LONGEST_CELL - 3] + "..."


def _contact(row: dict[Any, Any]) -> str:
    if _missing(row["contact_percent"]):
        return "-"
    return f"{row['contact_percent']:.1f} %" if row["is_print"] else "no print"


def _points(row: dict[Any, Any]) -> str:
    if _missing(row["points_per_square_inch"]) or not row["is_print"]:
        return "-"
    return f"{row['points_per_square_inch']:.1f}" if row["count_reliable"] else "unreliable"


def _least(value: float) -> str:
    return "-" if _missing(value) else f"{value:g}"


def _both(row: dict[Any, Any], name: str, unit: str) -> list[str]:
    before, after = row[f"before_{name}"], row[f"after_{name}"]
    return ["-" if _missing(v) else f"{v:.1f}{unit}" for v in (before, after)]


def _missing(value: object) -> bool:
    return not isinstance(value, (int, float)) or math.isnan(value)
