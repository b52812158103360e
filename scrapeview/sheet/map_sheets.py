"""The map of the next pass at 1:1 over several sheets, to be laid on the face."""

from io import BytesIO

from scrapeview.charts.next_words import halt_sentence
from scrapeview.charts.picture import PhotoSource, picture_of
from scrapeview.charts.shown import Units
from scrapeview.errors import SettingsError
from scrapeview.judge.next.next_pass import NextPass
from scrapeview.result import Reading
from scrapeview.sheet.face_marks import draw_face, marks_of
from scrapeview.sheet.frame import Caption, corner_mm, draw_frame
from scrapeview.sheet.layout import PAPERS, layout_for
from scrapeview.sheet.page import Page, new_pdf

PHOTO_PX_PER_MM = 4.0


def caption_of(pass_number: int, placement: str = "", printed_at: str = "") -> str:
    """Return the line that says which print the map was made from."""
    print_of = f"pass {pass_number}{', ' + placement if placement else ''}"
    when = f", {printed_at[:10]}" if printed_at else ""
    return f"Map of the next pass, made from the print of {print_of}{when}."


def map_sheets(
    reading: Reading,
    advice: NextPass,
    *,
    title: str,
    told: str = "",
    paper: str = "a4",
    units: Units = "metric",
    photo: PhotoSource | None = None,
) -> bytes:
    """Return the map of the next pass as a PDF at 1:1, over as few sheets as it takes.

    The same reading, advice and words give the same bytes.

    Parameters
    ----------
    reading : Reading
    advice : NextPass
        Of that reading.
    title : str, keyword-only
        Machine, part and face.
    told : str, keyword-only
        Pass, date and the like, in one line.
    paper : {"a4", "letter"}, keyword-only
    units : {"metric", "inch"}, keyword-only
        For the bar to measure.
    photo : path, bytes or array, keyword-only, optional
        The photograph that was read, to lie faintly beneath.

    Raises
    ------
    PhotoError, PlaneError, ReadingError
        Where the photograph cannot be loaded, or is another one.
    SettingsError
        Where there is no such paper, or the face needs too many sheets of it.
    """
    if paper not in PAPERS:
        raise SettingsError(f"There is no paper '{paper}' here: choose {' or '.join(PAPERS)}.")
    layout = layout_for(reading.regions_mm, PAPERS[paper])
    view = None if photo is None else picture_of(reading, photo, px_per_mm=PHOTO_PX_PER_MM)
    marks = marks_of(reading, advice, view)
    caption = Caption(title, f"{told} {halt_sentence(reading, advice)}".strip(), units)
    held = BytesIO()
    pdf = new_pdf(held, title)
    for tile in layout.tiles:
        page = Page(pdf, layout.paper)
        draw_face(page, marks, tile, corner_mm())
        draw_frame(page, caption, advice, layout, tile)
        pdf.showPage()
    pdf.save()
    return held.getvalue()
