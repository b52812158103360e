"""The verdict on a face: its last prints against its target, with every reason."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scrapeview.errors import ReadingError
from scrapeview.judge.verdict.agreement import agreement_criterion
from scrapeview.judge.verdict.asked import asked_criteria
from scrapeview.judge.verdict.balance import balance_criterion, balances_of, pairs_of
from scrapeview.judge.verdict.bounds import require_risk, told
from scrapeview.judge.verdict.criteria import RISK, Balance, Criterion, Verdict, Zone
from scrapeview.judge.verdict.outcome import outcome_of
from scrapeview.judge.verdict.stretches import (
    JudgedPrint,
    Laid,
    before,
    in_order,
    label,
    missing_percent,
    stretches_of,
)
from scrapeview.judge.verdict.usable import (
    can_confirm,
    count_criterion,
    film_criterion,
    photograph_criterion,
    print_criterion,
    weighed_by_print,
)
from scrapeview.judge.verdict.zones import (
    end_parts,
    region_criteria,
    region_parts,
    short_zones,
    side_parts,
    zone_of,
)
from scrapeview.targets import Target

__all__ = ["JudgedPrint", "judge_face"]

ASKS_BEARING = (
    "ppsi_least",
    "square_ppsi_least",
    "contact_least_percent",
    "bare_circle_most_mm",
)
"""A target that asks for none of these says nothing of when a face bears enough."""
MISSING_ALLOWED_PERCENT = 10.0
"""Share of what the pass before showed that the last one may leave out."""


def judge_face(prints: Sequence[JudgedPrint], target: Target, *, risk: float = RISK) -> Verdict:
    """Judge whether a face is done.

    The last pass is judged, each stretch of the face by its last print there; each is compared
    with the print before it of the same stretch. The rules and their reasons: docs/verdict.md.

    Parameters
    ----------
    prints : sequence of JudgedPrint
        Of one face, in any order; those of the last passes are enough.
    target : Target
    risk : float, keyword-only
        Of calling a face done whose figure is not beyond its target, above 0 and below 0.5.

    Returns
    -------
    Verdict

    Raises
    ------
    ReadingError
        Where there is no print.
    SettingsError
        Where the risk is out of its range.
    """
    require_risk(risk)
    if not prints:
        raise ReadingError("There is nothing to judge yet: keep a print of this face first.")
    laid = in_order(prints)
    stretches = stretches_of(laid)
    named = [
        _named(_judged(one, before(one, laid, target), target, risk), label(one, stretches))
        for one in stretches
    ]
    criteria = (*_missing(laid), *(each for one in named for each in one.criteria))
    if not any(getattr(target, name) is not None for name in ASKS_BEARING):
        criteria = (told("target", "open", "no target"), *criteria)
    outcome, decided_by = outcome_of(criteria)
    passes = [one.compared_with for one in named]
    return Verdict(
        outcome=outcome,
        decided_by=decided_by,
        criteria=criteria,
        zones=tuple(zone for one in named for zone in one.zones),
        balances=tuple(balance for one in named for balance in one.balances),
        pass_number=laid[-1].printed.pass_number,
        compared_with=None if None in passes else min(p for p in passes if p is not None),
        risk=risk,
    )


@dataclass(frozen=True, eq=False)
class _Found:
    """What one stretch of the face gives."""

    criteria: tuple[Criterion, ...]
    zones: tuple[Zone, ...]
    balances: tuple[Balance, ...]
    compared_with: int | None


def _judged(one: Laid, earlier: Laid | None, target: Target, risk: float) -> _Found:
    ground, reading = one.ground, one.ground.reading
    film = film_criterion(reading, target)
    heavy = film is not None and film.stands == "cannot tell"
    of_print = (
        print_criterion(reading),
        photograph_criterion(reading),
        film,
        count_criterion(reading, target, heavy=heavy),
    )
    regions, ends, sides = region_parts(ground), end_parts(ground), side_parts(ground)
    balances = balances_of(
        pairs_of(regions, ends, sides), target.balance_most_percent, risk,
        count_reliable=reading.count_reliable,
    )  # fmt: skip
    figures = [*asked_criteria(ground, target, risk), *region_criteria(regions, target, risk)]
    if target.balance_most_percent is not None:
        balance = balance_criterion(balances, target.balance_most_percent)
        figures += [balance] if balance else []
    weighed = [weighed_by_print(figure, reading, heavy=heavy) for figure in figures]
    zones = short_zones((*ends, *sides), target, risk)
    short = [weighed_by_print(figure, reading, heavy=heavy) for figure in zones]
    known = {one.name for one in weighed if one.stands == "falls short"}
    short = [one for one in short if one.stands == "falls short" and one.name not in known]
    agreement = agreement_criterion(
        earlier.ground if earlier else None,
        ground,
        target,
        risk,
        same_pass=earlier is not None and earlier.printed.pass_number == one.printed.pass_number,
        confirms=earlier is not None and can_confirm(earlier.printed.reading, target),
    )
    return _Found(
        criteria=(*(one for one in of_print if one), *weighed, *short, agreement),
        zones=tuple(zone_of(part, risk) for part in (*regions, *ends, *sides)),
        balances=balances,
        compared_with=earlier.printed.pass_number if earlier else None,
    )


def _missing(laid: Sequence[Laid]) -> tuple[Criterion, ...]:
    percent = missing_percent(laid)
    if percent <= MISSING_ALLOWED_PERCENT:
        return ()
    return (told("print", "open", "part not printed", figure=percent, unit="%"),)


def _named(found: _Found, label: str) -> _Found:
    if not label:
        return found

    def name(zone: str) -> str:
        return f"{label}, {zone}" if zone else label

    return _Found(
        tuple(replace(one, zone=name(one.zone)) for one in found.criteria),
        tuple(replace(one, name=name(one.name)) for one in found.zones),
        tuple(
            replace(one, first=name(one.first), second=name(one.second)) for one in found.balances
        ),
        found.compared_with,
    )
