"""What to do after a verdict: plain sentences, the weightiest first, none twice."""

from scrapeview.charts.shown import Units
from scrapeview.charts.verdict_reasons import subject
from scrapeview.judge.next.to_take import SPARSE_SHARE
from scrapeview.judge.verdict.criteria import Balance, Criterion, Verdict

AGAIN = "Print once more with the reference turned or moved, without scraping in between."
PHOTO_ADVICE = {
    "sharpness": "Focus on the face, hold the camera still and photograph the print again.",
    "clipped_lights": "Take light off the face or expose shorter, and photograph the print again.",
    "clipped_darks": "Bring more light onto the face, and photograph the print again.",
    "glare": "Move the lamp until the shine is off the face, and photograph the print again.",
    "uneven_light": "Light the face from two sides, and photograph the print again.",
    "resolution": "Go nearer or photograph the face in parts, and photograph the print again.",
    "tilt": "Hold the camera squarely over the face, and photograph the print again.",
}
BY_WHY = {
    "no target": "Choose a target for this face.",
    "no print": "Spread marking on the reference, rub it on the face and photograph that; if you "
    "can see marks, pick a sample of the marking and of bare metal.",
    "hardly told": "Print again with a marking that stands out, and light that shows it; clean "
    "off what is left of an undercoat.",
    "smeared": "Lift the part straight off, use less film and print again.",
    "heavy film": "Wipe the film thinner and print again.",
    "haze not seen": "Look at the film yourself: if it lies thin, leave film out of the target.",
    "merged": "Break up the large patches: scrape them, and leave what is bare.",
    "merged, heavy film": "Wipe the film thinner and print again.",
    "second print missing": AGAIN,
    "second print not usable": AGAIN,
    "part not printed": "Print the rest of the face too.",
    "too few squares": "Count the face by eye beside this: it is too small for bounds.",
}
"""By the code of the reason."""
SHORT = {
    "ppsi_least": "Scrape {where} for more points: split the large ones, and take the hollow ones.",
    "square_ppsi_least": "Leave the worst square alone and scrape around it until it marks.",
    "contact_least_percent": "Scrape what stands high on {where} until more of it marks.",
    "contact_most_percent": "Split the largest points of {where}: too much contact wrings and "
    "starves of oil.",
    "bare_circle_most_mm": "Leave the bare patch alone and scrape what stands around it.",
    "spread_most_percent": "Scrape the crowded squares and leave the sparse ones.",
}
"""By the name of the criterion, where it plainly falls short."""
MORE = ("ppsi_least", "contact_least_percent")
LOW = "Leave {where} alone and scrape what bears beside it until it marks: it lies low."
OPEN = "Print once more before you scrape on: {what} may be reached already."
_WHAT = {
    "ppsi_least": "the points asked for",
    "square_ppsi_least": "the points asked for in the worst square",
    "contact_least_percent": "the contact asked for",
    "contact_most_percent": "the most contact allowed",
    "bare_circle_most_mm": "the bare patch allowed",
    "spread_most_percent": "the evenness asked for",
    "balance_most_percent": "the balance asked for",
}


def advice(verdict: Verdict, units: Units) -> tuple[str, ...]:  # noqa: ARG001 called as the rest
    """Return what to do next.

    Parameters
    ----------
    verdict : Verdict
    units : {"metric", "inch"}
    """
    if verdict.outcome == "done":
        return ("Stop scraping this face: it bears what was asked.",)
    found = (_for(one, verdict) for one in verdict.decided_by)
    return tuple(dict.fromkeys(line for line in found if line))


def _for(one: Criterion, verdict: Verdict) -> str:
    if one.why in PHOTO_ADVICE:
        return PHOTO_ADVICE[one.why]
    if one.why in BY_WHY:
        return BY_WHY[one.why]
    if one.name == "prints_apart_most_percent":
        return AGAIN
    if one.name == "balance_most_percent" and one.stands == "falls short":
        return _balance(one, verdict)
    if one.stands == "falls short" and one.name in SHORT:
        if one.name in MORE and _lies_low(one.zone, verdict):
            return LOW.format(where=subject(one.zone))
        return SHORT[one.name].format(where=subject(one.zone))
    return OPEN.format(what=_WHAT[one.name]) if one.name in _WHAT else ""


def _balance(one: Criterion, verdict: Verdict) -> str:
    """The part with more contact stands higher; the one with fewer points has larger ones."""
    pair = next((b for b in verdict.balances if _is_of(one, b)), None)
    if pair is None:
        return ""
    richer, poorer = pair.first, pair.second
    if pair.difference_percent < 0:
        richer, poorer = poorer, richer
    if pair.figure == "contact" or _lies_low(poorer, verdict):
        return f"Scrape {subject(richer)} more than {subject(poorer)}: it stands higher."
    return f"Split points on {subject(poorer)}: {subject(richer)} bears more of them."


def _lies_low(name: str, verdict: Verdict) -> bool:
    """Whether a zone bears so much less than another of its kind that nothing is to be taken."""
    zone = next((zone for zone in verdict.zones if zone.name == name), None)
    if zone is None:
        return False
    alike = ("ends", "middle") if zone.kind in ("ends", "middle") else (zone.kind,)
    most = max(other.contact_percent for other in verdict.zones if other.kind in alike)
    return zone.contact_percent < SPARSE_SHARE * most


def _is_of(one: Criterion, balance: Balance) -> bool:
    return one.zone.endswith(f"{balance.first} / {balance.second}") and balance.figure == one.why
