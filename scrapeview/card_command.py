"""`scrapeview card`: scale cards and tiles to print at exact size."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scrapeview.console import plain_refusals, say

if TYPE_CHECKING:
    from scrapeview.sheet.card_drawing import CardSheet
    from scrapeview.sheet.card_paper import Labels

KINDS = (".pdf", ".png")


class CardPaper(StrEnum):
    """Papers that cards are printed on."""

    A4 = "a4"
    LETTER = "letter"


class CardWindow(StrEnum):
    """Windows a frame card can have."""

    INCH = "inch"
    MM25 = "25mm"


class TileSize(StrEnum):
    """Kinds of tiles."""

    SMALL = "small"
    LARGE = "large"


def card(
    file: Annotated[
        Path,
        typer.Argument(metavar="OUT", help="Sheets (.pdf), or one sheet as a picture (.png)."),
    ],
    window: Annotated[
        CardWindow | None, typer.Option(help="A frame card with this window. [default: inch]")
    ] = None,
    tiles: Annotated[
        TileSize | None,
        typer.Option(help="Numbered tiles instead: small 20 mm, large 40 mm."),
    ] = None,
    first: Annotated[
        int | None, typer.Option(metavar="N", help="Number of the first tile. [default: 1]")
    ] = None,
    count: Annotated[
        int | None,
        typer.Option(metavar="N", help="How many. [default: one card; a sheet full of tiles]"),
    ] = None,
    paper: Annotated[CardPaper, typer.Option(help="Paper of the sheets.")] = CardPaper.A4,
    bar: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH",
            help="How long the bar came out when printed without this: 149.2mm, 5.87in. The sheet "
            "is then drawn so that it comes out true.",
        ),
    ] = None,
    label: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE",
            help="Print on adhesive labels, width x height. Known without more: 63.5x38.1mm and "
            "99.1x67.7mm on A4, 2.625x1in and 4x3.333in on Letter, and a whole sheet.",
        ),
    ] = None,
    rows: Annotated[int | None, typer.Option(metavar="N", help="Rows of labels.")] = None,
    columns: Annotated[int | None, typer.Option(metavar="N", help="Columns of labels.")] = None,
    label_left: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Paper's left edge to the labels. [default: centred]"),
    ] = None,
    label_top: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Paper's top edge to the labels. [default: centred]"),
    ] = None,
    gap_across: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Gap between columns. [default: none]")
    ] = None,
    gap_down: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Gap between rows. [default: none]")
    ] = None,
) -> None:
    """Write a scale card with a window, or numbered tiles, to print at exact size.

    Print at 100 %, not fitted to the page, and measure the bar on the paper. docs/cards.md says
    how to cut, lay and photograph them.
    """
    from scrapeview.outputs import require_writable, write_whole
    from scrapeview.picks import parse_length_mm
    from scrapeview.sheet.card_sheets import card_sheets, tile_sheets

    with plain_refusals():
        _require_kind(file)
        require_writable(file)
        bar_mm = None if bar is None else parse_length_mm(bar, "--bar")
        placed = {
            "--label-left": label_left, "--label-top": label_top,
            "--gap-across": gap_across, "--gap-down": gap_down,
        }  # fmt: skip
        labels = _labels(paper.value, label, rows, columns, placed)
        if tiles is None:
            _require_no_first(first)
            kind = (window or CardWindow.INCH).value
            sheets = card_sheets(kind, paper=paper.value, labels=labels, count=count, bar_mm=bar_mm)
        else:
            _require_no_window(window)
            sheets = tile_sheets(
                tiles.value, first=1 if first is None else first, count=count,
                paper=paper.value, labels=labels, bar_mm=bar_mm,
            )  # fmt: skip
        write_whole({file: _made(file, sheets)})
        say(f"'{file}' holds {sheets[0].title}{_pages(sheets)}.")
        say("Print at 100 %, not fitted to the page, and measure the bar from end to end.")


def _require_kind(file: Path) -> None:
    from scrapeview.errors import OutputError

    if file.suffix.lower() not in KINDS:
        raise OutputError(f"'{file.name}' must end in .pdf or .png to be a sheet.")


def _require_no_first(first: int | None) -> None:
    from scrapeview.errors import SettingsError

    if first is not None:
        raise SettingsError("--first numbers tiles: give --tiles small or --tiles large beside it.")


def _require_no_window(window: CardWindow | None) -> None:
    from scrapeview.errors import SettingsError

    if window is not None:
        raise SettingsError("A sheet holds cards or tiles: give --window or --tiles, not both.")


def _labels(
    paper: str,
    size: str | None,
    rows: int | None,
    columns: int | None,
    placed: dict[str, str | None],
) -> "Labels | None":
    from scrapeview.errors import SettingsError
    from scrapeview.picks import parse_length_mm, parse_size_mm
    from scrapeview.sheet.card_paper import labels_on
    from scrapeview.sheet.layout import PAPERS

    given = {name: parse_length_mm(text, name) for name, text in placed.items() if text is not None}
    if size is None:
        if given or rows is not None or columns is not None:
            raise SettingsError("Rows, columns, margins and gaps are of labels: give --label too.")
        return None
    return labels_on(
        PAPERS[paper], parse_size_mm(size, "--label"), rows=rows, columns=columns,
        left_mm=given.get("--label-left"), top_mm=given.get("--label-top"),
        across_mm=given.get("--gap-across", 0.0), down_mm=given.get("--gap-down", 0.0),
    )  # fmt: skip


def _made(file: Path, sheets: "tuple[CardSheet, ...]") -> bytes:
    from scrapeview.errors import OutputError
    from scrapeview.sheet.card_files import card_pdf, card_png

    if file.suffix.lower() == ".pdf":
        return card_pdf(sheets)
    if len(sheets) > 1:
        raise OutputError(
            f"That takes {len(sheets)} sheets and a picture is one: write a .pdf, or ask for fewer."
        )
    return card_png(sheets[0])


def _pages(sheets: "tuple[CardSheet, ...]") -> str:
    return f", and {len(sheets) - 1} more" if len(sheets) > 1 else ""
