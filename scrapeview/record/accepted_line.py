"""What the record takes of placements, maps, calibrated film and checks with instruments."""

import dataclasses
import json
import math
from collections.abc import Mapping, Sequence
from typing import Any, get_args

from scrapeview.errors import RecordError
from scrapeview.placements import Placement
from scrapeview.record import accepted
from scrapeview.record.entries import Calibrated, Checked, FilmCalibration, Instrument, LineCheck

LARGEST_LINE_UM = 100_000.0
"""Of what an instrument shows, in micrometres or micrometres per metre."""
LONGEST_BETWEEN = 2 * accepted.LONGEST_NAME
LONGEST_JOINED = 2**22
"""Characters of how one map was joined."""


def placement_of(placement: str | Placement) -> Placement:
    """Return where a reference lay; a text is the name of a placement that was not told further.

    Raises
    ------
    RecordError
        Where its name is too long or cannot be stored.
    """
    told = Placement(name=placement) if isinstance(placement, str) else placement
    ends = [None if mm is None else float(mm) for mm in (told.start_mm, told.length_mm)]
    name = accepted.text_of("placement", told.name)
    return Placement(name=name, start_mm=ends[0], length_mm=ends[1], side=told.side)


def joined_of(joined: Mapping[str, Any] | None, photo_sha256s: Sequence[str]) -> str:
    """Return how a map was joined as the text that is kept; "" where it was not.

    Parameters
    ----------
    joined : mapping or None
        As `scrapeview.joining.Joined.as_dict` tells it.
    photo_sha256s : sequence of str
        Of the print: the map first, then the photographs it was joined from.

    Raises
    ------
    RecordError
        Where it is no plain JSON, or does not name just the photographs behind the map.
    """
    if joined is None:
        return ""
    try:
        text = json.dumps(dict(joined), allow_nan=False)
    except (TypeError, ValueError, RecursionError):
        raise RecordError("How the map was joined cannot be stored: join it again.") from None
    if len(text) > LONGEST_JOINED:
        raise RecordError("How the map was joined is too long to store: join fewer photographs.")
    require_joined_from(json.loads(text), photo_sha256s)
    return text


def joined_in(text: str, photo_sha256s: Sequence[str]) -> str:
    """Return how a map was joined, from a text that comes from elsewhere, as it is kept.

    Raises
    ------
    RecordError
        Where it is not what `joined_of` returns.
    """
    if not text:
        return ""
    if len(text) > LONGEST_JOINED:
        raise RecordError("How a map was joined is too long.")
    try:
        told = json.loads(text)
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict):
        raise RecordError("How a map was joined is not what it should be.")
    return joined_of(told, photo_sha256s)


def require_joined_from(joined: Mapping[str, Any], photo_sha256s: Sequence[str]) -> None:
    """Refuse a map whose print does not hold just the photographs it was joined from.

    Raises
    ------
    RecordError
    """
    photos = joined.get("photos")
    named = photos.get("sha256") if isinstance(photos, Mapping) else None
    told = [joined.get("picture_sha256"), *(named if isinstance(named, list) else ())]
    if len(told) < 2 or told != list(photo_sha256s):
        raise RecordError(
            "The photographs of a joined map are not those that it was joined from: keep the map "
            "first, and behind it all of its photographs in their order."
        )


def film_calibration_of(calibration: FilmCalibration) -> FilmCalibration:
    """Return what a film unit is worth.

    Raises
    ------
    RecordError
        Where a value is out of its range.
    """
    if calibration.how not in get_args(Calibrated):
        ways = ", ".join(get_args(Calibrated))
        raise RecordError(f"A film is calibrated by one of {ways}, not '{calibration.how}'.")
    um, low_um, high_um = (
        _within(what, value, 0.0, accepted.LARGEST_UM, "µm")
        for what, value in (
            ("worth of a film unit", calibration.um),
            ("lower end of a film unit's interval", calibration.low_um),
            ("upper end of a film unit's interval", calibration.high_um),
        )
    )
    if um <= 0 or not low_um <= um <= high_um:
        raise RecordError(
            "A film unit is worth more than 0 µm and lies inside its interval: check the three "
            "numbers."
        )
    return dataclasses.replace(
        calibration,
        um=um,
        low_um=low_um,
        high_um=high_um,
        notes=accepted.text_of("note", calibration.notes, accepted.LONGEST_NOTES),
        made_at_utc=accepted.time_of(calibration.made_at_utc),
        calibration_id=0,
    )


def line_check_of(check: LineCheck) -> LineCheck:
    """Return what an instrument showed.

    Raises
    ------
    RecordError
        Where a value is out of its range.
    """
    for kinds, told, what in (
        (Checked, check.what, "What is checked"),
        (Instrument, check.instrument, "The instrument of a check"),
    ):
        if told not in get_args(kinds):
            raise RecordError(f"{what} is one of {', '.join(get_args(kinds))}, not '{told}'.")
    unit = "µm/m" if check.what.startswith("tilt") else "µm"
    shown_um = _within("figure of a check", check.value_um, -LARGEST_LINE_UM, LARGEST_LINE_UM, unit)
    error_um = (
        None
        if check.error_um is None
        else _within("uncertainty of a check", check.error_um, 0.0, LARGEST_LINE_UM, unit)
    )
    return dataclasses.replace(
        check,
        between=accepted.text_of(
            "name of what was checked", check.between, 2 * accepted.LONGEST_NAME
        ),
        value_um=shown_um,
        error_um=error_um,
        who=accepted.text_of("name of who checked", check.who),
        notes=accepted.text_of("note", check.notes, accepted.LONGEST_NOTES),
        made_at_utc=accepted.time_of(check.made_at_utc),
        check_id=0,
    )


def _within(what: str, value: float, least: float, most: float, unit: str) -> float:
    # written so that what is not a number is refused as well
    if isinstance(value, bool) or not least <= value <= most or not math.isfinite(value):
        raise RecordError(f"The {what} must be {least:,g} to {most:,g} {unit}, not {value:g}.")
    return float(value)
