"""Verdicts as tables: every criterion, and every pair of zones weighed against each other."""

import math

import pandas as pd

from scrapeview.columns import table
from scrapeview.judge.verdict.criteria import Verdict


def criteria_table(verdict: Verdict) -> pd.DataFrame:
    """Return the criteria of a verdict, one row each: columns of the table "criteria"."""
    told = verdict.criteria
    nothing = math.nan
    return table(
        "criteria",
        {
            "pass": [verdict.pass_number] * len(told),
            "criterion": [each.name for each in told],
            "zone": [each.zone for each in told],
            "figure": [each.figure for each in told],
            "low": [each.interval.low if each.interval else nothing for each in told],
            "high": [each.interval.high if each.interval else nothing for each in told],
            "unit": [each.unit for each in told],
            "target": [nothing if each.target is None else each.target for each in told],
            "margin": [each.margin for each in told],
            "stands": [each.stands for each in told],
            "why": [each.why for each in told],
        },
    )


def balance_table(verdict: Verdict) -> pd.DataFrame:
    """Return the pairs of zones of a verdict, one row each: columns of the table "balance"."""
    told = verdict.balances
    return table(
        "balance",
        {
            "pass": [verdict.pass_number] * len(told),
            "kind": [each.kind for each in told],
            "first": [each.first for each in told],
            "second": [each.second for each in told],
            "figure": [each.figure for each in told],
            "difference_percent": [each.difference_percent for each in told],
            "low_percent": [each.interval.low for each in told],
            "high_percent": [each.interval.high for each in told],
            "allowed_percent": [
                math.nan if each.allowed_percent is None else each.allowed_percent for each in told
            ],
            "stands": [each.stands for each in told],
        },
    )
