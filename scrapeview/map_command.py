"""`scrapeview map`: what to take on the next pass, as sheets to print at 1:1 or as a picture."""

from enum import StrEnum
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scrapeview.command_home import HomeOption, opened
from scrapeview.console import plain_refusals, say

if TYPE_CHECKING:
    import pandas as pd

KINDS = (".pdf", ".png")


class PaperName(StrEnum):
    """Papers that sheets are made for."""

    A4 = "a4"
    LETTER = "letter"


class MapUnits(StrEnum):
    """Units of the bar and of what is said."""

    METRIC = "metric"
    INCH = "inch"


def map_(
    face: Annotated[int, typer.Argument(metavar="FACE", help="Its number, as 'faces' lists it.")],
    file: Annotated[
        Path, typer.Argument(metavar="OUT", help="Sheets at 1:1 (.pdf) or a picture (.png).")
    ],
    paper: Annotated[PaperName, typer.Option(help="Paper of the sheets.")] = PaperName.A4,
    number: Annotated[
        int | None, typer.Option("--pass", metavar="N", help="After this pass. [default: the last]")
    ] = None,
    placement: Annotated[
        str | None,
        typer.Option(metavar="TEXT", help="Which print of the pass, where there are several."),
    ] = None,
    photo: Annotated[
        bool, typer.Option("--photo", help="Lay the photograph faintly beneath the sheets.")
    ] = False,
    units: Annotated[
        MapUnits | None, typer.Option(help="Units. [default: those of the face]")
    ] = None,
    home: HomeOption = None,
) -> None:
    """Write a map of the next pass: which points to take, in which order, and what to leave.

    Sheets are to be printed at 100 %, not "fit to page", and laid on the face; measure the bar.
    """
    from scrapeview.charts.compare_pictures import washed_out_of
    from scrapeview.charts.next_words import next_sentences
    from scrapeview.face_verdict import face_verdict
    from scrapeview.judge.next.next_pass import next_pass
    from scrapeview.outputs import require_writable, write_whole
    from scrapeview.shown_units import face_units

    with plain_refusals(), opened(home) as record:
        _require_kind(file)
        require_writable(file)
        entry = record.face(face)
        progress = record.progress(face)
        row = _chosen(progress, entry.plan.name, number, placement)
        reading = record.reading(int(row["reading_id"]))
        content = record.photo(reading.photo_sha256)
        is_last = row["number"] == progress["number"].max()
        done = bool(is_last and face_verdict(record, face).outcome == "done")
        advice = next_pass(
            reading, entry.plan.target, done=done, washed_out=washed_out_of(reading, content)
        )
        shown_in = face_units(record, entry) if units is None else units.value
        if file.suffix.lower() == ".png":
            from scrapeview.charts.next_pass_picture import draw_next_pass

            held = BytesIO()
            draw_next_pass(reading, content, advice, units=shown_in).save(held, "PNG")
            made = held.getvalue()
        else:
            from scrapeview.sheet import caption_of, map_sheets

            made = map_sheets(
                reading, advice, title=entry.title,
                told=caption_of(row["number"], row["placement"], row["printed_at"]),
                paper=paper.value, units=shown_in, photo=content if photo else None,
            )  # fmt: skip
        write_whole({file: made})
        for sentence in next_sentences(reading, advice, shown_in):
            say(sentence)
        say(f"\n'{file}' holds the map. {_how(file)}")


def _require_kind(file: Path) -> None:
    from scrapeview.errors import OutputError

    if file.suffix.lower() not in KINDS:
        raise OutputError(f"'{file.name}' must end in .pdf or .png to be a map.")


def _how(file: Path) -> str:
    if file.suffix.lower() == ".png":
        return "Look at it beside the face."
    return "Print it at 100 %, not 'fit to page', and measure the bar."


def _chosen(
    progress: "pd.DataFrame", face: str, number: int | None, placement: str | None
) -> dict[str, Any]:
    """Return the row of the print that is asked for, the last one where nothing is."""
    from scrapeview.errors import RecordError

    if progress.empty:
        raise RecordError(f"The face '{face}' has no print yet: keep one first.")
    numbers = sorted({int(each) for each in progress["number"]})
    asked = numbers[-1] if number is None else number
    rows = progress[progress["number"] == asked].to_dict("records")
    if not rows:
        known = ", ".join(map(str, numbers))
        raise RecordError(f"The face '{face}' has no print of pass {asked}; it has {known}.")
    if placement is not None:
        alike = [row for row in rows if placement in (row["placement"], _named(row))]
        if not alike:
            raise RecordError(
                f"Pass {asked} has no print with the placement '{placement}'; it has "
                f"{_placements(rows)}."
            )
        rows = alike
    elif len({_place(row) for row in rows}) > 1:
        raise RecordError(
            f"Pass {asked} has several prints: name one with --placement, {_placements(rows)}."
        )
    return {str(key): value for key, value in rows[-1].items()}


def _placements(rows: list[Any]) -> str:
    return " or ".join(f"'{name}'" for name in dict.fromkeys(_named(row) for row in rows))


def _named(row: Any) -> str:
    """Return what a print is called: its placement, else its number where that was not named."""
    return row["placement"] or f"print {row['print_id']}"


def _place(row: Any) -> tuple[str, ...]:
    """Return what tells the place of one print from that of another."""
    from scrapeview.record.schema import PLACED

    return tuple(str(row[name]) for name in PLACED)
