"""Whether a print can judge at all: its photograph, its film, its count."""

from dataclasses import replace

from scrapeview.findings import FINDING_CODES
from scrapeview.judge.verdict.bounds import told
from scrapeview.judge.verdict.criteria import Criterion, Stands
from scrapeview.photo.checks import CHECK_CODES, Check, Severity
from scrapeview.result import MOST_MERGED_PERCENT, Reading
from scrapeview.targets import Target

PHOTO_CODES = tuple(code.code for code in CHECK_CODES)
FILM_ALLOWED_PERCENT = next(c.warn for c in FINDING_CODES if c.code == "heavy_film")
"""Haze allowed where a target does not say: as the reading's own finding warns."""
BY_LIGHTNESS = ("black", "rubbed")
"""Markings whose haze cannot be told from the shades of bare metal."""
CLEAR_EXPLAINED = 0.74
"""Share of the shading that marking and metal must explain. Of 50 varied computed photographs four
with a print lay below it, wrong by 6 to 165 % in points, three of them with no check to warn; those
above it whose marks are not merged were wrong by 8 % at most."""
FLATTERING = ("heavy film", "hardly told")
COUNTED = ("ppsi_least", "square_ppsi_least", "spread_most_percent")
"""Values of a target that rest on the count of points."""

_STANDS: dict[Severity, Stands] = {"ok": "clears", "warn": "open", "bad": "cannot tell"}
_RANK: tuple[Severity, ...] = ("ok", "warn", "bad")


def asks_points(target: Target) -> bool:
    """Return whether a target asks for anything that rests on the count."""
    return any(getattr(target, name) is not None for name in COUNTED)


def print_criterion(reading: Reading) -> Criterion:
    """Return whether there is a print that stands off its metal, with clean edges."""
    if not reading.is_print:
        return told("print", "cannot tell", "no print")
    explained = reading.separability.explained
    if explained < CLEAR_EXPLAINED:
        return told("print", "cannot tell", "hardly told", figure=100 * explained, unit="%")
    smear = next((check for check in reading.checks if check.code == "smear"), None)
    if smear is None or smear.severity == "ok":
        return told("print", "clears")
    return told("print", _STANDS[smear.severity], "smeared", figure=smear.figure, unit="%")


def photograph_criterion(reading: Reading) -> Criterion:
    """Return the worst of the checks that concern the photograph."""
    checks = [check for check in reading.checks if check.code in PHOTO_CODES]
    if not checks:
        return told("photograph", "clears")
    worst = max(checks, key=_how_bad)
    if worst.severity == "ok":
        return told("photograph", "clears")
    return told(
        "photograph", _STANDS[worst.severity], worst.code, figure=worst.figure, unit=worst.unit
    )


def film_criterion(reading: Reading, target: Target) -> Criterion | None:
    """Return whether the film is thin enough; asked or not, as heavy film inflates contact."""
    if not reading.is_print:
        return None
    asked = target.haze_most_percent
    haze = reading.heaviness.haze_percent
    if reading.marking in BY_LIGHTNESS and haze == 0:
        if asked is None:
            return None
        return told("haze_most_percent", "open", "haze not seen", unit="%", target=asked)
    allowed = FILM_ALLOWED_PERCENT if asked is None else asked
    stands: Stands = "clears" if haze <= allowed else "cannot tell"
    why = "" if stands == "clears" else "heavy film"
    return told("haze_most_percent", stands, why, figure=haze, unit="%", target=allowed)


def count_criterion(reading: Reading, target: Target, *, heavy: bool) -> Criterion | None:
    """Return whether marks are apart enough to be counted; None where no count is asked.

    Thin film that still prints merged patches means a face that is not broken up yet; under heavy
    film the patches may be the film's.
    """
    if not (reading.is_print and asks_points(target)):
        return None
    if reading.count_reliable:
        stands: Stands = "clears"
    else:
        stands = "cannot tell" if heavy else "falls short"
    return told(
        "count",
        stands,
        "" if reading.count_reliable else ("merged, heavy film" if heavy else "merged"),
        figure=reading.merged_percent,
        unit="%",
        target=MOST_MERGED_PERCENT,
    )


def weighed_by_print(figure: Criterion, reading: Reading, *, heavy: bool) -> Criterion:
    """Return how a figure stands once it is known what its print is worth.

    Heavy film, and strokes that pass for points, make contact, points and evenness look better than
    they are, so that what plainly falls short even so stays; too much contact may be theirs.
    """
    if not reading.is_print:
        return replace(figure, stands="cannot tell", why="no print")
    if photograph_criterion(reading).stands == "cannot tell":
        return replace(figure, stands="cannot tell", why="photograph")
    if not reading.count_reliable and figure.name in COUNTED:
        return replace(figure, stands="cannot tell", why="count unreliable")
    flattered = "heavy film" if heavy else print_criterion(reading).why
    if flattered in FLATTERING and not _stays(figure):
        return replace(figure, stands="cannot tell", why=flattered)
    return figure


def _stays(figure: Criterion) -> bool:
    """Whether a figure stands as it does though it is flattered."""
    return figure.stands == ("clears" if figure.name == "contact_most_percent" else "falls short")


def can_confirm(reading: Reading, target: Target) -> bool:
    """Return whether a print is good enough to confirm another."""
    film = film_criterion(reading, target)
    sound = [print_criterion(reading), photograph_criterion(reading)]
    if any(one.stands == "cannot tell" for one in sound):
        return False
    if film is not None and film.stands == "cannot tell":
        return False
    return reading.count_reliable or not asks_points(target)


def _how_bad(check: Check) -> tuple[int, int]:
    # of two as bad, the one that is given first
    return _RANK.index(check.severity), -PHOTO_CODES.index(check.code)
