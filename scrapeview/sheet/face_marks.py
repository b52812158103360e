"""What a sheet shows of the face: its outline, its marks, what to take and what to leave."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.charts.canvas import Canvas
from scrapeview.charts.marks import Mark
from scrapeview.charts.next_pass_picture import (
    CLEAR_MM,
    LATER,
    NUMBERED,
    SMALL,
    TAKEN,
    outline_of,
    patches_to_take,
)
from scrapeview.charts.plain_layer import contours_um
from scrapeview.judge.next.next_pass import NextPass
from scrapeview.plane import View
from scrapeview.result import Reading
from scrapeview.sheet.layout import Tile
from scrapeview.sheet.page import Ink, Page

Lines = list[NDArray[np.float64]]

CONTACT: Ink = (0.72, 0.80, 0.90)
CONTACT_LINE: Ink = (0.35, 0.45, 0.58)
FAINT = 0.45
"""How much of the photograph is left beside white."""
SMALL_MM = 0.7
WIDTHS_MM = (0.9, 0.6, 0.35)
"""Of the lines round the first third of what is to be taken, the second and the last."""
NUMBER_MM = 2.2
HATCH_MM = 4.0
PAPER_INKS: dict[str, Ink] = {
    "hollow": (0.72, 0.25, 0.0),
    "merged": (0.72, 0.25, 0.0),
    "large": (0.0, 0.0, 0.0),
    "crowded": (0.0, 0.0, 0.0),
    "largest": (0.0, 0.0, 0.0),
}
"""Dark enough on white paper, and still told apart by shape in one colour."""


@dataclass(frozen=True)
class Taken:
    """One point as it is drawn: its shape, place, size and number, mm; 0 for no number."""

    mark: Mark
    ink: Ink
    x_mm: float
    y_mm: float
    radius_mm: float
    width_mm: float
    number: int


@dataclass(frozen=True, eq=False)
class Shapes:
    """Closed lines with where each lies, so that a sheet finds its own at once."""

    lines: Lines
    low_mm: NDArray[np.float64]
    high_mm: NDArray[np.float64]

    @classmethod
    def of(cls, lines: Lines) -> "Shapes":
        """Return lines with their extents."""
        low = np.array([line.min(axis=0) for line in lines]).reshape(-1, 2)
        high = np.array([line.max(axis=0) for line in lines]).reshape(-1, 2)
        return cls(lines, low, high)

    def on(self, tile: Tile, shift_mm: NDArray[np.float64]) -> Lines:
        """Return the lines that a tile shows, moved to its place on the page."""
        low = np.array([tile.x_mm, tile.y_mm])
        high = low + np.array([tile.width_mm, tile.height_mm])
        chosen = ((self.high_mm >= low) & (self.low_mm <= high)).all(axis=1)
        return [self.lines[at] + shift_mm for at in np.flatnonzero(chosen)]


@dataclass(frozen=True, eq=False)
class FaceMarks:
    """All that is drawn of a face, in mm of the face."""

    regions: Shapes
    openings: Shapes
    contact: Shapes
    patches: Shapes
    leave: Shapes
    taken: tuple[Taken, ...]
    view: View | None


def marks_of(reading: Reading, advice: NextPass, view: View | None = None) -> FaceMarks:
    """Return what is drawn of a face.

    Parameters
    ----------
    reading : Reading
    advice : NextPass
        Of that reading.
    view : View, optional
        The face square-on, to lie faintly beneath instead of the filled marks.
    """
    own = reading.px_per_mm, reading.origin_mm
    grid = advice.grid
    leave = [] if advice.halt else contours_um(advice.leave, grid.px_per_mm, grid.origin_mm)
    return FaceMarks(
        regions=Shapes.of([np.asarray(region) for region in reading.regions_mm]),
        openings=Shapes.of(
            [np.asarray(hole) for hole in (*reading.openings_mm, *reading.left_out_mm)]
        ),
        contact=_in_mm(contours_um(reading.contact_mask, *own)),
        patches=_in_mm(contours_um(patches_to_take(reading, advice), *own)),
        leave=_in_mm(leave),
        taken=_taken(advice),
        view=view,
    )


def draw_face(page: Page, marks: FaceMarks, tile: Tile, corner_mm: tuple[float, float]) -> None:
    """Draw the part of a face that a tile shows, its top left at a corner of the page."""
    shift = np.array(corner_mm) - (tile.x_mm, tile.y_mm)
    size = np.array([tile.width_mm, tile.height_mm])
    window = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * size + corner_mm

    def here(shapes: Shapes) -> Lines:
        return shapes.on(tile, shift)

    with page.within([window]):
        if marks.view is not None:
            _draw_picture(page, marks.view, tile, corner_mm)
            page.polygon(here(marks.contact), stroke=CONTACT_LINE, width_mm=0.15)
        else:
            page.polygon(here(marks.contact), stroke=CONTACT_LINE, fill=CONTACT, width_mm=0.15)
        _draw_leave(page, here(marks.leave), window)
        page.polygon(here(marks.openings), stroke=0.0, fill=0.85, width_mm=0.35)
        page.polygon(here(marks.regions), stroke=0.0, width_mm=0.5)
        page.polygon(here(marks.patches), stroke=PAPER_INKS["merged"], width_mm=0.5)
        for one in _near(marks.taken, tile):
            draw_taken(page, one, one.x_mm + float(shift[0]), one.y_mm + float(shift[1]))


def _near(taken: Sequence[Taken], tile: Tile) -> list[Taken]:
    """What a tile shows any of, the first to take last, so that they lie on top."""
    right, low = tile.x_mm + tile.width_mm, tile.y_mm + tile.height_mm
    return [
        one
        for one in reversed(taken)
        if tile.x_mm - (reach := 2 * one.radius_mm + 3 * NUMBER_MM) <= one.x_mm <= right + reach
        and tile.y_mm - reach <= one.y_mm <= low + reach
    ]


def draw_taken(page: Page, one: Taken, x: float, y: float) -> None:
    """Draw one point at a place of the page."""
    shape = one.mark.shape
    if shape == "ring":
        page.circle(x, y, one.radius_mm, stroke=one.ink, width_mm=one.width_mm)
    elif shape == "dot":
        page.circle(x, y, SMALL_MM, fill=one.ink)
    elif shape == "tick":
        page.line([[x - SMALL_MM, y], [x + SMALL_MM, y]], stroke=one.ink, width_mm=0.35)
    elif shape == "square":
        corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * SMALL_MM + (x, y)
        page.polygon([corners], stroke=one.ink, width_mm=min(0.5, one.width_mm))
    else:
        corners = outline_of(one.mark) * one.radius_mm + (x, y)
        page.polygon([corners], stroke=one.ink, width_mm=one.width_mm)
    if one.number:
        away = SMALL_MM if shape in SMALL else 0.75 * one.radius_mm
        page.text(x + away + 0.4, y - away, str(one.number), NUMBER_MM, font="bold")


def _taken(advice: NextPass) -> tuple[Taken, ...]:
    points = advice.points[advice.points["rank"] > 0]
    third = np.minimum(2, 3 * (points["rank"].to_numpy() - 1) // max(1, len(advice.to_take)))
    found = []
    for at, row in enumerate(points.to_dict("records")):
        taken = row["what"] == "take"
        found.append(
            Taken(
                mark=TAKEN[row["why"]] if taken else LATER,
                ink=PAPER_INKS[row["why"]] if taken else 0.3,
                x_mm=row["x_mm"], y_mm=row["y_mm"],
                radius_mm=row["diameter_mm"] / 2 + CLEAR_MM,
                width_mm=WIDTHS_MM[int(third[at])],
                number=row["rank"] if taken and row["rank"] <= NUMBERED else 0,
            )
        )  # fmt: skip
    return tuple(found)


def _draw_leave(page: Page, lines: Lines, window: NDArray[np.float64]) -> None:
    if not lines:
        return
    (x0, y0), (x1, y1) = window[0], window[2]
    with page.within(lines):
        for start in np.arange(x0 - (y1 - y0), x1, HATCH_MM):
            page.line([[start, y1], [start + y1 - y0, y0]], stroke=0.35, width_mm=0.2)
    page.polygon(lines, stroke=0.2, width_mm=0.35, dash_mm=1.8)


def _draw_picture(page: Page, view: View, tile: Tile, corner_mm: tuple[float, float]) -> None:
    canvas = Canvas.over(
        (tile.x_mm, tile.y_mm, tile.x_mm + tile.width_mm, tile.y_mm + tile.height_mm),
        view.px_per_mm, 0.0,
    )  # fmt: skip
    inside = canvas.brought_mask(view.valid, view.px_per_mm, view.origin_mm)
    rgb = canvas.brought(view.rgb, view.px_per_mm, view.origin_mm).astype(np.float64)
    faint = np.where(inside[..., None], 255 - FAINT * (255 - rgb), 255)
    height, width = canvas.shape
    page.picture(
        np.round(faint).astype(np.uint8), *corner_mm,
        width / view.px_per_mm, height / view.px_per_mm,
    )  # fmt: skip


def _in_mm(lines_um: Sequence[list[int]]) -> Shapes:
    return Shapes.of([np.array(line, dtype=np.float64).reshape(-1, 2) / 1000 for line in lines_um])
