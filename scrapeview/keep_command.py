"""`scrapeview keep`: read photographs of a face in the record, and keep them as a pass."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from scrapeview.command_home import HomeOption, opened, progress_bar
from scrapeview.console import plain_refusals, say
from scrapeview.pick_options import (
    BarOption,
    CardOption,
    CentreOption,
    CornersOption,
    LengthOption,
    MarkingPickOption,
    MetalPickOption,
    RimOption,
    ScaleOption,
    TilesOption,
)


class ScrapingName(StrEnum):
    """Kinds of scraping."""

    ROUGH = "rough"
    SPACING_OUT = "spacing out"
    FINISH = "finish"
    SINGLE_POINTS = "single points"


class SideName(StrEnum):
    """Sides of a face a reference can lie on."""

    FAR = "far"
    NEAR = "near"


def keep(
    face: Annotated[int, typer.Argument(metavar="FACE", help="Its number, as 'faces' lists it.")],
    photo: Annotated[
        list[Path],
        typer.Argument(
            metavar="PHOTO...",
            help="The photograph of the print; several are joined, in order along the face.",
        ),
    ],
    corners: CornersOption = None,
    rim: RimOption = None,
    centre: CentreOption = None,
    scale: ScaleOption = None,
    length: LengthOption = None,
    card: CardOption = None,
    tiles: TilesOption = None,
    bar: BarOption = None,
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
        str, typer.Option(metavar="TEXT", help="What the place of a shorter reference is called.")
    ] = "",
    start: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH",
            help="Where a shorter reference began, from the face's left end: 0mm, 400mm, 16in.",
        ),
    ] = None,
    covers: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="How much of the face's length it covered."),
    ] = None,
    side: Annotated[
        SideName | None,
        typer.Option(help="It lay on one side only: far, the top of the picture, or near."),
    ] = None,
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

    Size, regions, openings, marking and settings are those of the face. Where a reference shorter
    than the face lay, --start and --covers say so, and the corners are those of what was printed.
    Corners of several photographs say which one they are picked in: "1:x,y 7:x,y 7:x,y 1:x,y".
    """
    from scrapeview.errors import SettingsError
    from scrapeview.face_reading import read_for_face
    from scrapeview.keep_photos import given_print, typed_placement
    from scrapeview.record import Scrape
    from scrapeview.shop_paper import bar_mm
    from scrapeview.shown_units import face_units
    from scrapeview.table_text import reading_text
    from scrapeview.typed import PlaneText, all_picks

    with plain_refusals(), opened(home) as record:
        entry = record.face(face)
        units = face_units(record, entry)
        where = typed_placement(
            placement, start, covers, "" if side is None else side.value, units
        )  # fmt: skip
        if len(photo) > 1 and (marking_pick or metal_pick):
            raise SettingsError("Sample picks are of one photograph: leave them out of several.")
        if bar is None and (card or tiles) and bar_mm(record) is not None:
            bar = f"{bar_mm(record)}mm"
        picked = PlaneText(
            corners=corners, rim=rim, centre=centre, scale=scale, length=length, card=card,
            tiles=tiles, bar=bar,
        )  # fmt: skip
        with progress_bar("Joining") as progress:
            given = given_print(
                entry.plan, where, photo, picked,
                progress=lambda share, what: progress(round(100 * share), 100, what), units=units,
            )  # fmt: skip
        name, content = given.photos[0]
        reading = read_for_face(
            entry.plan, content, given.plane,
            marking_picks_px=all_picks(marking_pick or (), "--marking-pick"),
            metal_picks_px=all_picks(metal_pick or (), "--metal-pick"),
        )  # fmt: skip
        scrape = Scrape(
            who=who, scraping="" if scraping is None else scraping.value, metal_um=metal_um,
            hours=hours, notes=notes,
        )  # fmt: skip
        kept = record.keep_print(
            face, given.photos, reading, scrape,
            placement=where, joined=given.joined, pass_number=number, again=again,
        )  # fmt: skip
        say(reading_text(reading, name, units))
        if given.notes:
            say("")
        for note in given.notes:
            say(note)
        say(f"\nKept as pass {kept.pass_number} of {entry.title}.")
