"""The verdict on a face: its last prints against its target, with every reason."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scrapeview.errors import ReadingError
from scrapeview.judge.agreement import SAME_PART, agreement_criterion, shown_too
from scrapeview.judge.asked import asked_criteria
from scrapeview.judge.balance import balance_criterion, balances_of, pairs_of
from scrapeview.judge.bounds import require_risk, told
from scrapeview.judge.criteria import RISK, Balance, Criterion, Verdict, Zone
from scrapeview.judge.outcome import outcome_of
from scrapeview.judge.parts import Ground, ground_of
from scrapeview.judge.usable import (
    can_confirm,
    count_criterion,
    film_criterion,
    photograph_criterion,
    print_criterion,
    weighed_by_print,
)
from scrapeview.judge.zones import (
    end_parts,
    region_criteria,
    region_parts,
    short_zones,
    side_parts,
    zone_of,
)
from scrapeview.result import Reading
from scrapeview.targets import Target

ASKS_BEARING = (
    "ppsi_least",
    "square_ppsi_least",
    "contact_least_percent",
    "bare_circle_most_mm",
)
"""A target that asks for none of these says nothing of when a face bears enough."""


@dataclass(frozen=True, eq=False)
class JudgedPrint:
    """A print to judge a face by.

    Parameters
    ----------
    pass_number, print_id : int
    placement : str
        Where the reference lay; "" where it was not told.
    reading : Reading
        Its current reading.
    """

    pass_number: int
    print_id: int
    placement: str
    reading: Reading


@dataclass(frozen=True, eq=False)
class _Laid:
    """A print with its ground, made once."""

    printed: JudgedPrint
    ground: Ground


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
    ordered = sorted(prints, key=lambda one: (one.pass_number, one.print_id))
    grounds = {one.print_id: ground_of(one.reading) for one in ordered}
    laid = [_Laid(one, grounds[one.print_id]) for one in ordered]
    last = [one for one in laid if one.printed.pass_number == ordered[-1].pass_number]
    stretches = [one for i, one in enumerate(last) if not _shown_later(one, last[i + 1 :])]
    found = [_judged(one, _before(one, laid, target), target, risk) for one in stretches]
    named = [
        _named(one, _label(stretch.printed, stretches))
        for one, stretch in zip(found, stretches, strict=True)
    ]
    criteria = tuple(criterion for one in named for criterion in one.criteria)
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
        pass_number=ordered[-1].pass_number,
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


def _judged(one: _Laid, before: _Laid | None, target: Target, risk: float) -> _Found:
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
        before.ground if before else None,
        ground,
        target,
        risk,
        same_pass=before is not None and before.printed.pass_number == one.printed.pass_number,
        confirms=before is not None and can_confirm(before.ground.reading, target),
    )
    return _Found(
        criteria=(*(one for one in of_print if one), *weighed, *short, agreement),
        zones=tuple(zone_of(part, risk) for part in (*regions, *ends, *sides)),
        balances=balances,
        compared_with=before.printed.pass_number if before else None,
    )


def _shown_later(one: _Laid, later: Sequence[_Laid]) -> bool:
    return any(shown_too(one.ground, other.ground) >= SAME_PART for other in later)


def _before(one: _Laid, laid: Sequence[_Laid], target: Target) -> _Laid | None:
    """The print to compare with: the latest before it of the same part that can confirm it.

    Of its own pass, or of the nearest pass before that shows the same part; where none of them can
    confirm it, the latest.
    """
    known: list[_Laid] = []
    for other in reversed(laid[: laid.index(one)]):
        number = other.printed.pass_number
        nearest = known[-1].printed.pass_number if known else None
        if nearest not in (None, number, one.printed.pass_number):
            break
        if shown_too(one.ground, other.ground) >= SAME_PART:
            known.append(other)
    usable = (other for other in known if can_confirm(other.printed.reading, target))
    return next(usable, known[0] if known else None)


def _label(printed: JudgedPrint, stretches: Sequence[_Laid]) -> str:
    """Name of a stretch, "" where it is all there is."""
    if len(stretches) == 1:
        return ""
    alike = [one for one in stretches if one.printed.placement == printed.placement]
    if printed.placement and len(alike) == 1:
        return printed.placement
    return f"{printed.placement} (print {printed.print_id})".strip()


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
