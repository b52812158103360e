"""What the record takes: names, plans of faces and scrapings, each refused in words."""

import dataclasses
import math
from collections.abc import Sequence
from datetime import datetime
from typing import Any, get_args, get_type_hints

from scrapeview.errors import RecordError
from scrapeview.flatness import GRADES, MOST_MM, ReferenceFlatness
from scrapeview.record.entries import (
    EyeCount,
    FacePlan,
    Polygon,
    Scrape,
    Scraping,
    Shape,
    Swing,
    SwingTest,
)
from scrapeview.targets import Target

LONGEST_NAME = 120
LONGEST_NOTES = 20_000
LARGEST_MM = 100_000.0
LARGEST_UM = 1000.0
LONGEST_HOURS = 1000.0
MOST_POINTS = 1000
"""Of one square that is counted by eye."""
MARKINGS = ("auto", "blue", "red", "black", "rubbed")


def name_of(what: str, name: str) -> str:
    """Return a name without spaces around it.

    Raises
    ------
    RecordError
        Where it is empty, too long or cannot be stored.
    """
    name = _storable(what, " ".join(str(name).split()))
    if not name:
        raise RecordError(f"The {what} needs a name.")
    if len(name) > LONGEST_NAME:
        raise RecordError(f"The name of the {what} is too long: up to {LONGEST_NAME} characters.")
    return name


def text_of(what: str, text: str, most: int = LONGEST_NAME) -> str:
    """Return a text that may be empty.

    Raises
    ------
    RecordError
        Where it is too long, or holds a character that no database takes.
    """
    text = _storable(what, str(text).strip())
    if len(text) > most:
        raise RecordError(f"The {what} is too long: up to {most} characters.")
    return text


def scrape_of(scrape: Scrape) -> Scrape:
    """Return what was told of a scraping.

    Raises
    ------
    RecordError
        Where a value is out of its range.
    """
    if scrape.scraping not in get_args(Scraping):
        kinds = ", ".join(kind for kind in get_args(Scraping) if kind)
        raise RecordError(f"There is no scraping '{scrape.scraping}': choose one of {kinds}.")
    return dataclasses.replace(
        scrape,
        who=text_of("scraper's name", scrape.who),
        metal_um=_within("metal taken", scrape.metal_um, LARGEST_UM, "um"),
        hours=_within("time", scrape.hours, LONGEST_HOURS, "hours"),
        notes=text_of("note", scrape.notes, LONGEST_NOTES),
    )


def plan_of(plan: FacePlan) -> FacePlan:
    """Return the plan of a face.

    Raises
    ------
    RecordError
        Where it does not describe a face.
    """
    name = name_of("face", plan.name)
    if plan.shape not in get_args(Shape):
        raise RecordError(f"A face is a rectangle, round or free, not '{plan.shape}'.")
    if plan.marking not in MARKINGS:
        raise RecordError(f"There is no marking '{plan.marking}': {', '.join(MARKINGS)}.")
    if plan.units not in get_args(get_type_hints(FacePlan)["units"]):
        raise RecordError(f"Units are metric or inch, not '{plan.units}'.")
    width, height = _size_of(plan)
    return dataclasses.replace(
        plan,
        name=name,
        role=text_of("role", plan.role),
        width_mm=width,
        height_mm=height,
        regions_mm=_polygons("outline", plan.regions_mm),
        openings_mm=_polygons("opening", plan.openings_mm),
        target=_target(plan.target),
        reference=text_of("reference", plan.reference),
        flatness=_flatness(plan.flatness),
        notes=text_of("note", plan.notes, LONGEST_NOTES),
    )


def eye_count_of(count: EyeCount) -> EyeCount:
    """Return a square counted by eye.

    Raises
    ------
    RecordError
        Where a value is out of its range.
    """
    if not 0 < count.side_mm <= LARGEST_MM:
        raise RecordError(f"The side of a square that is counted must be 0 to {LARGEST_MM:g} mm.")
    if not all(abs(place) <= LARGEST_MM for place in (count.x_mm, count.y_mm)):
        raise RecordError("A square that is counted lies nowhere on the face: choose it again.")
    return dataclasses.replace(
        count,
        x_mm=float(count.x_mm),
        y_mm=float(count.y_mm),
        side_mm=float(count.side_mm),
        by_eye=_points("counted by eye", count.by_eye),
        by_tool=_points("counted in the photograph", count.by_tool),
        who=text_of("name of who counted", count.who),
        counted_at_utc=time_of(count.counted_at_utc),
    )


def swing_test_of(test: SwingTest) -> SwingTest:
    """Return what a swing test said.

    Raises
    ------
    RecordError
        Where a value is out of its range.
    """
    if test.result not in get_args(Swing):
        results = ", ".join(get_args(Swing))
        raise RecordError(f"A swing test says one of {results}, not '{test.result}'.")
    return dataclasses.replace(
        test,
        pivot_percent=_within("place where it turned", test.pivot_percent, 100.0, "% of length"),
        who=text_of("name of who tested", test.who),
        notes=text_of("note", test.notes, LONGEST_NOTES),
        made_at_utc=time_of(test.made_at_utc),
    )


def time_of(text: str) -> str:
    """Return a time that is kept as text.

    Raises
    ------
    RecordError
        Where it is not as ISO 8601 has it.
    """
    try:
        datetime.fromisoformat(text)
        # between date and time that takes any character
        text.encode("ascii").index(b"T")
    except ValueError:
        raise RecordError("A time in it is none: it must be as ISO 8601 has it.") from None
    return text


def _target(target: Target) -> Target:
    text_of("name of the target", target.name)
    for _, origin in target.origins:
        text_of("source of a target", origin.source, LONGEST_NOTES)
    return target


def _flatness(flatness: ReferenceFlatness) -> ReferenceFlatness:
    if flatness.grade not in GRADES:
        known = ", ".join(grade for grade in GRADES if grade)
        raise RecordError(f"There is no grade '{flatness.grade}' of a reference: {known}.")
    sides = float(flatness.length_mm), float(flatness.width_mm)
    if not all(0 <= side <= MOST_MM for side in sides):
        raise RecordError(f"The sides of a reference are up to {MOST_MM:g} mm long.")
    own_um = _within("reference's own error", flatness.own_um, LARGEST_UM, "um")
    return dataclasses.replace(flatness, length_mm=sides[0], width_mm=sides[1], own_um=own_um)


def _points(what: str, points: Any) -> int:
    # written so that what is not a number is refused as well
    if isinstance(points, bool) or not 0 <= points <= MOST_POINTS or points != int(points):
        raise RecordError(
            f"The points {what} in a square are a whole number from 0 to {MOST_POINTS}, not "
            f"{points}."
        )
    return int(points)


def _storable(what: str, text: str) -> str:
    # PostgreSQL takes no zero character, and neither database half of a surrogate pair
    if "\x00" in text or any("\ud800" <= letter <= "\udfff" for letter in text):
        raise RecordError(f"The {what} holds a character that cannot be stored: type it again.")
    return text


def _within(what: str, value: float | None, most: float, unit: str) -> float | None:
    if value is None or math.isnan(value):
        return None
    if not 0 <= value <= most:
        raise RecordError(f"The {what} must be 0 to {most:g} {unit}, not {value:g}.")
    return float(value)


def _size_of(plan: FacePlan) -> tuple[float, float]:
    sides = float(plan.width_mm), float(plan.height_mm)
    needed = {"rectangle": 2, "round": 1, "free": 0}[plan.shape]
    if not all(0 <= side <= LARGEST_MM for side in sides):
        raise RecordError(f"The sides of a face are up to {LARGEST_MM:g} mm long.")
    if not all(side > 0 for side in sides[:needed]):
        what = "width and height" if needed == 2 else "diameter"
        raise RecordError(f"The face '{plan.name}' needs its {what}.")
    return sides


def _polygons(what: str, polygons: Sequence[Polygon]) -> tuple[Polygon, ...]:
    try:
        found = tuple(tuple((float(x), float(y)) for x, y in polygon) for polygon in polygons)
    except (TypeError, ValueError):
        raise RecordError(f"An {what} is a list of places x, y in mm.") from None
    for polygon in found:
        if len(polygon) < 3:
            raise RecordError(f"An {what} needs at least three corners, not {len(polygon)}.")
        if not all(abs(side) <= LARGEST_MM for place in polygon for side in place):
            raise RecordError(f"A corner of an {what} lies nowhere on the face: draw it again.")
    return found
