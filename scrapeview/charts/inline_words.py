"""Whether stretches lie in line and ways share a plane, in sentences: number first, reason second.

All of it is estimated from contact, is called so, and ends with how to check it.
"""

import math
from collections.abc import Sequence

from scrapeview.charts import shown
from scrapeview.charts.inline_amounts import (
    amount,
    estimate_words,
    is_tilt,
    length_unit,
    plain_length,
)
from scrapeview.charts.shown import Units
from scrapeview.judge.inline.estimates import (
    Estimate,
    FilmUnit,
    Joint,
    Overlap,
    OverlapReason,
    SharedPlane,
)
from scrapeview.judge.inline.shared_plane import BESIDE
from scrapeview.record.entries import LineCheck

__all__ = [
    "SHIM_PROCEDURE",
    "estimate_words",
    "joint_sentences",
    "overlap_sentence",
    "plane_sentences",
    "unit_sentence",
]

TITLES = {
    "step": "Step",
    "tilt along": "Tilt along the face",
    "tilt across": "Tilt across (twist)",
    "twist": "Twist along the length",
    "offset": "Height of one way over the other",
    "balance": "How the two ways share the load",
}
"""What each quantity is called over a table or a figure."""


CHECK_IT = "Check it with a level or an indicator before you scrape by it."
REFERENCE_NOTE = (
    "Estimate, from contact alone. It takes the reference as flat: a straight face seems to bend "
    "at every joint where the reference is bent. A 500 mm (20 in) one that is bent by 1 µm "
    "(0.00004 in) and laid every 350 mm (14 in) makes 11 µm per m (0.13 thousandths of an inch per "
    "foot) of it."
)
SHIM_PROCEDURE = (
    "Film as you will for the prints to be judged, thin and even.",
    "Lay the reference on the face, rub it as always, lift it and photograph the print: this is "
    "the level print. Do not scrape in between.",
    "Wipe the face, and film the reference again the same way.",
    "Lay a shim or feeler of known thickness across the face near one end of the reference, as "
    "thin as you have (0.01 to 0.03 mm, 0.0005 to 0.001 in) and as far from the other end as you "
    "can, and measure where it lies along the face.",
    "Lower the reference so that it rests on the shim and on the face near its other end. Press, "
    "rub a few millimetres without moving the shim, lift, take the shim out and photograph: the "
    "contact fades towards the shim.",
    "Enter the thickness, where the shim lay, and where the other end of the reference rested. "
    "How fast the contact fades tells what one film unit is in micrometres.",
)
"""What to do at the bench to calibrate the film, step by step."""

OVERLAP_REASONS: dict[OverlapReason, str] = {
    "agree": "the two prints agree there",
    "film differs": "one print has more contact all over it: the film, or the load, differed",
    "rocked": "the reference leaned or rocked in one of the two: print both once more, pressed at "
    "the middle of the reference",
    "not in line": "the two stretches are not in line",
    "marks elsewhere": "their marks do not fall on each other: check where along the face each was "
    "laid, and that nothing was scraped in between",
    "too little": "too little of the face was seen in both, or marked in either, to compare them",
}


def joint_sentences(
    joint: Joint, units: Units, checks: Sequence[LineCheck] = ()
) -> tuple[str, ...]:
    """Return what is estimated of a joint, and how checks of it compare.

    Parameters
    ----------
    joint : Joint
    units : {"metric", "inch"}
    checks : sequence of LineCheck
        Those of this joint; each is set beside the estimate of what it checked.
    """
    where = f"{joint.first} and {joint.second}"
    if joint.step is None or joint.tilt_along is None or joint.tilt_across is None:
        open_ = f"Between {where} nothing can be told. {joint.why_not}"
        return (open_, *_alone(checks, units), CHECK_IT)
    told = (
        ("step", joint.step, _step_reason(joint, joint.step)),
        ("tilt along", joint.tilt_along, _along_reason(joint.tilt_along)),
        ("tilt across", joint.tilt_across, _across_reason(joint, joint.tilt_across)),
    )
    said = _told(told, units, checks)
    return (*said, CHECK_IT)


def plane_sentences(
    shared: SharedPlane, units: Units, checks: Sequence[LineCheck] = ()
) -> tuple[str, ...]:
    """Return what is estimated of two ways that one reference spans, and how checks compare.

    Parameters
    ----------
    shared : SharedPlane
    units : {"metric", "inch"}
    checks : sequence of LineCheck
    """
    if shared.why_not:
        where = f"{shared.first} and {shared.second}"
        return (
            f"Whether {where} share a plane cannot be told. {shared.why_not}",
            *_alone(checks, units),
            CHECK_IT,
        )
    told = (
        ("balance", shared.balance, _balance_reason(shared)),
        ("offset", shared.offset, _offset_reason(shared)),
        ("tilt across", shared.tilt_across, _lean_reason(shared)),
        ("twist", shared.twist, _twist_reason(shared)),
    )
    said = _told(told, units, checks)
    return (*said, CHECK_IT)


def overlap_sentence(overlap: Overlap, units: Units) -> str:
    """Return what two placements show of the stretch that both covered.

    Parameters
    ----------
    overlap : Overlap
    units : {"metric", "inch"}
    """
    span = shown.length(overlap.to_mm - overlap.from_mm, units)
    where = f"{overlap.first} and {overlap.second}"
    if overlap.reason == "too little":
        return f"{span} were covered by both {where}: {OVERLAP_REASONS['too little']}."
    return (
        f"{overlap.contact_first:.0f} and {overlap.contact_second:.0f} % contact on the {span} "
        f"that both {where} covered, {overlap.both:.0f} % marked in both where unrelated prints "
        f"would have {overlap.both_by_chance:.0f} %: {OVERLAP_REASONS[overlap.reason]}."
    )


def unit_sentence(unit: FilmUnit | None, units: Units) -> str:
    """Return what one film unit is worth, or what to do to know.

    Parameters
    ----------
    unit : FilmUnit or None
    units : {"metric", "inch"}
    """
    if unit is None:
        return (
            "Heights are in film units: one is about as far as scraped texture and film stand off "
            "their mean. Measure it with a shim below, or tell your own figure, to have them in "
            f"{'0.0001 in' if units == 'inch' else 'micrometres'}."
        )
    how = "from the shim print" if unit.how == "shim" else "your own figure"
    if unit.low_um == unit.high_um:
        return f"{plain_length(unit.um, units)} is one film unit, {how}, taken as exact."
    return (
        f"{plain_length(unit.um, units)} is one film unit, {how} (95 %: "
        f"{plain_length(unit.low_um, units)} to {plain_length(unit.high_um, units)})."
    )


def check_sentence(check: LineCheck, estimate: Estimate | None, units: Units) -> str:
    """Return a check with whether the estimate agrees with it.

    It agrees where their intervals meet. Without micrometres only the direction is compared.

    Parameters
    ----------
    check : LineCheck
    estimate : Estimate or None
        Of what was checked.
    units : {"metric", "inch"}
    """
    tilt = is_tilt(check.what)
    error = "" if check.error_um is None else f" ± {amount(check.error_um, tilt, units)[1:]}"
    head = (
        f"{amount(check.value_um, tilt, units)}{error} {length_unit(tilt, units)} by "
        f"{_instrument(check)} on pass {check.pass_number} "
        f"({TITLES.get(check.what, check.what).lower()})"
    )
    if estimate is None or not math.isfinite(estimate.high - estimate.low):
        return f"{head}: there is no estimate to set beside it."
    if estimate.low_um is None or estimate.high_um is None:
        return f"{head}: {_direction(check, estimate)}"
    reach = check.error_um or 0.0
    agrees = estimate.low_um <= check.value_um + reach and estimate.high_um >= (
        check.value_um - reach
    )
    if agrees:
        return f"{head}: the estimate agrees within its interval."
    return f"{head}: it lies outside the estimate's interval. Go by {_instrument(check)}."


def _told(
    told: Sequence[tuple[str, Estimate, str]], units: Units, checks: Sequence[LineCheck]
) -> tuple[str, ...]:
    said = []
    for what, estimate, reason in told:
        said.append(f"Estimate: {estimate_words(estimate, units)}: {reason}.")
        said += [check_sentence(one, estimate, units) for one in checks if one.what == what]
    names = {what for what, _, _ in told}
    said += [check_sentence(one, None, units) for one in checks if one.what not in names]
    return tuple(said)


def _alone(checks: Sequence[LineCheck], units: Units) -> tuple[str, ...]:
    return tuple(check_sentence(one, None, units) for one in checks)


def _step_reason(joint: Joint, step: Estimate) -> str:
    if not step.stands_off:
        return f"no step between {joint.first} and {joint.second} beyond chance"
    way = "higher" if step.value > 0 else "lower"
    return f"{joint.second} begins {way} than {joint.first} ends, a step"


def _along_reason(tilt: Estimate) -> str:
    if not tilt.stands_off:
        return "no bend at the joint beyond chance"
    return "the two stretches make a hollow" if tilt.value > 0 else "the two stretches make a hump"


def _across_reason(joint: Joint, tilt: Estimate) -> str:
    if not tilt.stands_off:
        return "no twist from one stretch to the other beyond chance"
    side = "near" if tilt.value > 0 else "far"
    return f"{joint.second} stands higher at its {side} side than {joint.first} does, a twist"


def _balance_reason(shared: SharedPlane) -> str:
    if not shared.balance.stands_off:
        return f"{shared.first} and {shared.second} carry the reference alike"
    more = shared.second if shared.balance.value > 0 else shared.first
    return f"{more} bears more, as the reference lay"


def _offset_reason(shared: SharedPlane) -> str:
    if not shared.offset.stands_off:
        return f"{shared.second} stands neither above nor below {shared.first} beyond chance"
    way = "above" if shared.offset.value > 0 else "below"
    return f"{shared.second} lies {way} {shared.first} where their planes meet halfway"


def _lean_reason(shared: SharedPlane) -> str:
    if not shared.tilt_across.stands_off:
        return "the two lean across alike"
    return (
        "the two lean apart, a trough across"
        if shared.tilt_across.value > 0
        else "the two lean apart, a roof across"
    )


def _twist_reason(shared: SharedPlane) -> str:
    if not shared.twist.stands_off:
        return "no twist along the length beyond chance"
    # ways beside each other run from the far side to the near one
    ends = ("far", "near") if (shared.first, shared.second) == BESIDE else ("left", "right")
    end = ends[int(shared.twist.value > 0)]
    return f"{shared.second} stands higher at its {end} end than {shared.first} does, a twist"


def _direction(check: LineCheck, estimate: Estimate) -> str:
    calibrate = "Calibrate the film to compare sizes."
    if not estimate.stands_off:
        return f"the estimate has no direction beyond chance. {calibrate}"
    same = (estimate.value > 0) == (check.value_um > 0)
    if same:
        return f"the estimate points the same way. {calibrate}"
    return f"the estimate points the other way. Go by {_instrument(check)}. {calibrate}"


def _instrument(check: LineCheck) -> str:
    return "another instrument" if check.instrument == "other" else f"the {check.instrument}"
