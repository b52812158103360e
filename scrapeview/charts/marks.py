"""What an overlay shows and how: each kind of thing has a colour and a line or shape of its own.

Colours differ in lightness too, so that they hold in grey and for colour-blind eyes.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scrapeview.charts.canvas import Canvas, Colour

Shape = Literal[
    "dot", "ring", "triangle", "square", "diamond", "cross", "line", "dashes", "tick", "hatch"
]  # fmt: skip

YELLOW: Colour = (255, 221, 51)
PINK: Colour = (255, 105, 180)
NIGHT: Colour = (20, 22, 28)
WHITE: Colour = (255, 255, 255)
VERMILION: Colour = (232, 68, 34)
SKY: Colour = (86, 180, 233)
GREY: Colour = (150, 155, 165)


@dataclass(frozen=True)
class Mark:
    """How one kind of thing is drawn.

    Parameters
    ----------
    name : str
        What it is, as the legend says it.
    colour : (int, int, int)
        sRGB.
    shape : str
        Marker, or style of line.
    cased : tuple, optional
        Colour of a wider line below, where the line must show on metal.
    """

    name: str
    colour: Colour
    shape: Shape
    cased: Colour | None = None


POINT = Mark("point", YELLOW, "dot")
HOLLOW = Mark("hollow point", YELLOW, "ring")
FAINT = Mark("faint point", YELLOW, "triangle")
EDGE = Mark("cut by the edge", YELLOW, "square")
MERGED_POINT = Mark("in a merged patch", PINK, "cross")
BY_HAND = Mark("added, joined or parted by hand", SKY, "diamond")
SPLIT = Mark("split at a neck", WHITE, "tick")
OUTLINE = Mark("contact", YELLOW, "line")
MERGED = Mark("merged patch", PINK, "dashes")
BARE = Mark("largest bare patch", NIGHT, "dashes", WHITE)
WORST = Mark("worst square", VERMILION, "line", WHITE)
LEFT_OUT = Mark("left out by hand", WHITE, "dashes", NIGHT)
WASHED_OUT = Mark("lost to glare", WHITE, "hatch")
CELLS = Mark("cells", GREY, "line")


def draw_marker(canvas: Canvas, mark: Mark, x: float, y: float, radius: float) -> None:
    """Draw a mark's marker round a pixel, with a dark rim so that it shows on metal too."""
    thick = max(1, round(radius / 2.5))
    for colour, wider in ((NIGHT, 2), (mark.colour, 0)):
        if mark.shape == "dot":
            canvas.disc(x, y, radius * 0.75 + wider / 2, colour)
        elif mark.shape == "ring":
            canvas.disc(x, y, radius * 1.25, colour, thick + wider)
        else:
            for line, closed in _strokes(mark.shape):
                points = line * radius * 1.3 + (x, y)
                canvas.line(points, colour, thick + wider, closed=closed)


def _strokes(shape: Shape) -> list[tuple[NDArray[np.float64], bool]]:
    """Lines of a marker that reaches one unit from its middle, and whether each is closed."""
    if shape == "triangle":
        return [(np.array([[0, -1], [0.9, 0.7], [-0.9, 0.7]]), True)]
    if shape == "diamond":
        return [(np.array([[0, -1.3], [1.3, 0], [0, 1.3], [-1.3, 0]]), True)]
    if shape == "square":
        return [(np.array([[-0.8, -0.8], [0.8, -0.8], [0.8, 0.8], [-0.8, 0.8]]), True)]
    if shape == "cross":
        one = np.array([[-0.8, -0.8], [0.8, 0.8]])
        return [(one, False), (one * (1, -1), False)]
    return [(np.array([[-1.0, 0.0], [1.0, 0.0]]), False)]
