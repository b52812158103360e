"""Why a criterion stands as it does: the number first, the reason second."""

import math
import re

from scrapeview.charts.shown import Units, length
from scrapeview.charts.verdict_amounts import amount, bounds_words, number
from scrapeview.judge.verdict.criteria import Criterion
from scrapeview.judge.verdict.outcome import OF_THE_PRINT

PHOTO_REASONS = {
    "sharpness": "{length} is how wide the sharpest edges are: the photograph is {soft}",
    "clipped_lights": "{figure:.0f} % of the face is overexposed: colours are lost there",
    "clipped_darks": "{figure:.0f} % of the face is black: nothing can be told there",
    "glare": "{figure:.0f} % of the face is lost to glare: nothing can be told there",
    "uneven_light": "{figure:.1f} times the light of the darkest parts falls on the brightest: "
    "the face is lit too unevenly",
    "resolution": "{figure:.1f} px is how wide the smallest point is: the photograph is too coarse",
    "tilt": "{figure:.0f} degrees off square is where the camera stood: the far side is too coarse",
}
"""By the code of the check."""


def subject(zone: str) -> str:
    """Return a zone as the subject of a sentence: the face, the left end, region 2.

    What else it is called is the name of a stretch, in the user's own words.
    """
    if not zone:
        return "the face"
    if re.fullmatch(r"region \d+", zone):
        return zone
    plain = re.fullmatch(r"(left|right|top|bottom) (end|side)|middle|ends", zone)
    return f"the {zone}" if plain else f"the stretch ({zone})"


def reason(one: Criterion, units: Units) -> str:
    """Return the reason in words, without its full stop."""
    of_stretch = f" ({one.zone})" if one.zone and one.name in OF_THE_PRINT else ""
    return f"{_reason(one, units)}{of_stretch}"


def _reason(one: Criterion, units: Units) -> str:
    if one.why in PHOTO_REASONS:
        return _photograph(one, units)
    if one.interval is None and one.why in _BY_WHY:
        return _BY_WHY[one.why].format(
            figure=one.figure, target=one.target, percent=f"{one.figure:.0f} %"
        )
    if one.figure != one.figure and one.name in _NOT_FOUND:
        return _NOT_FOUND[one.name]
    if one.stands == "cannot tell" and one.why in _CANNOT_TELL:
        return f"{amount(one.figure, one.unit, units)} {_found(one)}: {_CANNOT_TELL[one.why]}"
    if one.name == "balance_most_percent":
        return _balance(one)
    if one.name == "prints_apart_most_percent":
        return _apart(one)
    if one.interval is None:
        return _without_bounds(one)
    return _bounded(one, units)


def _photograph(one: Criterion, units: Units) -> str:
    soft = "too soft to count" if one.stands == "cannot tell" else "a little soft"
    template = PHOTO_REASONS[one.why]
    return template.format(figure=one.figure, length=length(one.figure, units), soft=soft)


def _without_bounds(one: Criterion) -> str:
    figure, target = f"{one.figure:.0f} %", f"{one.target or 0:.0f} %"
    return {
        "print": "1 print was found, and its marks have clean edges",
        "photograph": "0 checks speak against the photograph: it shows what is to be counted",
        "haze_most_percent": f"{figure} haze lies between the points: {target} is allowed",
        "count": f"{figure} of the contact lies in merged patches: below {target} points can be "
        "counted",
    }[one.name]


def _bounded(one: Criterion, units: Units) -> str:
    found = amount(one.figure, one.unit, units)
    asked = number(one.target or 0.0, one.unit, units)
    if one.why == "too few squares" or one.interval is None:
        return f"{found} {_found(one)}: the face has too few squares to say how sure that is"
    target = f"the target is {'at least' if one.at_least else 'at most'} {asked}{_percent(one)}"
    if one.stands == "open":
        between = f"the target of {asked}{_percent(one)} lies between"
        return f"{found} {_found(one)}, with what is in doubt {bounds_words(one, units)}: {between}"
    # what it bears at least clears a target to be reached, what it bears at most falls short of it
    least = one.at_least == (one.stands == "clears")
    end = amount(one.interval.low if least else one.interval.high, one.unit, units)
    return f"{end} {_bears(one, 'at least' if least else 'at most')}: {target}"


def _percent(one: Criterion) -> str:
    return " %" if one.unit == "%" else ""


def _found(one: Criterion) -> str:
    where = subject(one.zone)
    return {
        "ppsi_least": f"were counted on {where}",
        "square_ppsi_least": f"were counted in the worst square of {where}",
        "contact_least_percent": f"contact was found on {where}",
        "contact_most_percent": f"contact was found on {where}",
        "bare_circle_most_mm": f"across is the largest bare circle of {where}",
        "spread_most_percent": f"is how much the squares of {where} differ in points",
        "balance_most_percent": f"is how far parts of the face differ ({one.zone})",
    }.get(one.name, "was found")


def _bears(one: Criterion, bound: str) -> str:
    where = subject(one.zone)
    return {
        "ppsi_least": f"is what {where} bears {bound}",
        "square_ppsi_least": f"is what the worst square of {where} bears {bound}",
        "contact_least_percent": f"contact is what {where} bears {bound}",
        "contact_most_percent": f"contact is what {where} bears {bound}",
        "bare_circle_most_mm": f"across {bound} is the largest bare circle of {where}",
        "spread_most_percent": f"{bound} is how much the squares of {where} differ in points",
    }.get(one.name, f"is what was found {bound}")


def _balance(one: Criterion) -> str:
    first, _, second = one.zone.partition(" / ")
    allowed = f"{one.target or 0:.0f} % is allowed"
    both = f"{subject(first)} and {subject(second)}"
    size = f"{one.figure:.0f} % is how far {both} differ in {one.why}"
    doubt = ", but chance may do that" if one.stands == "open" else ""
    return f"{size}: {allowed}{doubt}"


def _apart(one: Criterion) -> str:
    figure, _, scraped = one.why.partition(", ")
    if one.interval is None or not math.isfinite(one.interval.high):
        return "1 print stands alone: it has too few squares in common with the one before"
    allowed = f"{one.target or 0:.0f} % is allowed"
    size = f"{one.figure:.0f} % is how far two prints differ in {figure}"
    if one.stands == "clears":
        return f"{one.interval.high:.0f} % at most is how far two prints differ: {allowed}"
    if one.stands == "falls short":
        return f"{size}: {allowed}, and nothing was scraped between"
    if scraped:
        return f"{size}: {allowed}, and scraping lies between them"
    return f"{size}, and it may be {one.interval.high:.0f} %: {allowed}"


_BY_WHY = {
    "no target": "0 targets are set for this face: without one nobody can say when it is done",
    "no print": "0 marks were found on the face: there is no print to judge",
    "hardly told": "{percent} of the shading on this face is told by marking and metal: strokes "
    "and stains may pass for points",
    "smeared": "{percent} more film trails off one way than across: smears pass for contact",
    "heavy film": "{percent} haze lies between the points, {target:.0f} % is allowed: the film "
    "lies heavy and inflates contact",
    "haze not seen": "{target:.0f} % haze is allowed: with this marking it cannot be seen",
    "merged": "{percent} of the contact lies in merged patches: they must be broken up before "
    "points can be counted",
    "merged, heavy film": "{percent} of the contact lies in merged patches: the film lies heavy "
    "and may have joined them",
    "second print missing": "1 print shows the face as it is now: a second one must agree",
    "second print not usable": "1 print shows the face as it is now: the one before it is too poor "
    "to confirm it",
    "part not printed": "{percent} of what the pass before showed is not on the last prints: that "
    "part cannot be judged",
}
_NOT_FOUND = {
    "square_ppsi_least": "0 squares hold enough of the face to count points in",
    "spread_most_percent": "0 points tell how evenly they stand",
    "balance_most_percent": "0 marks can be weighed against each other: parts of the face bear too "
    "little",
    "prints_apart_most_percent": "0 marks can be compared: one of two prints bears too little",
}
"""By the name of a figure that there is none of."""
_CANNOT_TELL = {
    "no print": "no print was found to judge it by",
    "hardly told": "marks are hardly told from bare metal",
    "photograph": "the photograph is too poor to go by",
    "count unreliable": "merged patches cannot be counted",
    "heavy film": "the film lies heavy, which makes it look better than it is",
}
