"""What a sheet of cards or tiles is made of: boxes of even ink and lines of text, in mm."""

from dataclasses import dataclass

from scrapeview.photo.srgb import srgb_values
from scrapeview.plane.cards import (
    BAR_MM,
    GREY_REFLECTANCE,
    MARKER_CELLS,
    Box,
    FrameCard,
    Tiles,
    marker_cells,
)
from scrapeview.sheet.layout import Paper
from scrapeview.sheet.page import text_mm

CUT_WIDTH_MM = 0.15
CUT_INK = 0.55
DIGIT_HEIGHT = 0.73
"""Of digits and capitals, as a share of the size of the text."""
TICK_MM = 0.2
BLACK = 0.0


@dataclass(frozen=True)
class Filled:
    """Boxes that do not overlap, filled as one shape with one ink.

    Attributes
    ----------
    boxes_mm : tuple of Box
    ink : float
        0 black to 1 white, as a screen encodes it (sRGB).
    """

    boxes_mm: tuple[Box, ...]
    ink: float = BLACK


@dataclass(frozen=True)
class Written:
    """A line of text with its baseline at y.

    Attributes
    ----------
    x_mm, y_mm, size_mm : float
    told : str
    font : {"plain", "bold"}
    at : {"left", "middle"}
        What of the line lies at x.
    ink : float
    """

    x_mm: float
    y_mm: float
    told: str
    size_mm: float
    font: str = "plain"
    at: str = "left"
    ink: float = BLACK


@dataclass(frozen=True)
class CardSheet:
    """One sheet as it is to be on the paper.

    Attributes
    ----------
    title : str
        What it holds.
    paper : Paper
    shapes : tuple of Filled
        In the order they are drawn.
    texts : tuple of Written
    correction : float
        What the drawing is enlarged by, about the paper's middle, so that it comes out true.
    """

    title: str
    paper: Paper
    shapes: tuple[Filled, ...]
    texts: tuple[Written, ...]
    correction: float = 1.0


Drawn = tuple[list[Filled], list[Written]]


def marker(marker_id: int, x_mm: float, y_mm: float, side_mm: float) -> Filled:
    """Return a marker with its top left corner at x, y."""
    cell, black = side_mm / MARKER_CELLS, marker_cells(marker_id)
    boxes = tuple(
        (x_mm + j * cell, y_mm + i * cell, x_mm + (j + 1) * cell, y_mm + (i + 1) * cell)
        for i, j in zip(*(at.tolist() for at in black.nonzero()), strict=True)
    )
    return Filled(boxes)


def cut_line(x0: float, y0: float, x1: float, y1: float) -> Filled:
    """Return a thin line to cut along, upright or level, from end to end."""
    half = CUT_WIDTH_MM / 2
    return Filled(((x0 - half, y0 - half, x1 + half, y1 + half),), CUT_INK)


def cut_square(box: Box) -> list[Filled]:
    """Return the four lines of a box to cut along."""
    x0, y0, x1, y1 = box
    return [
        cut_line(x0, y0, x1, y0), cut_line(x0, y1, x1, y1),
        cut_line(x0, y0, x0, y1), cut_line(x1, y0, x1, y1),
    ]  # fmt: skip


def window_name(card: FrameCard) -> str:
    """Return which window a card has, as a person says it."""
    return "1 in (25.4 mm)" if card.name == "inch" else f"{card.window_mm:g} mm"


def draw_card(card: FrameCard, x_mm: float, y_mm: float) -> Drawn:
    """Return a frame card with its outer top left corner at x, y."""
    low = card.outer_mm[0]
    left, top = x_mm - low, y_mm - low
    shapes = [
        marker(number, left + corners[0, 0], top + corners[0, 1], card.marker_mm)
        for number, corners in card.markers_mm.items()
    ]
    grey = tuple(moved(p.box_mm, left, top) for p in card.patches if p.kind == "grey")
    shapes.append(Filled(grey, float(srgb_values(GREY_REFLECTANCE)) / 255))
    shapes += cut_square(moved(card.outer_mm, left, top))
    shapes += cut_square(moved((0.0, 0.0, card.window_mm, card.window_mm), left, top))
    strip = card.margin_mm - card.marker_mm / MARKER_CELLS
    middle, size = left + card.window_mm / 2, 0.72 * strip / DIGIT_HEIGHT
    window = window_name(card)
    texts = [
        Written(middle, top - low + card.window_mm - 0.2 * strip,
                f"Scrapeview card, window {window}", size, at="middle"),
        Written(middle, top + card.window_mm / 2, "cut this out:", 2.2, at="middle", ink=0.4),
        Written(middle, top + card.window_mm / 2 + 3.4, window, 2.2, at="middle", ink=0.4),
    ]  # fmt: skip
    return shapes, texts


def draw_tiles(tiles: Tiles, numbers: dict[int, tuple[float, float]]) -> Drawn:
    """Return tiles by their printed number, each with its top left corner at a place."""
    margin = (tiles.tile_mm - tiles.marker_mm) / 2
    strip = margin - tiles.marker_mm / MARKER_CELLS
    size = 0.8 * strip / DIGIT_HEIGHT
    shapes: list[Filled] = []
    texts: list[Written] = []
    edges: dict[tuple[float, ...], Filled] = {}
    for number, (x, y) in numbers.items():
        side = tiles.tile_mm
        shapes.append(marker(tiles.first_id + number - 1, x + margin, y + margin, tiles.marker_mm))
        texts.append(Written(x + side / 2, y + side - 0.12 * strip, f"{number}", size, at="middle"))
        for line in cut_square((x, y, x + side, y + side)):
            # neighbours share a cut
            edges.setdefault(tuple(round(v, 3) for v in line.boxes_mm[0]), line)
    return [*shapes, *edges.values()], texts


def draw_bar(x_mm: float, y_mm: float) -> list[Filled]:
    """Return the bar to measure, with ticks whose outer edges are its ends."""
    right = x_mm + BAR_MM
    ticks = (x_mm, y_mm - 0.8, x_mm + TICK_MM, y_mm), (right - TICK_MM, y_mm - 0.8, right, y_mm)
    below = (x_mm, y_mm + 1.5, x_mm + TICK_MM, y_mm + 2.3), (
        right - TICK_MM, y_mm + 1.5, right, y_mm + 2.3,
    )  # fmt: skip
    return [Filled(((x_mm, y_mm, right, y_mm + 1.5), *ticks, *below))]


def moved(box: Box, x_mm: float, y_mm: float) -> Box:
    """Return a box moved to the right and down."""
    return box[0] + x_mm, box[1] + y_mm, box[2] + x_mm, box[3] + y_mm


def written(x_mm: float, y_mm: float, told: str, size_mm: float, room_mm: float,
            font: str = "plain") -> Written:  # fmt: skip
    """Return a line of text, smaller where it would be wider than its room."""
    wide = text_mm(told, size_mm, font)
    return Written(x_mm, y_mm, told, size_mm * min(1.0, room_mm / wide), font)
