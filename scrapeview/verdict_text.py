"""A verdict as the plain text that `scrapeview judge` prints."""

import textwrap
from collections.abc import Sequence

from scrapeview.charts import verdict_words as words
from scrapeview.charts.shown import Units, points_unit
from scrapeview.judge import Criterion, Verdict
from scrapeview.record_text import columns_text

LINE_WIDTH = 100
HEADS = ("criterion", "figure", "bounds", "target", "margin", "stands")


def verdict_text(title: str, verdict: Verdict, units: Units, beside: Sequence[str] = ()) -> str:
    """Return a verdict as text: the outcome, every criterion, the parts of the face, what next.

    Parameters
    ----------
    title : str
        Machine, part and face.
    verdict : Verdict
    units : {"metric", "inch"}
    beside : sequence of str
        Sentences on shape, progress and the like.
    """
    blocks = [
        [f"{title}, pass {verdict.pass_number}: {verdict.outcome.upper()}"],
        _wrapped([words.verdict_sentence(verdict, units)]),
        [columns_text(HEADS, [_row(each, units) for each in verdict.criteria], "<>>>><")],
        _wrapped([words.balance_sentence(each, units) for each in verdict.balances]),
        _wrapped(beside),
        _wrapped(words.advice(verdict, units)),
        [f"Bounds: each at a risk of {100 * verdict.risk:g} %."],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _row(criterion: Criterion, units: Units) -> tuple[str, ...]:
    told = (
        words.figure_words(criterion, units),
        words.bounds_words(criterion, units),
        words.target_words(criterion, units),
        words.margin_words(criterion, units),
    )
    # the criterion's title names the unit, and a line has no room to say it four times
    short = (each.removesuffix(f" points per {points_unit(units)}") for each in told)
    return words.criterion_title(criterion, units), *short, criterion.stands


def _wrapped(sentences: Sequence[str]) -> list[str]:
    return [textwrap.fill(each, LINE_WIDTH, subsequent_indent="  ") for each in sentences]
