"""A map of several photographs as the plain text that is printed: what fits how well."""

import math
import shlex
from pathlib import Path

import pandas as pd

from scrapeview.charts import shown
from scrapeview.charts.shown import Units
from scrapeview.joining import Joined
from scrapeview.units import MM_PER_INCH

NAME_WIDTH = 24
MOST_GAPS = 8
LEAST_MM, LEAST_INCH = 0.01, 0.0001
"""Below these a residual is said to be below them, not to be nothing."""


def joined_text(joined: Joined, units: Units = "metric") -> str:
    """Return the printed report of a map, without a line break at its end.

    Parameters
    ----------
    joined : Joined
    units : {"metric", "inch"}
    """
    blocks = [
        _headline(joined, units),
        _photos(joined.photos, units),
        _seams(joined.seams, units),
        _gaps(joined.gaps, units),
        [f"  note: {note}" for note in joined.notes],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def how_to_read(joined: Joined, picture: Path, report: Path) -> str:
    """Return the sentence that says how the map is read."""
    face = "" if joined.plane.face_mm else ' --corners "x,y x,y x,y x,y" --size WIDTHxHEIGHTmm'
    call = f"scrapeview read {shlex.quote(str(picture))} --joined {shlex.quote(str(report))}{face}"
    return f"Read the map like a photograph:\n  {call}"


def fit_lines(joined: Joined, units: Units = "metric") -> list[str]:
    """Return how a map was joined and what is missing of it, a line each."""
    return [*_headline(joined, units), *_gaps(joined.gaps, units)]


def _headline(joined: Joined, units: Units) -> list[str]:
    solved = joined.solved
    by = f"{len(solved.tiles_mm)} tiles" if solved.tiles_mm else "the print"
    height, width = joined.rgb.shape[:2]
    size = " x ".join(shown.length(side / joined.px_per_mm, units) for side in (width, height))
    count = len(joined.photos)
    # 95 % of errors, as a reading tells its scale
    within = 200 * solved.scale_error
    return [
        f"{count} photograph{'' if count == 1 else 's'} joined by {by} to a map of {size}, "
        f"{joined.px_per_mm:.1f} px/mm",
        f"  they fit within {_fine(solved.residual_mm, units)}; places are known to "
        f"{_fine(solved.position_error_mm, units)}, lengths within {within:.2g} %",
    ]


def _photos(photos: pd.DataFrame, units: Units) -> list[str]:
    head = (
        f"  {'photo':{NAME_WIDTH + 4}}{'off by':>10}{'of the map':>12}{'light':>9}{'contrast':>10}"
    )
    rows = [
        f"  {row['photo']:>3} {_short(row['name']):{NAME_WIDTH}}"
        f"{_fine(row['residual_mm'], units):>10}{row['share_percent']:>10.0f} %"
        f"{'x ' + format(row['green_gain'], '.2f'):>9}{'x ' + format(row['contrast'], '.2f'):>10}"
        for row in photos.to_dict("records")
    ]
    return [head, *rows]


def _seams(seams: pd.DataFrame, units: Units) -> list[str]:
    if seams.empty:
        return ["  no seams"]
    head = f"  {'seam between':14}{'middle at':>24}{'length':>10}{'apart':>10}{'at worst':>10}"
    rows = [
        f"  {str(row['first']) + ' and ' + str(row['second']):14}"
        f"{_at(row['x_mm'], row['y_mm'], units):>24}"
        f"{shown.length(row['length_mm'], units):>10}{_fine(row['apart_mm'], units):>10}"
        f"{_fine(row['most_apart_mm'], units):>10}"
        for row in seams.to_dict("records")
    ]
    return [head, *rows]


def _gaps(gaps: pd.DataFrame, units: Units) -> list[str]:
    if gaps.empty:
        return ["  no gaps"]
    rows = [
        f"  gap of {shown.area(row['area_mm2'], units)} ({row['reason']}): from "
        f"{_at(row['x0_mm'], row['y0_mm'], units)} to {_at(row['x1_mm'], row['y1_mm'], units)}"
        for row in gaps.to_dict("records")[:MOST_GAPS]
    ]
    more = len(gaps) - MOST_GAPS
    return [*rows, f"  and {more} smaller gaps"] if more > 0 else rows


def _at(x_mm: float, y_mm: float, units: Units) -> str:
    if units == "inch":
        return f"x {x_mm / MM_PER_INCH:.1f}, y {y_mm / MM_PER_INCH:.1f} in"
    return f"x {x_mm:.0f}, y {y_mm:.0f} mm"


def _fine(mm: float, units: Units) -> str:
    if math.isnan(mm):
        return "unknown"
    if units == "inch":
        return f"{mm / MM_PER_INCH:.4f} in" if mm >= LEAST_INCH * MM_PER_INCH else "<0.0001 in"
    return f"{mm:.2f} mm" if mm >= LEAST_MM else "<0.01 mm"


def _short(name: str) -> str:
    return name if len(name) < NAME_WIDTH else name[: NAME_WIDTH - 4] + "..."
