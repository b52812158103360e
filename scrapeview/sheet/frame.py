"""What runs round the map on every sheet: what it is of, crosses, a bar to measure, a legend."""

from dataclasses import dataclass

import numpy as np

from scrapeview.charts.next_pass_picture import LATER, TAKEN
from scrapeview.charts.shown import Units
from scrapeview.judge.next.next_pass import NextPass
from scrapeview.sheet.face_marks import PAPER_INKS, Taken, draw_taken
from scrapeview.sheet.layout import EDGE_MM, FOOT_MM, HEAD_MM, OVERLAP_MM, Layout, Tile
from scrapeview.sheet.page import Page, text_mm
from scrapeview.units import MM_PER_INCH

CROSS_MM = 5.0
CROSS_WIDTH_MM = 0.15
BARS: dict[Units, tuple[float, str, int]] = {
    "metric": (100.0, "100 mm", 10),
    "inch": (4 * MM_PER_INCH, "4 in", 4),
}
"""Length of the bar, its name, and how many parts it is divided into."""
SMALL_TEXT_MM = 2.5
NAME_MM = 3.0


@dataclass(frozen=True)
class Caption:
    """What the sheets are of.

    Parameters
    ----------
    title : str
        Machine, part and face.
    told : str
        Pass, date and the like, in one line.
    units : {"metric", "inch"}
    """

    title: str
    told: str
    units: Units


def corner_mm() -> tuple[float, float]:
    """Return where on the page the map's top left lies."""
    return EDGE_MM, EDGE_MM + HEAD_MM


def draw_frame(page: Page, caption: Caption, advice: NextPass, layout: Layout, tile: Tile) -> None:
    """Draw all that is not the face."""
    _draw_head(page, caption, layout, tile)
    _draw_window(page, layout, tile)
    _draw_bar(page, caption.units)
    _draw_legend(page, advice, several=len(layout.tiles) > 1)


def _draw_head(page: Page, caption: Caption, layout: Layout, tile: Tile) -> None:
    right = page.paper.width_mm - EDGE_MM
    grid_mm = _draw_grid(page, layout, tile, right)
    room = right - EDGE_MM - grid_mm - 4
    page.text(EDGE_MM, EDGE_MM + 4.5, caption.title, 4.2, font="bold", most_mm=room)
    page.text(EDGE_MM, EDGE_MM + 8.8, caption.told, 2.8, most_mm=room)
    count = len(layout.tiles)
    where = f"sheet {tile.name}, one of {count}" if count > 1 else "one sheet"
    where += "; up is the top of the face, its left is on the left"
    page.text(EDGE_MM, EDGE_MM + 12.4, where, 2.8, most_mm=room)


def _draw_grid(page: Page, layout: Layout, tile: Tile, right_mm: float) -> float:
    """Draw the sheets as small boxes, this one filled; return the width it takes."""
    side = min(4.0, 12.0 / layout.rows, 40.0 / layout.columns)
    left = right_mm - side * layout.columns
    for other in layout.tiles:
        x, y = left + side * other.column, EDGE_MM + 0.5 + side * other.row
        box = [[x, y], [x + side, y], [x + side, y + side], [x, y + side]]
        page.polygon([box], stroke=0.0, fill=0.3 if other == tile else 1.0, width_mm=0.15)
    return side * layout.columns


def _draw_window(page: Page, layout: Layout, tile: Tile) -> None:
    left, top = corner_mm()
    right, low = left + tile.width_mm, top + tile.height_mm
    frame = [[left, top], [right, top], [right, low], [left, low]]
    page.polygon([frame], stroke=0.6, width_mm=0.1)
    with page.within([np.array(frame)]):
        for x_mm, y_mm in layout.crosses():
            draw_cross(page, x_mm - tile.x_mm + left, y_mm - tile.y_mm + top)
        _draw_cuts(page, layout, tile)


def draw_cross(page: Page, x: float, y: float) -> None:
    """Draw a registration cross in a ring at a place of the page."""
    page.circle(x, y, CROSS_MM / 2.5, stroke=0.0, width_mm=CROSS_WIDTH_MM)
    page.line([[x - CROSS_MM, y], [x + CROSS_MM, y]], width_mm=CROSS_WIDTH_MM)
    page.line([[x, y - CROSS_MM], [x, y + CROSS_MM]], width_mm=CROSS_WIDTH_MM)


def _draw_cuts(page: Page, layout: Layout, tile: Tile) -> None:
    """Name the neighbour in the middle of each strip that is shared with it."""
    left, top = corner_mm()
    names = {(other.row, other.column): other.name for other in layout.tiles}
    half = OVERLAP_MM / 2
    middle = left + tile.width_mm / 2, top + tile.height_mm / 2
    beside = {
        (0, 1): (left + tile.width_mm - half, middle[1], "{} >"),
        (0, -1): (left + half, middle[1], "< {}"),
        (1, 0): (middle[0], top + tile.height_mm - half, "below: {}"),
        (-1, 0): (middle[0], top + half, "above: {}"),
    }
    for (down, across), (x, y, told) in beside.items():
        name = names.get((tile.row + down, tile.column + across))
        if name:
            _draw_name(page, x, y, told.format(name))


def _draw_name(page: Page, x: float, y: float, told: str) -> None:
    half = text_mm(told, NAME_MM) / 2 + 0.8
    box = [[x - half, y - 2.8], [x + half, y - 2.8], [x + half, y + 1.2], [x - half, y + 1.2]]
    page.polygon([box], fill=1.0)
    page.text(x, y, told, NAME_MM, ink=0.3, at="middle")


def _draw_bar(page: Page, units: Units) -> None:
    length, name, parts = BARS[units]
    x, y = EDGE_MM, page.paper.height_mm - EDGE_MM - FOOT_MM + 7.0
    page.line([[x, y], [x + length, y]], width_mm=0.3)
    for at in range(parts + 1):
        tick = 3.0 if at in (0, parts) else 1.5
        page.line([[x + length * at / parts, y - tick], [x + length * at / parts, y]])
    told = (
        f"Measure this bar: is it {name} long?",
        "If not, print again at 100 %, not 'fit to page'.",
    )
    room = page.paper.width_mm - 2 * EDGE_MM - length - 4
    page.text(x + length + 4, y - 2.0, told[0], 3.0, font="bold", most_mm=room)
    page.text(x + length + 4, y + 1.8, told[1], SMALL_TEXT_MM, most_mm=room)


def _draw_legend(page: Page, advice: NextPass, *, several: bool) -> None:
    entries = [
        (TAKEN[why], PAPER_INKS[why], f"{TAKEN[why].name} ({count})")
        for why in TAKEN
        if (count := int((advice.to_take["why"] == why).sum()))
    ]
    if later := int((advice.points["what"] == "later").sum()):
        entries.append((LATER, 0.3, f"{LATER.name} ({later})"))
    top = page.paper.height_mm - EDGE_MM - FOOT_MM + 13.0
    x, y = EDGE_MM, top
    words = ["numbers: the order", "heavy lines before thin ones"] if len(advice.to_take) else []
    if advice.leave.any() and not advice.halt:
        words.append("hatched: leave alone")
    if several:
        words.append("crosses: lay sheets over one another")
    for mark, ink, told in (*entries, *((None, 0.0, word) for word in words)):
        wide = text_mm(told, SMALL_TEXT_MM) + (4.5 if mark else 0.0)
        if x + wide > page.paper.width_mm - EDGE_MM:
            x, y = EDGE_MM, y + 4.4
        if mark:
            draw_taken(page, Taken(mark, ink, 0, 0, 1.1, 0.35, 0), x + 1.5, y - 0.9)
            x += 4.5
        x += page.text(x, y, told, SMALL_TEXT_MM) + 4.0
