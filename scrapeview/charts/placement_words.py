"""A placement of the reference in words: its name, and where it lay."""

import dataclasses

from scrapeview.charts.shown import Units, length
from scrapeview.placements import Placement


def where_it_lay(place: Placement, units: Units) -> str:
    """Return from where to where a placement reached, and its side; "" where nothing is told."""
    words = []
    if place.start_mm is not None and place.end_mm is not None:
        words.append(f"{length(place.start_mm, units)} to {length(place.end_mm, units)}")
    if place.side:
        words.append(f"{place.side} side")
    return ", ".join(words)


def named(place: Placement, units: Units) -> Placement:
    """Return a placement that is called by where it lay if it was given no name."""
    return dataclasses.replace(place, name=place.name or where_it_lay(place, units))


def placement_words(place: Placement, units: Units) -> str:
    """Return a placement in one line: left end, 0.0 mm to 450.0 mm, far side."""
    where = where_it_lay(place, units)
    called = [place.name] if place.name not in ("", where) else []
    return ", ".join([*called, where] if where else called)
