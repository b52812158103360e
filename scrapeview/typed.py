"""From what was typed on the command line to a plane, a face and settings."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError, SettingsError
from scrapeview.map_plane import map_of
from scrapeview.picks import (
    Pick,
    parse_length_mm,
    parse_pick,
    parse_picks,
    parse_shape,
    parse_size_mm,
)
from scrapeview.plane import Plane
from scrapeview.plane.cards import CARDS, TILES, PaperScale
from scrapeview.settings import Settings


@dataclass(frozen=True)
class PlaneText:
    """What was typed to say where the face lies; None for what was not.

    Attributes
    ----------
    corners, size, rim, diameter, centre, scale, length : str or None
    card : {"auto", "inch", "25mm"} or None
    tiles : {"auto", "small", "large"} or None
    bar : str or None
        How long the bar of the card's or the tiles' sheet is on the paper.
    joined : Path or None
        Report of how the photo, which is a map, was joined.
    is_outlined : bool
        Whether an outline is given beside.
    """

    corners: str | None = None
    size: str | None = None
    rim: str | None = None
    diameter: str | None = None
    centre: str | None = None
    scale: str | None = None
    length: str | None = None
    card: str | None = None
    tiles: str | None = None
    bar: str | None = None
    joined: Path | None = None
    is_outlined: bool = False


_WAYS = (("corners", "size"), ("rim", "diameter"), ("scale", "length"))
_HOW = (
    "give the four corners with --corners and --size, a round face's rim with --rim and "
    "--diameter, or two picks a known length apart with --scale and --length, or lay a printed "
    "card or tiles on it and say --card or --tiles"
)


def plane_from(text: PlaneText, photo: Path | None = None) -> Plane:
    """Return the plane that was typed.

    Parameters
    ----------
    text : PlaneText
    photo : Path, optional
        The photograph that a card or tiles are to be found in.

    Raises
    ------
    PhotoError
        Where the photograph, or the report of a map, cannot be loaded.
    ReadingError
        Where that report is damaged or of another map.
    PlaneError
        Where the picks do not belong together or do not fix a plane, or no card or tiles are found.
    SettingsError
        Where one cannot be read.
    """
    if text.joined is not None:
        return _by_map(text, text.joined, photo)
    if text.card or text.tiles:
        return _by_print(text, photo)
    if text.bar is not None:
        raise PlaneError("--bar is of a printed card or tiles: give --card or --tiles beside it.")
    begun = [way for way in _WAYS if any(getattr(text, name) is not None for name in way)]
    if not begun:
        raise PlaneError(f"Where the face lies is not said: {_HOW}.")
    if len(begun) > 1:
        raise PlaneError(f"The face's place is given in two ways; choose one: {_HOW}.")
    (picks, measure) = begun[0]
    for name, other in ((picks, measure), (measure, picks)):
        if getattr(text, name) is None:
            raise PlaneError(f"--{other} needs --{name} beside it.")
    if text.centre is not None and picks != "rim":
        raise PlaneError("--centre belongs to --rim and --diameter; leave it out.")
    return {"corners": _by_corners, "rim": _by_rim, "scale": _by_length}[picks](text)


def _by_corners(text: PlaneText) -> Plane:
    corners = parse_picks(text.corners or "", "--corners")
    return Plane.from_corners(corners, size_mm=parse_size_mm(text.size or "", "--size"))


def _by_rim(text: PlaneText) -> Plane:
    rim = parse_picks(text.rim or "", "--rim")
    diameter_mm = parse_length_mm(text.diameter or "", "--diameter")
    centre = None if text.centre is None else parse_pick(text.centre, "--centre")
    return Plane.from_circle(rim, diameter_mm=diameter_mm, centre_px=centre)


def _by_length(text: PlaneText) -> Plane:
    ends = parse_picks(text.scale or "", "--scale")
    if len(ends) != 2:
        raise PlaneError(f"--scale takes two picks, the ends of the length, not {len(ends)}.")
    return Plane.from_length(*ends, length_mm=parse_length_mm(text.length or "", "--length"))


def _by_map(text: PlaneText, report: Path, photo: Path | None) -> Plane:
    """Plane of a map, with the face laid on it where its corners are given."""
    for name in ("rim", "diameter", "centre", "scale", "length", "card", "tiles", "bar"):
        if getattr(text, name) is not None:
            raise PlaneError(f"--joined gives the scale by itself: leave --{name} out.")
    for name, other in (("corners", "size"), ("size", "corners")):
        if getattr(text, name) is not None and getattr(text, other) is None:
            raise PlaneError(f"--{name} needs --{other} beside it.")
    if photo is None:
        raise PlaneError("--joined is of a map: give its picture too.")
    plane = map_of(report, photo).plane
    if text.corners is not None:
        corners = parse_picks(text.corners, "--corners")
        return plane.placed(corners, parse_size_mm(text.size or "", "--size"))
    if not plane.face_mm and not text.is_outlined:
        raise PlaneError(
            "The map does not know the face: say what it is with --corners and --size, or with "
            "--outline."
        )
    return plane


def _by_print(text: PlaneText, photo: Path | None) -> Plane:
    """Plane of a printed card or of tiles, laid on the face where its corners are given."""
    if photo is None:
        raise PlaneError("A card or tiles are found in a photograph: give it too.")
    if text.card and text.tiles:
        raise PlaneError("The scale comes from a card or from tiles: give --card or --tiles.")
    printed = "--card" if text.card else "--tiles"
    for name in ("rim", "diameter", "centre", "scale", "length"):
        if getattr(text, name) is not None:
            raise PlaneError(f"{printed} gives the scale by itself: leave --{name} out.")
    for name, other in (("corners", "size"), ("size", "corners")):
        if getattr(text, name) is not None and getattr(text, other) is None:
            raise PlaneError(f"--{name} needs --{other} beside it.")
    if text.tiles and text.corners is None and not text.is_outlined:
        raise PlaneError(
            "Tiles give the scale and not the face: say what it is with --outline, or with "
            "--corners and --size."
        )
    bar_mm = None if text.bar is None else parse_length_mm(text.bar, "--bar")
    paper = PaperScale() if bar_mm is None else PaperScale.from_bar(bar_mm)
    if text.card:
        card = None if text.card == "auto" else CARDS[text.card]
        plane = Plane.from_card(photo, card=card, paper=paper)
    else:
        tiles = None if text.tiles in ("auto", None) else TILES[text.tiles]
        plane = Plane.from_tiles(photo, tiles=tiles, paper=paper)
    if text.corners is None:
        return plane
    corners = parse_picks(text.corners, "--corners")
    return plane.placed(corners, parse_size_mm(text.size or "", "--size"))


Polygons = list[NDArray[np.float64]]


def outlines_from(texts: Sequence[str]) -> Polygons | None:
    """Return the outlines that were typed, in photo pixels; None where there are none.

    Raises
    ------
    SettingsError
        Where one cannot be read or is in mm.
    """
    shapes = [parse_shape(text, "--outline") for text in texts]
    if any(shape.in_mm for shape in shapes):
        raise SettingsError("--outline: pick the outline in photo pixels, without a unit.")
    return [shape.polygon for shape in shapes] or None


def openings_from(texts: Sequence[str]) -> tuple[Polygons, Polygons]:
    """Return the openings that were typed: those in photo pixels, those in mm.

    Raises
    ------
    SettingsError
        Where one cannot be read.
    """
    shapes = [parse_shape(text, "--opening") for text in texts]
    in_px = [shape.polygon for shape in shapes if not shape.in_mm]
    return in_px, [shape.polygon for shape in shapes if shape.in_mm]


def settings_from(
    *,
    smallest: str | None,
    largest: str | None,
    cell: str | None,
    marking_picks: Sequence[str],
    metal_picks: Sequence[str],
) -> Settings:
    """Return the settings that were typed; what was not stays as it is.

    Raises
    ------
    SettingsError
        Where one cannot be read or is out of its range.
    """
    lengths = {"smallest_point_mm": smallest, "largest_point_mm": largest, "cell_mm": cell}
    options = {"smallest_point_mm": "--smallest", "largest_point_mm": "--largest"}
    given = {
        name: parse_length_mm(text, options.get(name, "--cell"))
        for name, text in lengths.items()
        if text is not None
    }
    return Settings(
        marking_picks_px=all_picks(marking_picks, "--marking-pick"),
        metal_picks_px=all_picks(metal_picks, "--metal-pick"),
        **given,
    )


def all_picks(texts: Sequence[str], what: str) -> tuple[Pick, ...]:
    """Return all picks that were typed, in photo pixels.

    Raises
    ------
    SettingsError
        Where one cannot be read.
    """
    return tuple(pick for text in texts for pick in parse_picks(text, what))
