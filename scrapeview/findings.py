"""Checks that come out of the reading itself, in the words of the photograph's checks."""

from scrapeview.film import Heaviness, Separability
from scrapeview.photo import Check
from scrapeview.photo.checks import CheckCode, Severity, severity_of

FINDING_CODES = (
    CheckCode(
        "no_print", "", 0.5, 0.5, "1 where no marking was found on the face, so all counts are 0."
    ),
    CheckCode(
        "heavy_film", "%", 15.0, 30.0,
        "Haze between the points, of the full film's contrast; heavy film inflates contact.",
    ),
    CheckCode(
        "smear", "%", 4.0, 12.0,
        "How much more film trails off along one direction than across it, of full contrast.",
    ),
    CheckCode(
        "merged", "%", 20.0, 50.0,
        "Share of the contact in patches larger than one point can be; the count is unreliable.",
    ),
    CheckCode(
        "opening_outside", "", 0.5, float("inf"), "Openings that do not touch the face."
    ),
)  # fmt: skip
"""What the reading itself finds, in the order it is given; common practice, no source."""

_BY_CODE = {code.code: code for code in FINDING_CODES}


def reading_findings(
    separability: Separability,
    heaviness: Heaviness,
    merged_percent: float,
    openings_outside: tuple[int, ...],
) -> tuple[Check, ...]:
    """Return the findings, one for each of `FINDING_CODES` that applies."""
    findings = [_print_found(separability)]
    if separability.is_print:
        findings += [_haze(heaviness), _smear(heaviness), _merged(merged_percent)]
    if openings_outside:
        findings.append(_openings(openings_outside))
    return tuple(findings)


def _print_found(separability: Separability) -> Check:
    if separability.is_print:
        return _check("no_print", 0.0, separability.reason)
    advice = "If you can see marks, give sample picks of the marking and of bare metal."
    return _check("no_print", 1.0, f"{separability.reason} {advice}")


def _haze(heaviness: Heaviness) -> Check:
    percent = heaviness.haze_percent
    text = f"{percent:.0f} % haze between the points: "
    if _severity("heavy_film", percent) == "ok":
        return _check("heavy_film", percent, text + "the film lies thin enough.")
    return _check(
        "heavy_film", percent,
        text + "the film lies heavy and inflates contact; wipe it thinner and print again.",
    )  # fmt: skip


def _smear(heaviness: Heaviness) -> Check:
    percent = heaviness.smear_percent
    text = f"{percent:.0f} % smearing along the rub: "
    if _severity("smear", percent) == "ok":
        return _check("smear", percent, text + "the marks have clean edges.")
    return _check(
        "smear", percent,
        text + "trails of film pass for contact; lift the part straight off, or use less film.",
    )  # fmt: skip


def _merged(percent: float) -> Check:
    text = f"{percent:.0f} % of the contact lies in patches larger than one point can be: "
    if _severity("merged", percent) == "ok":
        return _check("merged", percent, text + "the count can be relied on.")
    return _check(
        "merged", percent,
        text + "do not rely on the count of points; go by contact, or print with thinner film.",
    )  # fmt: skip


def _openings(numbers: tuple[int, ...]) -> Check:
    told = ", ".join(str(n) for n in numbers)
    return _check(
        "opening_outside", float(len(numbers)),
        f"Opening {told} does not touch the face and takes nothing out; check its unit and picks.",
    )  # fmt: skip


def _check(code: str, figure: float, sentence: str) -> Check:
    return Check(code, _severity(code, figure), figure, _BY_CODE[code].unit, sentence)


def _severity(code: str, figure: float) -> Severity:
    row = _BY_CODE[code]
    return severity_of(figure, row.warn, row.bad)
