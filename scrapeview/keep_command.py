"""`scrapeview keep`: read a photograph of a face in the record, and keep it as a pass."""

import dataclasses
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scrapeview.command_home import HomeOption, opened
from scrapeview.console import plain_refusals, say
from scrapeview.pick_options import (
    CentreOption,
    CornersOption,
    LengthOption,
    MarkingPickOption,
    MetalPickOption,
    RimOption,
    ScaleOption,
)

if TYPE_CHECKING:
    from scrapeview.plane import Plane
    from scrapeview.record import FacePlan
    from scrapeview.typed import PlaneText


class ScrapingName(StrEnum):
    """Kinds of scraping."""

    ROUGH = "rough"
    SPACING_OUT = "spacing out"
    FINISH = "finish"
    SINGLE_POINTS = "single points"


def keep(
    face: Annotated[int, typer.Argument(metavar="FACE", help="Its number, as 'faces' lists it.")],
    photo: Annotated[Path, typer.Argument(metavar="PHOTO", help="The photograph of the print.")],
    corners: CornersOption = None,
    rim: RimOption = None,
    centre: CentreOption = None,
    scale: ScaleOption = None,
    length: LengthOption = None,
    marking_pick: MarkingPickOption = None,
    metal_pick: MetalPickOption = None,
    who: Annotated[str, typer.Option(metavar="NAME", help="Who scraped.")] = "",
    scraping: Annotated[ScrapingName | None, typer.Option(help="Kind of scraping.")] = None,
    metal_um: Annotated[
        float | None, typer.Option("--metal-um", metavar="UM", help="Metal taken, micrometres.")
    ] = None,
    hours: Annotated[float | None, typer.Option(metavar="H", help="Time it took, hours.")] = None,
    notes: Annotated[str, typer.Option(metavar="TEXT", help="What there is to note.")] = "",
    placement: Annotated[
        str, typer.Option(metavar="TEXT", help="Where a shorter reference lay.")
    ] = "",
    number: Annotated[
        int | None,
        typer.Option("--pass", metavar="N", help="Number of the pass. [default: the next]"),
    ] = None,
    again: Annotated[
        bool, typer.Option("--again", help="Keep it although the face has this photograph already.")
    ] = False,
    home: HomeOption = None,
) -> None:  # fmt: skip
    """Read a photograph with the plan of its face, and keep it in the record as a pass.

    Size, regions, openings, marking and settings are those of the face.
    """
    from scrapeview.face_reading import read_for_face
    from scrapeview.photo.load import read_file
    from scrapeview.record import Scrape
    from scrapeview.shown_units import face_units
    from scrapeview.table_text import reading_text
    from scrapeview.typed import PlaneText, all_picks

    with plain_refusals(), opened(home) as record:
        entry = record.face(face)
        picked = PlaneText(corners=corners, rim=rim, centre=centre, scale=scale, length=length)
        plane = plane_for(entry.plan, picked)
        content = read_file(photo)
        reading = read_for_face(
            entry.plan, content, plane,
            marking_picks_px=all_picks(marking_pick or (), "--marking-pick"),
            metal_picks_px=all_picks(metal_pick or (), "--metal-pick"),
        )  # fmt: skip
        scrape = Scrape(
            who=who, scraping="" if scraping is None else scraping.value, metal_um=metal_um,
            hours=hours, notes=notes,
        )  # fmt: skip
        kept = record.keep_print(
            face, [(photo.name, content)], reading, scrape,
            placement=placement, pass_number=number, again=again,
        )  # fmt: skip
        say(reading_text(reading, photo.name, face_units(record, entry)))
        say(f"\nKept as pass {kept.pass_number} of {entry.title}.")


_PICKS = {
    "rectangle": ("corners", "give its four corners with --corners"),
    "round": ("rim", "give picks on its rim with --rim"),
    "free": ("scale", "give two picks a known length apart with --scale, and --length"),
}
"""How a face of each shape is placed in a photograph."""


def plane_for(plan: "FacePlan", picked: "PlaneText") -> "Plane":
    """Return the plane of a face whose size the record knows.

    Raises
    ------
    PlaneError
        Where the picks are not those of the face's shape, or do not fix a plane.
    SettingsError
        Where one cannot be read.
    """
    from scrapeview.errors import PlaneError
    from scrapeview.typed import plane_from

    needed, how = _PICKS[plan.shape]
    given = {name for name in ("corners", "rim", "scale") if getattr(picked, name) is not None}
    if given != {needed}:
        raise PlaneError(f"The face '{plan.name}' is {_shape_words(plan.shape)}: {how}.")
    width = f"{plan.width_mm:.6f}"
    sizes = {
        "rectangle": {"size": f"{width}x{plan.height_mm:.6f}mm"},
        "round": {"diameter": f"{width}mm"},
        "free": {},
    }
    return plane_from(dataclasses.replace(picked, **sizes[plan.shape]))


def _shape_words(shape: str) -> str:
    return {"rectangle": "a rectangle", "round": "round"}.get(shape, "of a free shape")
