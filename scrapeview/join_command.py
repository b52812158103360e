"""`scrapeview join`: several photographs of one face made one map, to be read like a photograph."""

import json
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scrapeview.command_home import progress_bar
from scrapeview.console import plain_refusals, say
from scrapeview.pick_options import TilesKind

if TYPE_CHECKING:
    from scrapeview.joining import Joined
    from scrapeview.plane.cards import PaperScale, Tiles

Corner = tuple[int, float, float]
FOUR = 4
STEPS = 100


class JoinUnits(StrEnum):
    """Units that lengths are shown in."""

    METRIC = "metric"
    INCH = "inch"


def join(
    photos: Annotated[
        list[Path],
        typer.Argument(metavar="PHOTO...", help="Photographs of one face, in order along it."),
    ],
    out: Annotated[Path, typer.Option(metavar="MAP", help="Where to write the map (.png).")],
    report: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="How it was joined, as JSON; reading the map needs it. [default: beside the map]",
        ),
    ] = None,
    tiles: Annotated[
        TilesKind, typer.Option(help="Which printed tiles lie along the face.")
    ] = TilesKind.AUTO,
    bar: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH", help="How long the bar on the tiles' sheet is: 149.2mm, 5.87in."
        ),
    ] = None,
    corner: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PICK",
            help='Without tiles: a corner of the face, as "3:120,455" (third photo, pixel x,y); '
            "four times, clockwise from the face's top left.",
        ),
    ] = None,
    size: Annotated[
        str | None,
        typer.Option(metavar="SIZE", help="With the corners: width x height, 1200x120mm."),
    ] = None,
    seams: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the table of seams as CSV.")
    ] = None,
    px_per_mm: Annotated[
        float, typer.Option(metavar="N", help="Scale of the map; never finer than the photos.")
    ] = 5.0,
    units: Annotated[JoinUnits, typer.Option(help="Units of what is said.")] = JoinUnits.METRIC,
) -> None:
    """Join several photographs of one long face to a map of it in mm.

    Lay printed tiles along the face (`scrapeview card --tiles small`) so that every two
    neighbouring photographs show at least three of the same, or overlap the photographs by a
    third and name the face's corners.
    """
    from scrapeview.joined_text import how_to_read, joined_text
    from scrapeview.joining import join_photos
    from scrapeview.outputs import write_whole
    from scrapeview.tables import table_bytes

    with plain_refusals():
        beside = out.with_suffix(".json") if report is None else report
        _require_writable(photos, out, beside, seams)
        _require_several(photos)
        corners, size_mm = _face(corner or [], size, len(photos))
        with progress_bar("Joining") as told:
            joined = join_photos(
                photos, tiles=_tiles(tiles), paper=_paper(bar), corners=corners, size_mm=size_mm,
                px_per_mm=px_per_mm,
                progress=lambda share, what: told(round(STEPS * share), STEPS, what),
            )  # fmt: skip
        files = {out: joined.picture, beside: _report(joined)}
        if seams is not None:
            files[seams] = table_bytes(joined.seams, "csv")
        write_whole(files)
        say(joined_text(joined, units.value))
        say("\n" + how_to_read(joined, out, beside))


def _require_several(photos: list[Path]) -> None:
    from scrapeview.errors import SettingsError
    from scrapeview.keep_photos import require_different

    if len(photos) < 2:
        raise SettingsError("One photograph needs no joining: 'scrapeview read' reads it.")
    require_different(photos)


def _require_writable(photos: list[Path], out: Path, report: Path, seams: Path | None) -> None:
    from scrapeview.errors import OutputError
    from scrapeview.outputs import require_writable

    if out.suffix.lower() != ".png":
        raise OutputError(f"'{out.name}' must end in .png: a map keeps every pixel as it is.")
    wanted = [out, report, *([seams] if seams is not None else [])]
    if len({path.resolve() for path in wanted}) < len(wanted):
        raise OutputError("The map, its report and its seams need names of their own.")
    for path in wanted:
        for photo in photos:
            require_writable(path, photo)


def _face(
    texts: list[str], size: str | None, photos: int
) -> tuple[tuple[Corner, ...] | None, tuple[float, float] | None]:
    from scrapeview.errors import SettingsError
    from scrapeview.picks import parse_size_mm

    if not texts and size is None:
        return None, None
    if len(texts) != FOUR or size is None:
        raise SettingsError(
            "A face without tiles needs its four corners, each with --corner, and its --size."
        )
    return tuple(_corner(text, photos) for text in texts), parse_size_mm(size, "--size")


def _corner(text: str, photos: int) -> Corner:
    from scrapeview.errors import SettingsError
    from scrapeview.picks import parse_pick

    number, colon, pick = text.partition(":")
    if not (colon and number.strip().isdecimal()):
        raise SettingsError(
            f"--corner takes the photo's number and a pixel in it, such as 3:120,455, not '{text}'."
        )
    if not 1 <= int(number) <= photos:
        raise SettingsError(f"--corner '{text}': there is no photo {int(number)} of {photos}.")
    x, y = parse_pick(pick, "--corner")
    return int(number) - 1, x, y


def _tiles(kind: TilesKind) -> "Tiles | None":
    from scrapeview.plane.cards import TILES

    return None if kind is TilesKind.AUTO else TILES[kind.value]


def _paper(bar: str | None) -> "PaperScale":
    from scrapeview.picks import parse_length_mm
    from scrapeview.plane.cards import PaperScale

    return PaperScale() if bar is None else PaperScale.from_bar(parse_length_mm(bar, "--bar"))


def _report(joined: "Joined") -> bytes:
    return (json.dumps(joined.as_dict(), indent=1, allow_nan=False) + "\n").encode()
