"""Readings of one face judged against each other: what stayed, went and came, pass by pass."""

from scrapeview.judge.chance import Chance
from scrapeview.judge.change import Change
from scrapeview.judge.criteria import (
    RISK,
    Balance,
    Criterion,
    Outcome,
    Stands,
    Verdict,
    Zone,
)
from scrapeview.judge.laid import FaceGrid, LaidPrint, grid_for, lay, merged
from scrapeview.judge.matched import Comparison, compare_prints
from scrapeview.judge.method import METHOD
from scrapeview.judge.over_passes import OverPasses, Places, over_passes
from scrapeview.judge.shift import NO_SHIFT, Shift, shift_between, shifts_to_last
from scrapeview.judge.verdict import JudgedPrint, judge_face

__all__ = [
    "METHOD",
    "NO_SHIFT",
    "RISK",
    "Balance",
    "Chance",
    "Change",
    "Comparison",
    "Criterion",
    "FaceGrid",
    "JudgedPrint",
    "LaidPrint",
    "Outcome",
    "OverPasses",
    "Places",
    "Shift",
    "Stands",
    "Verdict",
    "Zone",
    "compare_prints",
    "grid_for",
    "judge_face",
    "lay",
    "merged",
    "over_passes",
    "shift_between",
    "shifts_to_last",
]
