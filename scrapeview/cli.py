"""The command line. What reads and draws is imported where it is used, so that help comes fast."""

import sys
from contextlib import nullcontext
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scrapeview import card_command, join_command, record_commands
from scrapeview.console import plain_refusals, say
from scrapeview.pick_options import (
    BarOption,
    CardOption,
    CentreOption,
    CornersOption,
    JoinedOption,
    LengthOption,
    MarkingPickOption,
    MetalPickOption,
    RimOption,
    ScaleOption,
    TilesOption,
)
from scrapeview.serve_command import serve

if TYPE_CHECKING:
    from scrapeview.charts.shown import Units
    from scrapeview.demo import Read
    from scrapeview.samples import Sample

app = typer.Typer(
    help="Contact percentage and points per square inch from photographs of bearing prints.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


class MarkingName(StrEnum):
    """Markings that can be asked for."""

    AUTO = "auto"
    BLUE = "blue"
    RED = "red"
    BLACK = "black"
    RUBBED = "rubbed"


class UnitsName(StrEnum):
    """Units that lengths are shown in."""

    METRIC = "metric"
    INCH = "inch"


UnitsOption = Annotated[UnitsName, typer.Option(help="Units of the lengths shown.")]


@app.command()
def read(
    photo: Annotated[Path, typer.Argument(metavar="PHOTO", help="The photograph of the print.")],
    corners: CornersOption = None,
    size: Annotated[
        str | None,
        typer.Option(metavar="SIZE", help="Width x height between the corners: 254x178mm, 10x7in."),
    ] = None,
    rim: RimOption = None,
    diameter: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Diameter of the rim: 100mm, 4in.")
    ] = None,
    centre: CentreOption = None,
    scale: ScaleOption = None,
    length: LengthOption = None,
    card: CardOption = None,
    tiles: TilesOption = None,
    bar: BarOption = None,
    joined: JoinedOption = None,
    outline: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PICKS", help='A part of the face, "x,y x,y x,y ..."; once for each part.'
        ),
    ] = None,
    opening: Annotated[
        list[str] | None,
        typer.Option(
            metavar="SHAPE",
            help='A slot or hole: "x,y x,y x,y ..." or "circle x,y r48" in photo pixels, '
            'or on the face: "10mm,5mm 20mm,5mm ...", "circle 40mm,30mm r5mm". Repeatable.',
        ),
    ] = None,
    marking: Annotated[
        MarkingName, typer.Option(help="Colour of the marking; rubbed: bright in a coat.")
    ] = MarkingName.AUTO,
    marking_pick: MarkingPickOption = None,
    metal_pick: MetalPickOption = None,
    smallest: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH", help="Smallest mark that counts as a point. [default: 0.8mm]"
        ),
    ] = None,
    largest: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Largest mark one point can be. [default: 10mm]"),
    ] = None,
    cell: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Side of a cell: 1in, 25mm. [default: 1in]")
    ] = None,
    units: UnitsOption = UnitsName.METRIC,
    json: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write the reading as JSON; - prints it and no table."),
    ] = None,
    points: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the table of points as CSV.")
    ] = None,
    cells: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the table of cells as CSV.")
    ] = None,
    overlay: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Draw what was found onto the face, as PNG or JPEG."),
    ] = None,
) -> None:
    """Read one photograph of a print: contact, points, where they are and how sure that is.

    Picks are photo pixels x,y from the photo's top left, as it is seen upright. How to make and
    lay the printed card and tiles: docs/cards.md.
    """
    from scrapeview import export, typed
    from scrapeview.reading import read_print
    from scrapeview.table_text import reading_text

    with plain_refusals():
        wanted = export.wanted_files(photo, json=json, points=points, cells=cells, overlay=overlay)
        plane = typed.plane_from(
            typed.PlaneText(
                corners, size, rim, diameter, centre, scale, length,
                card=card, tiles=tiles, bar=bar, joined=joined, is_outlined=bool(outline),
            ),
            photo,
        )  # fmt: skip
        openings_px, openings_mm = typed.openings_from(opening or ())
        reading = read_print(
            photo,
            plane=plane,
            marking=marking.value,
            outline_px=typed.outlines_from(outline or ()),
            openings_px=openings_px,
            openings_mm=openings_mm,
            settings=typed.settings_from(
                smallest=smallest, largest=largest, cell=cell,
                marking_picks=marking_pick or (), metal_picks=metal_pick or (),
            ),
        )  # fmt: skip
        export.write_files(reading, photo, wanted, units.value)
        if json == Path("-"):
            from scrapeview.reading_json import to_json

            say(to_json(reading).rstrip("\n"))
        else:
            say(reading_text(reading, photo.name, units.value))


@app.command()
def demo(
    samples: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER", help="Folder of the sample photographs, if not the checkout's."
        ),
    ] = None,
    save: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Folder to draw an overlay of each photograph into."),
    ] = None,
    units: UnitsOption = UnitsName.METRIC,
) -> None:
    """Read the sample photographs and print the invented job pass by pass, beside its truth."""
    from scrapeview.demo import series_text, single_text
    from scrapeview.outputs import make_folder
    from scrapeview.samples import find_samples

    with plain_refusals():
        found = find_samples(samples)
        if save is not None:
            make_folder(save)
        reads = _read_all(found, save, units.value)
        series = [(s, r) for s, r in reads if s.pass_number is not None]
        single = [(s, r) for s, r in reads if s.pass_number is None]
        if series:
            say(series_text(series, units.value))
        if single:
            say("\n" + single_text(single))
        if save is not None:
            say(f"\nOverlays of all {len(reads)} are in {save}.")


@app.command()
def columns() -> None:
    """Print the dictionary of all table columns: name, kind, unit, meaning."""
    from scrapeview.columns import COLUMNS

    tables = dict.fromkeys(column.table for column in COLUMNS)
    with plain_refusals():
        for table in tables:
            say(table)
            for c in COLUMNS:
                if c.table == table:
                    say(f"  {c.name:30}{c.dtype:9}{c.unit or '-':11}{c.meaning}")


app.command()(card_command.card)
app.command()(join_command.join)
app.command()(serve)
record_commands.register(app)


def _read_all(found: "tuple[Sample, ...]", save: Path | None, units: "Units") -> "list[Read]":
    from scrapeview.export import overlay_bytes
    from scrapeview.outputs import write_whole

    reads = []
    bar = typer.progressbar(found, label="Reading", file=sys.stderr)
    with bar if sys.stderr.isatty() else nullcontext(found) as waiting:
        for sample in waiting:
            reading = sample.read()
            if save is not None:
                picture = overlay_bytes(reading, sample.photo, ".png", units)
                write_whole({save / f"{sample.name}.png": picture})
            reads.append((sample, reading))
    return reads


def main() -> None:
    """Run the command line."""
    app()


if __name__ == "__main__":
    main()
