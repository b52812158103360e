"""Sheets of frame cards and of numbered tiles, each with its bar and the question about it."""

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from scrapeview.errors import SettingsError
from scrapeview.plane.cards import BAR_MM, CARDS, TILES, Box, FrameCard, PaperScale, Tiles
from scrapeview.sheet.card_drawing import (
    CardSheet,
    Drawn,
    Filled,
    Written,
    draw_bar,
    draw_card,
    draw_tiles,
    window_name,
    written,
)
from scrapeview.sheet.card_paper import Labels, on_grid, places, slots, strips
from scrapeview.sheet.layout import PAPERS, Paper
from scrapeview.sheet.page import text_mm
from scrapeview.units import MM_PER_INCH

BETWEEN_CARDS_MM = 6.0
MOST_CARDS = 60
CAUTION = (
    "Print at 100 %, not fitted to the page. Lay dry, wiped free of oil; fingers clear of magnets."
)
HOW_TO = (
    ("1", "Print at 100 %. Measure the bar below, from end to end."),
    ("2", "Glue the card to thin stiff board or magnetic foil, less than 1 mm thick."),
    ("3", "Cut along the thin lines, and cut the window out."),
    ("4", "Lay it flat and dry on the face, the window over what is to be read."),
    ("", "Do not slide it: it lifts the marking it lies on. Keep it clean."),
    ("5", "Photograph square on: the whole card sharp, no lamp mirrored in it."),
    ("6", "Read it:  scrapeview read photo.jpg --card auto --bar 149.2mm"),
    ("", "with the length of your bar, or without --bar where it is not measured."),
)
"""Printed beside a card, where there is room."""
Thing = TypeVar("Thing", FrameCard, Tiles, Paper)


def card_sheets(
    window: str = "inch",
    *,
    paper: str = "a4",
    labels: Labels | None = None,
    count: int | None = None,
    bar_mm: float | None = None,
) -> tuple[CardSheet, ...]:
    """Return sheets of frame cards.

    Parameters
    ----------
    window : {"inch", "25mm"}
    paper : {"a4", "letter"}, keyword-only
    labels : Labels, keyword-only, optional
        Adhesive labels on the paper; each holds its cards clear of its borders.
    count : int, keyword-only, optional
        How many, all alike; by default one, and on labels one sheet full.
    bar_mm : float, keyword-only, optional
        How long the bar came out when it was printed; the sheet is drawn so that it comes out true.

    Raises
    ------
    PlaneError
        Where no printer makes the bar that long.
    SettingsError
        Where there is no such card or paper, none fits, or too many are asked for.
    """
    card, sheet_paper = _one_of(CARDS, window, "card"), _one_of(PAPERS, paper, "paper")
    correction = correction_for(bar_mm)
    side = card.outer_mm[2] - card.outer_mm[0]
    spots = _spots(sheet_paper, labels, correction, side, BETWEEN_CARDS_MM, "card")
    wanted = (1 if labels is None else len(spots)) if count is None else count
    if not 1 <= wanted <= MOST_CARDS:
        raise SettingsError(f"Ask for 1 to {MOST_CARDS} cards, not {wanted}.")
    title = f"Scrapeview frame card, window {window_name(card)}"
    sheets = []
    for page in _pages(spots, range(wanted)):
        shapes: list[Filled] = []
        texts: list[Written] = []
        for x, y in page.values():
            _add((shapes, texts), draw_card(card, x, y))
        if labels is None and len(page) == 1:
            texts += _how_to(card, spots[0], slots(sheet_paper, None, correction)[0])
        _add((shapes, texts), _frame(sheet_paper, title, correction, bar_mm))
        sheets.append(CardSheet(title, sheet_paper, tuple(shapes), tuple(texts), correction))
    return tuple(sheets)


def tile_sheets(
    kind: str = "small",
    *,
    first: int = 1,
    count: int | None = None,
    paper: str = "a4",
    labels: Labels | None = None,
    bar_mm: float | None = None,
) -> tuple[CardSheet, ...]:
    """Return sheets of numbered tiles.

    Parameters
    ----------
    kind : {"small", "large"}
    first : int, keyword-only
        Number of the first tile.
    count : int, keyword-only, optional
        How many; by default one sheet full, or as many as there are.
    paper, labels, bar_mm
        As for `card_sheets`.

    Raises
    ------
    PlaneError, SettingsError
        As `card_sheets`, and where there are no tiles of these numbers.
    """
    tiles, sheet_paper = _one_of(TILES, kind, "kind of tile"), _one_of(PAPERS, paper, "paper")
    correction = correction_for(bar_mm)
    if not 1 <= first <= tiles.count:
        raise SettingsError(
            f"{kind.capitalize()} tiles have numbers 1 to {tiles.count}, no {first}."
        )
    spots = _spots(sheet_paper, labels, correction, tiles.tile_mm, 0.0, "tile")
    left = tiles.count - first + 1
    wanted = min(len(spots), left) if count is None else count
    if wanted < 1:
        raise SettingsError(f"Ask for one tile or more, not {wanted}.")
    if wanted > left:
        raise SettingsError(
            f"There are {tiles.count} {kind} tiles, so from {first} on {left}, not {wanted}."
        )
    sheets = []
    for page in _pages(spots, range(first, first + wanted)):
        title = f"Scrapeview tiles, {kind} ({tiles.tile_mm:g} mm), {min(page)} to {max(page)}"
        shapes, texts = draw_tiles(tiles, page)
        _add((shapes, texts), _frame(sheet_paper, title, correction, bar_mm))
        sheets.append(CardSheet(title, sheet_paper, tuple(shapes), tuple(texts), correction))
    return tuple(sheets)


def correction_for(bar_mm: float | None) -> float:
    """Return what a drawing is enlarged by, so that it comes out true where the bar did not.

    Raises
    ------
    PlaneError
        Where no printer makes the bar that long.
    """
    return 1.0 if bar_mm is None else 1 / PaperScale.from_bar(bar_mm).scale


def _one_of(known: Mapping[str, Thing], name: str, what: str) -> Thing:
    if name not in known:
        raise SettingsError(f"There is no {what} '{name}': choose {' or '.join(known)}.")
    return known[name]


def _spots(
    paper: Paper, labels: Labels | None, correction: float, side_mm: float, gap_mm: float, what: str
) -> tuple[tuple[float, float], ...]:
    """Top left corners of all that one sheet holds."""
    found = [
        spot
        for slot in slots(paper, labels, correction)
        for spot in places(slot, side_mm, gap_mm=gap_mm)
    ]
    if not found:
        size = "" if labels is None else f" of {labels.width_mm:g} x {labels.height_mm:g} mm"
        raise SettingsError(
            f"No {what} of {side_mm:g} mm fits on these labels{size}, clear of their borders: take "
            "larger ones, or plain paper."
        )
    return tuple(found)


def _pages(
    spots: Sequence[tuple[float, float]], numbers: range
) -> Iterator[dict[int, tuple[float, float]]]:
    """Numbers with their places, sheet by sheet."""
    for start in range(0, len(numbers), len(spots)):
        yield dict(zip(numbers[start : start + len(spots)], spots, strict=False))


def _frame(paper: Paper, title: str, correction: float, bar_mm: float | None) -> Drawn:
    """What every sheet says, and its bar."""
    head, foot = strips(paper, correction)
    room = head[2] - head[0]
    inch = f"{BAR_MM / MM_PER_INCH:.3f} in"
    question = (
        f"How long is this bar on your paper, from end to end? It should be {BAR_MM:g} mm ({inch})."
    )
    lines = (
        (head, 3.9, title, 3.6, "bold"),
        (head, 7.4, CAUTION, 2.6, "plain"),
        (foot, 3.2, question, 3.2, "bold"),
        *(
            (foot, y, told, 2.6, "plain")
            for y, told in zip((10.4, 13.8), _answer(bar_mm), strict=True)
        ),
    )
    texts = [
        written(strip[0], strip[1] + y, told, size, room, font)
        for strip, y, told, size, font in lines
    ]
    return draw_bar(on_grid(foot[0]), on_grid(foot[1] + 5.0)), texts


def _answer(bar_mm: float | None) -> tuple[str, str]:
    """What to do with the length of the bar."""
    if bar_mm is not None:
        return (
            f"This sheet is already drawn for a printer whose bar came out {bar_mm:.4g} mm long.",
            "If it is not 150 mm now, tell the reading its length: --bar, or the shop's settings.",
        )
    return (
        "If not, print again with its length, to come out true:  scrapeview card ... --bar 149.2mm",
        "or tell the reading:  scrapeview read ... --bar 149.2mm,  or the shop's settings.",
    )


def _how_to(card: FrameCard, corner_mm: tuple[float, float], slot: Box) -> list[Written]:
    """How to use a card, beside it."""
    left = corner_mm[0] + card.outer_mm[2] - card.outer_mm[0] + BETWEEN_CARDS_MM
    top, room = corner_mm[1] + 4.0, slot[2] - left - 5.0
    size = 3.2 * min(1.0, room / max(text_mm(told, 3.2) for _, told in HOW_TO))
    texts = []
    for row, (number, told) in enumerate(HOW_TO):
        y = top + 6.4 * row
        texts += [Written(left, y, number, size, "bold"), Written(left + 5.0, y, told, size)]
    return texts


def _add(drawn: Drawn, more: Drawn) -> None:
    drawn[0].extend(more[0])
    drawn[1].extend(more[1])
