"""What the printed cards and tiles look like, in mm: their markers, window and patches.

The markers are those of the open dictionary AprilTag 36h11 (E. Olson, 2011; M. Krogius et al.,
2019), as OpenCV's aruco module has it. Each kind of card has numbers of its own, so that the photo
says which card lies there, and no two cards are similar figures, so that a card drawn wrongly
does not fit.
"""

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError

DICTIONARY = cv2.aruco.DICT_APRILTAG_36h11
MARKER_CELLS = 8
"""Cells along a marker's side, its black border included."""
Box = tuple[float, float, float, float]
"""x0, y0, x1, y1, mm."""


@dataclass(frozen=True)
class Patch:
    """A patch of even colour on a card."""

    kind: Literal["white", "grey"]
    box_mm: Box


@dataclass(frozen=True)
class FrameCard:
    """A card with a window, eight markers round it and patches between them.

    Its own coordinates have their origin at the window's top left corner, x right, y down, mm.

    Attributes
    ----------
    name : {"inch", "25mm"}
    window_mm : side of the window, which is cut out.
    marker_mm : side of a marker, its black border included.
    gap_mm : white between window and markers.
    margin_mm : white outside the markers.
    first_id : number of the marker at the top left; the others follow clockwise.
    """

    name: str
    window_mm: float
    marker_mm: float
    gap_mm: float
    margin_mm: float
    first_id: int

    @property
    def markers_mm(self) -> dict[int, NDArray[np.float64]]:
        """Corners (4, 2) of each marker, clockwise from its own top left, by its number."""
        low, middle = -self.gap_mm - self.marker_mm, (self.window_mm - self.marker_mm) / 2
        high = self.window_mm + self.gap_mm
        places = (
            (low, low), (middle, low), (high, low), (high, middle),
            (high, high), (middle, high), (low, high), (low, middle),
        )  # fmt: skip
        return {
            self.first_id + i: square_at((x, y), self.marker_mm) for i, (x, y) in enumerate(places)
        }

    @property
    def patches(self) -> tuple[Patch, ...]:
        """Return white and grey patches, in turn round the window, between its markers."""
        half = (self.window_mm - self.marker_mm) / 2 + self.gap_mm
        low, high = -self.gap_mm - self.marker_mm, self.window_mm + self.gap_mm
        near, far = -self.gap_mm, self.window_mm + self.gap_mm - half
        inset, side = 0.2 * half, 0.6 * half
        tall = 0.15 * self.marker_mm, 0.7 * self.marker_mm
        flat = [
            (along + inset, across + tall[0]) for across in (low, high) for along in (near, far)
        ]
        boxes = [(x, y, x + side, y + tall[1]) for x, y in flat]
        boxes += [(y, x, y + tall[1], x + side) for x, y in flat]
        return tuple(
            Patch("grey" if i in (1, 2, 4, 7) else "white", box) for i, box in enumerate(boxes)
        )

    @property
    def outer_mm(self) -> Box:
        """The card's outer edge."""
        reach = self.gap_mm + self.marker_mm + self.margin_mm
        return -reach, -reach, self.window_mm + reach, self.window_mm + reach


@dataclass(frozen=True)
class Tiles:
    """Small squares with one marker each, to lay along a face.

    Attributes
    ----------
    name : {"small", "large"}
    marker_mm : side of the marker, its black border included.
    tile_mm : side of the whole tile; the marker lies in its middle.
    first_id, count : numbers of its markers; tile 1 has the first.
    """

    name: str
    marker_mm: float
    tile_mm: float
    first_id: int
    count: int

    @property
    def ids(self) -> range:
        """Numbers of the markers."""
        return range(self.first_id, self.first_id + self.count)

    def number_of(self, marker_id: int) -> int:
        """Return the number that is printed on a tile."""
        return marker_id - self.first_id + 1


CARDS = {
    "inch": FrameCard("inch", 25.4, 12.0, 2.5, 3.0, 0),
    "25mm": FrameCard("25mm", 25.0, 12.0, 3.5, 3.0, 8),
}
TILES = {
    "small": Tiles("small", 14.0, 20.0, 100, 200),
    "large": Tiles("large", 28.0, 40.0, 300, 200),
}
BAR_MM = 150.0
"""Length of the bar that is printed on every sheet, to be measured on the paper."""
BORDER_MM = 0.5
"""Taken off round paper that lies on a face: its shadow, a cut beside the line; no source."""
READ_OFF_MM = 0.25
"""How well the bar is measured with a rule or a caliper; common practice, no source."""
UNMEASURED_ERROR = 0.01
"""Relative standard error of lengths on a sheet whose bar was not measured; ours, no source."""
GREY_REFLECTANCE = 0.5
"""Share of black ink a grey patch is printed with leaves of white; printers differ much."""


@dataclass(frozen=True)
class PaperScale:
    """How long a millimetre of the drawing is on the paper.

    Attributes
    ----------
    scale : length on the paper over length drawn, 0.8-1.25.
    error : its relative standard error.
    """

    scale: float = 1.0
    error: float = UNMEASURED_ERROR

    @classmethod
    def from_bar(cls, measured_mm: float) -> "PaperScale":
        """Return the scale of a sheet whose bar was measured.

        Raises
        ------
        PlaneError
            Where no printer makes the bar that long.
        """
        scale = measured_mm / BAR_MM
        if not 0.8 <= scale <= 1.25:
            raise PlaneError(
                f"The bar is drawn {BAR_MM:g} mm long and cannot be {measured_mm:g} mm on the "
                "paper: measure it from end to end, in mm."
            )
        return cls(scale, READ_OFF_MM / BAR_MM / 3**0.5)


AS_DRAWN = PaperScale()
"""A sheet whose bar was not measured."""


def square_at(corner_mm: tuple[float, float], side_mm: float) -> NDArray[np.float64]:
    """Return the corners (4, 2) of an upright square, clockwise from its top left."""
    x, y = corner_mm
    return np.array([[x, y], [x + side_mm, y], [x + side_mm, y + side_mm], [x, y + side_mm]])


def marker_cells(marker_id: int) -> NDArray[np.bool_]:
    """Return a marker's cells, (8, 8) bool, True where black.

    Parameters
    ----------
    marker_id : int
        0-586.
    """
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    drawn = cv2.aruco.generateImageMarker(dictionary, marker_id, MARKER_CELLS)
    return np.asarray(drawn) == 0
