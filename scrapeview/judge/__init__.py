"""Readings of one face judged against each other: what stayed, went and came, pass by pass."""

from scrapeview.judge.compare.chance import Chance
from scrapeview.judge.compare.change import Change
from scrapeview.judge.compare.laid import FaceGrid, LaidPrint, grid_for, lay, merged
from scrapeview.judge.compare.matched import Comparison, compare_prints
from scrapeview.judge.compare.over_passes import OverPasses, Places, over_passes
from scrapeview.judge.compare.shift import NO_SHIFT, Shift, shift_between, shifts_to_last
from scrapeview.judge.verdict.criteria import (
    RISK,
    Balance,
    Criterion,
    Outcome,
    Stands,
    Verdict,
    Zone,
)
from scrapeview.judge.verdict.judged_face import JudgedPrint, judge_face
from scrapeview.judge.verdict.method import METHOD

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
