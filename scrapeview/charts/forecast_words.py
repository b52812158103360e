"""The forecast, a stall and counting by eye in plain sentences: number first, reason second."""

import numpy as np

from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.judge.eye import EyeAgreement, SquaresToCount
from scrapeview.judge.forecast.clearing import HORIZON, Needed
from scrapeview.judge.forecast.forecast import FEWEST_PASSES, FigureForecast, Forecast
from scrapeview.judge.forecast.stall import PASSES, Gain, Stall
from scrapeview.targets import Target

WORTH_TELLING = 0.05
"""Chance that the target is not reached from which it is said although the interval has an end."""
LEVEL_KNOWN = 2.0
"""A level is told where the upper end of its interval is at most this many times the lower."""
CHANGE = "change the stroke, the film or the reference"
NO_HOURS = "0 h are noted with the passes, so none can be forecast: note them with the next print."
NOTHING_ASKED = (
    "0 passes are forecast: the target asks neither for points nor for contact; choose one with "
    "the face."
)
SCOPE = (
    "The forecast holds for points and contact, if you go on as before; the worst square and bare "
    "patches hang on single places and are not forecast."
)


def forecast_sentence(found: Forecast, units: Units = "metric") -> str:
    """Return how many passes are still needed and why, in one sentence."""
    if found.state == "nothing asked":
        return NOTHING_ASKED
    if found.state == "too few":
        return _too_few(found)
    asked = asked_words(found.target, units)
    if found.state == "there":
        return (
            f"0 more passes: the print of pass {found.last_pass} clears {asked}, which is all that "
            "is forecast."
        )
    if found.state == "never":
        return (
            f"{chances_words(found.never_chance)} that no print clears {asked} within {HORIZON} "
            f"passes at this rate: {_limit_words(found, units)}, so {CHANGE}."
        )
    sentence = passes_words(found.passes)
    if found.passes.low != found.passes.high:
        sentence += f", most likely {found.passes.middle:.0f},"
    reason = f"that is where the prints are heading in {_cases(found)}"
    if found.passes.high is None or found.never_chance >= WORTH_TELLING:
        reason += f", and {chances_words(found.never_chance)} are that it is not reached at all"
    return f"{sentence} until a print clears {asked}: {reason}."


def hours_sentence(found: Forecast) -> str:
    """Return how many hours are still needed, "" where there is no forecast of passes."""
    if found.state not in ("ahead", "never"):
        return ""
    if found.hours is None:
        return NO_HOURS
    low, high = found.hours.low, found.hours.high
    if low is None:
        return ""
    reason = f"at the pace of the last passes, in {_cases(found)}"
    if high is None:
        return f"{low:.1f} h of work or more: {reason}."
    if f"{low:.1f}" == f"{high:.1f}":
        return f"{low:.1f} h more work: {reason}."
    return f"{low:.1f} to {high:.1f} h more work: {reason}."


def passes_words(needed: Needed) -> str:
    """Return passes needed with their interval: 2 to 4 more passes."""
    if needed.low is None:
        return f"More than {HORIZON} passes"
    low = f"{needed.low:.0f}"
    if needed.high is None:
        return f"{low} or more passes"
    if needed.low == needed.high:
        return "1 more pass" if needed.low == 1 else f"{low} more passes"
    return f"{low} to {needed.high:.0f} more passes"


def asked_words(target: Target, units: Units) -> str:
    """Return what a target asks of points and contact."""
    least, most = target.contact_least_percent, target.contact_most_percent
    parts = []
    if target.ppsi_least is not None:
        parts.append(f"{points_by(target.ppsi_least, units):.3g} points per {points_unit(units)}")
    if least is not None and most is not None:
        parts.append(f"{least:g} to {most:g} % contact")
    elif least is not None:
        parts.append(f"{least:g} % contact")
    elif most is not None:
        parts.append(f"at most {most:g} % contact")
    return " and ".join(parts)


def chances_words(chance: float) -> str:
    """Return a chance in hundredths, never none and never all."""
    hundredths = round(100 * chance)
    if hundredths < 1:
        return "less than 1 chance in 100"
    return "1 chance in 100" if hundredths == 1 else f"{min(hundredths, 99)} chances in 100"


def limit_sentence(found: FigureForecast, units: Units = "metric") -> str:
    """Return what a figure levels off at, or shows next where that cannot be told yet.

    "" where there is no forecast of it.
    """
    low, middle, high = found.limit.low, found.limit.middle, found.limit.high
    if low is None or middle is None or high is None:
        return ""
    if high <= LEVEL_KNOWN * low:
        return (
            f"{_ranged(found, low, middle, high, units)} is where the prints level off, as they go."
        )
    coming = found.curve[found.curve["pass"] == found.next_pass].iloc[0]
    expected = _ranged(found, coming["low"], coming["middle"], coming["high"], units)
    return (
        f"{expected} is what pass {found.next_pass} leaves: the prints do not tell yet where it "
        "levels off."
    )


def _ranged(found: FigureForecast, low: float, middle: float, high: float, units: Units) -> str:
    if found.which == "points":
        low, high = points_by(low, units), points_by(high, units)
    return f"{_figure_words(found, middle, units)} ({low:.0f} to {high:.0f})"


def stall_sentence(stall: Stall) -> str:
    """Return that three passes gained nothing and what to change, "" where they did."""
    if not stall.stalled:
        return ""
    gains = ", ".join(_gain_words(gain) for gain in stall.gains)
    first, last = stall.passes
    return f"{PASSES} passes without gain (pass {first} to {last}: {gains}): {CHANGE}."


def squares_sentence(found: SquaresToCount, wanted: int) -> str:
    """Return how many squares are there to count and why not more, "" where all are there."""
    if found.room == "all":
        return ""
    if found.room == "no print":
        return "0 squares to count: no print was found on this face."
    if not len(found):
        return "0 squares to count: no whole square is left between the openings and glare."
    those = "1 square fits" if len(found) == 1 else f"{len(found)} squares fit"
    return f"{those} on the face without overlapping, so {wanted} are not shown."


def agreement_sentences(found: EyeAgreement, units: Units = "metric") -> tuple[str, ...]:
    """Return how counting by eye agrees with the program, a sentence a finding."""
    if not found.count:
        return ("0 squares are counted by eye: count a few, to see how eye and program agree.",)
    unit = f"points per {points_unit(units)}"
    bias = points_by(found.bias, units)
    head = f"{_signed(bias)} {unit} is what the eye counts against the program"
    squares = "1 square" if found.count == 1 else f"{found.count} squares"
    if not np.isfinite(found.bias_interval.low):
        told = [f"{head}, in {squares} only: count {found.more_needed} more."]
        return tuple(told)
    low, high = (points_by(end, units) for end in _ends(found))
    differ = "plainly differ" if found.bias_plain else "do not plainly differ"
    told = [f"{head} ({_signed(low)} to {_signed(high)}): eye and program {differ} in {squares}."]
    told.append(_limits_sentence(found, units, unit))
    if found.trend_plain:
        way = "more" if found.trend > 0 else "less"
        told.append(
            f"{_signed(found.trend, 2)} is the rank correlation of difference and count: the "
            f"denser the square, the {way} the eye counts against the program."
        )
    return tuple(told)


def _limits_sentence(found: EyeAgreement, units: Units, unit: str) -> str:
    if found.more_needed:
        more = "1 more square" if found.more_needed == 1 else f"{found.more_needed} more squares"
        return f"{more} must be counted before limits of agreement can be told."
    low, high = (_signed(points_by(end, units)) for end in (found.low, found.high))
    ends = (found.low_interval, found.high_interval)
    widest = max(points_by((end.high - end.low) / 2, units) for end in ends)
    return (
        f"{low} to {high} {unit} is how far 19 of 20 squares differ: limits of agreement, "
        f"each known to within {widest:.1f}."
    )


def _ends(found: EyeAgreement) -> tuple[float, float]:
    return found.bias_interval.low, found.bias_interval.high


def _too_few(found: Forecast) -> str:
    usable = {which: found.of(which).usable_passes for which in found.short_of}
    which = min(usable, key=lambda name: usable[name])
    head = f"{usable[which]} of {FEWEST_PASSES} passes that a forecast of {which} needs"
    if found.last_pass < FEWEST_PASSES:
        return f"{head}: it comes with the third print that can be relied on."
    why = "the film lay heavy"
    if which == "points":
        why = "marks ran together or the film lay heavy"
    return f"{head}: on the others no print was found, or {why}."


def _limit_words(found: Forecast, units: Units) -> str:
    """Return what the figure that holds a face up runs to."""
    worst = max((found.points, found.contact), key=lambda f: np.nan_to_num(f.never_chance, nan=-1))
    if worst.limit.middle is None:
        return "too little is gained"
    return f"the prints run to about {_figure_words(worst, worst.limit.middle, units)}"


def _figure_words(found: FigureForecast, value: float, units: Units) -> str:
    if found.which == "contact":
        return f"{value:.0f} % contact"
    return f"{points_by(value, units):.0f} points per {points_unit(units)}"


def _gain_words(gain: Gain) -> str:
    what = "points" if gain.which == "points" else "contact towards its target"
    return f"{what} {_signed(gain.percent, 0)} %"


def _cases(found: Forecast) -> str:
    return f"{round(10 * found.confidence)} cases of 10"


def _signed(value: float, digits: int = 1) -> str:
    # adding zero takes the sign off a rounded zero
    rounded = round(value, digits) + 0.0
    return f"{rounded:+.{digits}f}" if rounded else f"{rounded:.{digits}f}"
