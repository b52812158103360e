"""Parts of one face weighed against each other: rails, ends, sides, the middle and the ends."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from scrapeview.bearing import Interval
from scrapeview.judge.compare.change import difference
from scrapeview.judge.verdict.bounds import STANDS_WORST_LAST, UNKNOWN, without_sign
from scrapeview.judge.verdict.criteria import Balance, Criterion, Stands
from scrapeview.judge.verdict.parts import Part, joined

Figure = Literal["points", "contact"]


@dataclass(frozen=True, eq=False)
class Pair:
    """Two parts to be weighed against each other; `kind` as of `Balance`."""

    kind: str
    first: Part
    second: Part


def pairs_of(
    regions: Sequence[Part], ends: Sequence[Part], sides: Sequence[Part]
) -> tuple[Pair, ...]:
    """Return the pairs of a face; two rails tell more than two sides, so sides give way to them."""
    found = [Pair("rail to rail", one, two) for one, two in combinations(regions, 2)]
    if ends:
        first, _, last = ends
        found.append(Pair("end to end", first, last))
    if sides and not regions:
        found.append(Pair("left to right", *sides))
    if ends:
        first, middle, last = ends
        found.append(Pair("centre against ends", middle, joined("ends", "ends", (first, last))))
    return tuple(found)


def balances_of(
    pairs: Sequence[Pair],
    allowed_percent: float | None,
    risk: float,
    *,
    count_reliable: bool,
) -> tuple[Balance, ...]:
    """Weigh all pairs, the risk shared between them.

    Parameters
    ----------
    pairs : sequence of Pair
    allowed_percent : float or None
    risk : float
    count_reliable : bool
        Points are only weighed where they can be counted.
    """
    figures: tuple[Figure, ...] = ("points", "contact") if count_reliable else ("contact",)
    shared = risk / max(1, len(pairs) * len(figures))
    return tuple(
        _weighed(pair, figure, allowed_percent, shared) for pair in pairs for figure in figures
    )


def balance_criterion(balances: Sequence[Balance], allowed_percent: float) -> Criterion | None:
    """Return the criterion of the pair that stands worst; None where nothing was weighed."""
    if not balances:
        return None
    worst = max(balances, key=_how_bad)
    size = abs(worst.difference_percent)
    return Criterion(
        name="balance_most_percent",
        zone=f"{worst.first} / {worst.second}",
        figure=size,
        unit="%",
        interval=without_sign(worst.interval),
        target=allowed_percent,
        at_least=False,
        margin=allowed_percent - size,
        stands=worst.stands,
        why=worst.figure,
    )


def _how_bad(balance: Balance) -> tuple[int, float, str, str, str]:
    size = abs(balance.difference_percent)
    worst = STANDS_WORST_LAST.index(balance.stands), size if size == size else -1.0
    return *worst, balance.figure, balance.first, balance.second


def _weighed(pair: Pair, figure: Figure, allowed: float | None, risk: float) -> Balance:
    one, two = pair.first, pair.second
    if figure == "points":
        a, b = one.points_per_square_inch, two.points_per_square_inch
        within = one.ppsi_bounds(risk), two.ppsi_bounds(risk)
    else:
        a, b = one.contact_percent, two.contact_percent
        # where film begins is as doubtful in both, and falls out of their difference
        within = one.contact_spread(risk), two.contact_spread(risk)
    mean = (a + b) / 2
    if mean > 0 and one.area_mm2 > 0 and two.area_mm2 > 0:
        change = difference(b, within[1], a, within[0])
        percent = 100 * change.value / mean
        low, high = (100 * end / mean for end in (change.interval.low, change.interval.high))
        interval = Interval(low, high)
    else:
        percent, interval = float("nan"), UNKNOWN
    return Balance(
        kind=pair.kind,
        first=one.name,
        second=two.name,
        figure=figure,
        difference_percent=percent,
        interval=interval,
        allowed_percent=allowed,
        stands=_stands(percent, interval, allowed),
    )


def _stands(percent: float, interval: Interval, allowed: float | None) -> Stands:
    if percent != percent:
        return "cannot tell"
    if allowed is None or abs(percent) <= allowed:
        return "clears"
    plainly = interval.low > allowed or interval.high < -allowed
    return "falls short" if plainly else "open"
