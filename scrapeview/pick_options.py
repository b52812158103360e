"""Options that say where a face lies in a photograph; more than one command takes them."""

from typing import Annotated

import typer

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
