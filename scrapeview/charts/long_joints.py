"""The joints of a long face as signs over the strip, and as a table."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import pandas as pd

from scrapeview.charts.inline_words import joint_sentences
from scrapeview.charts.long_strip import JointSign
from scrapeview.charts.shown import Units
from scrapeview.judge.inline.estimates import Estimate, Joint, Overlap
from scrapeview.units import MM_PER_INCH

UP, DOWN, LEVEL, UNKNOWN = "▲", "▼", "≈", "?"
HUMP, HOLLOW = "∧", "∨"
JOINT_NOTE = (
    "▲ the right one begins higher, ▼ lower, ≈ no step beyond chance; ∧ the two make a hump, "
    "∨ a hollow; ? cannot be told. Estimates from contact: check with a level or an indicator."
)
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def joint_signs(joints: Sequence[Joint], units: Units) -> tuple[JointSign, ...]:
    """Return the joints as they are drawn over a strip.

    Parameters
    ----------
    joints : sequence of Joint
        From left to right.
    units : {"metric", "inch"}
    """
    return tuple(
        JointSign(
            joint.at_mm, letter_of(number), sign_of(joint),
            f"{joint.first} to {joint.second}: {joint_sentences(joint, units)[0]}",
        )
        for number, joint in enumerate(joints)
    )  # fmt: skip


def letter_of(number: int) -> str:
    """Return what a joint is called: A for the first, A2 for the one after Z."""
    round_, at = divmod(number, len(LETTERS))
    return LETTERS[at] + (str(round_ + 1) if round_ else "")


def sign_of(joint: Joint) -> str:
    """Return how the step of a joint stands, and whether its sides make a hump or a hollow."""
    if joint.step is None or joint.tilt_along is None:
        return UNKNOWN
    step = _sign(joint.step, UP, DOWN)
    bend = _sign(joint.tilt_along, HOLLOW, HUMP)
    if step == bend == "":
        return LEVEL
    return step + bend


def _sign(estimate: Estimate, positive: str, negative: str) -> str:
    if not estimate.stands_off:
        return ""
    return positive if estimate.value > 0 else negative


def joints_table(joints: Sequence[Joint]) -> pd.DataFrame:
    """Return the estimates of joints as a table, one row a joint and quantity."""
    rows: list[dict[str, Any]] = [
        {
            "joint": letter_of(number), "first": joint.first, "second": joint.second,
            "at_mm": joint.at_mm, "overlap_mm": joint.overlap_mm, "what": what,
            **estimate_row(estimate), "why_not": joint.why_not,
        }
        for number, joint in enumerate(joints)
        for what, estimate in (
            ("step", joint.step), ("tilt along", joint.tilt_along),
            ("tilt across", joint.tilt_across),
        )
    ]  # fmt: skip
    return pd.DataFrame(rows)


def estimate_row(estimate: Estimate | None) -> dict[str, Any]:
    """Return an estimate as columns; film units or film units per metre, and micrometres."""
    names = ("value", "low", "high", "value_um", "low_um", "high_um")
    if estimate is None:
        return {"kind": "", **dict.fromkeys(names)}
    return {"kind": estimate.kind, **{name: getattr(estimate, name) for name in names}}


def overlaps_table(overlaps: Sequence[Overlap]) -> pd.DataFrame:
    """Return what two placements show of the same as a table, one row an overlap."""
    return pd.DataFrame([asdict(one) for one in overlaps])


def shown_overlaps(overlaps: Sequence[Overlap], units: Units) -> pd.DataFrame:
    """Return overlaps as a table to look at, in the reader's units."""
    unit = "in" if units == "inch" else "mm"
    return pd.DataFrame(
        [
            {
                "first": one.first,
                "second": one.second,
                f"from, {unit}": _along(one.from_mm, units),
                f"to, {unit}": _along(one.to_mm, units),
                "contact in the first, %": round(one.contact_first, 1),
                "contact in the second, %": round(one.contact_second, 1),
                "marked in both, %": round(one.both, 1),
                "by chance, %": round(one.both_by_chance, 1),
                "the two": one.reason,
            }
            for one in overlaps
        ]
    )


def _along(mm: float, units: Units) -> float:
    return round(mm / MM_PER_INCH, 1) if units == "inch" else round(mm)
