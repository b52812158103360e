"""What `scrapeview keep` was given: one photograph or several, and where the face lies in it."""

import dataclasses
import hashlib
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrapeview.charts.placement_words import named
from scrapeview.charts.shown import Units
from scrapeview.errors import PhotoError, PlaneError, SettingsError
from scrapeview.joined_corners import corners_on_map, parse_joined_corners
from scrapeview.joined_text import fit_lines
from scrapeview.joining import Joined, join_photos
from scrapeview.photo.load import read_file
from scrapeview.picks import parse_length_mm
from scrapeview.placed_plane import plane_on_face, stretch_size_mm
from scrapeview.placements import Placement, Side
from scrapeview.plane import Plane
from scrapeview.plane.cards import TILES, PaperScale
from scrapeview.record import FacePlan
from scrapeview.typed import PlaneText, plane_from

Progress = Callable[[float, str], None]
MOST_PHOTOS = 60
_PICKS = {
    "rectangle": ("corners", "give its four corners with --corners"),
    "round": ("rim", "give picks on its rim with --rim"),
    "free": ("scale", "give two picks a known length apart with --scale, and --length"),
}
"""How a face of each shape is placed in a photograph."""


@dataclass(frozen=True, eq=False)
class GivenPrint:
    """A print to read and keep.

    Attributes
    ----------
    photos : tuple of (name, bytes)
        The first is what is read: of several photographs the map made of them.
    plane : Plane
        In millimetres of the whole face.
    joined : dict or None
        How the map was joined.
    notes : tuple of str
        How well the photographs fit and what none of them shows, a line each.
    """

    photos: tuple[tuple[str, bytes], ...]
    plane: Plane
    joined: dict[str, Any] | None = None
    notes: tuple[str, ...] = ()


def typed_placement(
    name: str, start: str | None, covers: str | None, side: Side, units: Units = "metric"
) -> Placement:
    """Return where the reference lay, from what was typed; named by that where it has no name.

    Raises
    ------
    SettingsError
        Where one of start and length comes without the other, or cannot be read.
    """
    if (start is None) != (covers is None):
        raise SettingsError("--start needs --covers beside it, and --covers needs --start.")
    if start is None or covers is None:
        return named(Placement(name=name, side=side), units)
    # a reference may begin at the very end of the face
    at_end = re.fullmatch(r"\s*0+(\.0*)?\s*(mm|cm|in|\")?\s*", start, re.IGNORECASE)
    start_mm = 0.0 if at_end else parse_length_mm(start, "--start")
    length_mm = parse_length_mm(covers, "--covers")
    return named(Placement(name=name, start_mm=start_mm, length_mm=length_mm, side=side), units)


def given_print(
    plan: FacePlan,
    placement: Placement,
    photos: Sequence[Path],
    picked: PlaneText,
    progress: Progress | None = None,
    units: Units = "metric",
) -> GivenPrint:
    """Return what is to be read of one photograph, or of several joined to one map.

    Parameters
    ----------
    plan : FacePlan
    placement : Placement
    photos : sequence of Path
        Several: of one face, or of the stretch one placement covered, in order along it.
    picked : PlaneText
        Corners of several photographs are typed as `parse_joined_corners` reads them.
    progress : callable, optional
        Told the share of the joining that is done, and what is being done.
    units : {"metric", "inch"}
        Of the notes.

    Raises
    ------
    PhotoError, PlaneError, SettingsError
        Each with a plain sentence.
    """
    _require_own_picks(plan, picked)
    size_mm = stretch_size_mm(plan, placement)
    if len(photos) == 1:
        (photo,) = photos
        plane = plane_on_face(plan, placement, _plane_of_one(plan, size_mm, picked, photo))
        return GivenPrint(((photo.name, read_file(photo)),), plane)
    if plan.shape != "rectangle":
        raise PlaneError(
            f"Several photographs are joined of a rectangle only, which '{plan.name}' is not: give "
            "one photograph."
        )
    found, corners_px = _joined(photos, size_mm, picked, progress)
    plane = plane_on_face(plan, placement, found.plane, corners_px)
    originals = [(photo.name, read_file(photo)) for photo in photos]
    held = ((map_name(photos), found.picture), *originals)
    return GivenPrint(held, plane, found.as_dict(), (*fit_lines(found, units), *found.notes))


def _require_own_picks(plan: FacePlan, picked: PlaneText) -> None:
    needed, how = _PICKS[plan.shape]
    given = {name for name in ("corners", "rim", "scale") if getattr(picked, name) is not None}
    if given != {needed}:
        raise PlaneError(f"The face '{plan.name}' is {_shape_words(plan.shape)}: {how}.")


def _plane_of_one(
    plan: FacePlan, size_mm: tuple[float, float], picked: PlaneText, photo: Path
) -> Plane:
    width_mm, height_mm = size_mm
    if plan.shape == "rectangle":
        picked = dataclasses.replace(picked, size=f"{width_mm:.6f}x{height_mm:.6f}mm")
    elif plan.shape == "round":
        picked = dataclasses.replace(picked, diameter=f"{width_mm:.6f}mm")
    return plane_from(picked, photo)


def _joined(
    photos: Sequence[Path],
    size_mm: tuple[float, float],
    picked: PlaneText,
    progress: Progress | None,
) -> tuple[Joined, NDArray[np.float64] | None]:
    """Return the map of photographs, and the corners on it where it has no face placed yet."""
    if len(photos) > MOST_PHOTOS:
        raise SettingsError(f"Up to {MOST_PHOTOS} photographs are joined, not {len(photos)}.")
    if picked.card is not None:
        raise PlaneError("A card lies in one photograph: lay tiles along the face for several.")
    corners = parse_joined_corners(picked.corners or "", len(photos), "--corners")
    require_different(photos)
    if picked.tiles is None:
        return join_photos(photos, corners=corners, size_mm=size_mm, progress=progress), None
    tiles, paper = TILES.get(picked.tiles), _paper(picked.bar)
    found = join_photos(photos, tiles=tiles, paper=paper, progress=progress)
    return found, corners_on_map(found, corners)


def _paper(bar: str | None) -> PaperScale:
    return PaperScale() if bar is None else PaperScale.from_bar(parse_length_mm(bar, "--bar"))


def require_different(photos: Sequence[Path]) -> None:
    """Refuse photographs of which two are the same file.

    Raises
    ------
    PhotoError
        Which names both, or the file itself is missing or too large.
    """
    seen: dict[str, Path] = {}
    for photo in photos:
        sha256 = hashlib.sha256(read_file(photo)).hexdigest()
        if sha256 in seen:
            raise PhotoError(
                f"'{seen[sha256].name}' and '{photo.name}' are one photograph: give each once."
            )
        seen[sha256] = photo


def map_name(photos: Sequence[Path]) -> str:
    """Return what the map of several photographs is called as a file."""
    return f"map of {len(photos)}, {photos[0].stem} to {photos[-1].stem}.png"


def _shape_words(shape: str) -> str:
    return {"rectangle": "a rectangle", "round": "round"}.get(shape, "of a free shape")
