"""Options that say where a face lies in a photograph; more than one command takes them."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class CardKind(StrEnum):
    """Frame cards a photograph can hold; auto: the one that is found."""

    AUTO = "auto"
    INCH = "inch"
    MM25 = "25mm"


class TilesKind(StrEnum):
    """Tiles a photograph can hold; auto: those that are found."""

    AUTO = "auto"
    SMALL = "small"
    LARGE = "large"


CornersOption = Annotated[
    str | None,
    typer.Option(
        metavar="PICKS", help='Four corners "x,y x,y x,y x,y", clockwise from the face\'s top left.'
    ),
]
RimOption = Annotated[
    str | None,
    typer.Option(metavar="PICKS", help='Five or more picks "x,y ..." on the rim of a round face.'),
]
CentreOption = Annotated[
    str | None,
    typer.Option(metavar="PICK", help="The round face's true centre x,y, such as that of a bore."),
]
ScaleOption = Annotated[
    str | None,
    typer.Option(
        metavar="PICKS", help='Two picks "x,y x,y" a known length apart, seen from square above.'
    ),
]
LengthOption = Annotated[
    str | None,
    typer.Option(metavar="LENGTH", help="The length between the two picks: 100mm, 4in."),
]
MarkingPickOption = Annotated[
    list[str] | None, typer.Option(metavar="PICK", help="A pick x,y on marking. Repeatable.")
]
MetalPickOption = Annotated[
    list[str] | None, typer.Option(metavar="PICK", help="A pick x,y on bare metal. Repeatable.")
]
CardOption = Annotated[
    CardKind | None,
    typer.Option(
        help="A printed frame card lies in the photo and gives the scale. Its window is read, "
        "unless --outline, or --corners and --size, say what the face is."
    ),
]
TilesOption = Annotated[
    TilesKind | None,
    typer.Option(
        help="Printed tiles lie in the photo and give the scale; the face is that of --outline, "
        "or of --corners and --size."
    ),
]
BarOption = Annotated[
    str | None,
    typer.Option(
        metavar="LENGTH",
        help="How long the bar is on the sheet of the card or tiles: 149.2mm, 5.87in.",
    ),
]
JoinedOption = Annotated[
    Path | None,
    typer.Option(
        metavar="FILE",
        help="The photo is a map made by 'scrapeview join', and this its report, which gives the "
        "scale and what the map does not show.",
    ),
]
