"""Prints of one face laid onto one grid of millimetres, with what is not known left open."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import ReadingError
from scrapeview.plane.bounds import pixels_outside
from scrapeview.plane.polygons import polygon_mask
from scrapeview.result import Reading

Mask = NDArray[np.bool_]

FINEST_PX_PER_MM = 4.0
SPARE_SCALE = 0.9
"""At the same scale, half a pixel off, every border would fall on exactly half a square."""
MOST_PX = 1_500_000
"""Long faces are laid coarser, so that many passes of them fit."""
ENOUGH_SEEN = 0.5
"""Share of a grid square that a print must show for the square to count as known."""


@dataclass(frozen=True)
class FaceGrid:
    """A grid of squares over a face.

    Parameters
    ----------
    px_per_mm : float
    origin_mm : (x, y)
        Face point of the centre of square (0, 0).
    shape : (int, int)
        Rows and columns.
    """

    px_per_mm: float
    origin_mm: tuple[float, float]
    shape: tuple[int, int]

    @property
    def square_mm2(self) -> float:
        """Area of one square."""
        return 1 / self.px_per_mm**2

    def to_px(self, xy_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return grid positions x, y (N, 2) of face points (N, 2) in mm."""
        return (np.asarray(xy_mm, dtype=float).reshape(-1, 2) - self.origin_mm) * self.px_per_mm

    def to_mm(self, xy_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return face points (N, 2) in mm of grid positions x, y (N, 2)."""
        return np.asarray(xy_px, dtype=float).reshape(-1, 2) / self.px_per_mm + self.origin_mm

    def holds(self, mask: Mask, xy_mm: NDArray[np.float64]) -> Mask:
        """Return whether a mask holds the squares that face points (N, 2) lie in; off it, no."""
        column, row = np.rint(self.to_px(xy_mm)).astype(int).T
        rows, columns = self.shape
        on = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        return on & mask[np.clip(row, 0, rows - 1), np.clip(column, 0, columns - 1)]


@dataclass(frozen=True, eq=False)
class LaidPrint:
    """One print, or several placements of one pass, on a grid.

    Parameters
    ----------
    grid : FaceGrid
    contact : (h, w) bool
        Contact; False where nothing is known.
    known : (h, w) bool
        Where the print shows the face: off it, in openings, in places washed out or left out and
        past the photograph's border nothing is known, and nothing is taken as bare.
    """

    grid: FaceGrid
    contact: Mask
    known: Mask

    @property
    def contact_share(self) -> float:
        """Share of what is known that is in contact, 0-1."""
        return float(self.contact.sum() / max(1, self.known.sum()))


def grid_for(readings: Sequence[Reading]) -> FaceGrid:
    """Return the grid that covers all that the readings saw, coarser than the coarsest of them.

    Raises
    ------
    ReadingError
        Where there is no reading.
    """
    if not readings:
        raise ReadingError("There is no print to lay out: keep a print of this face first.")
    corners = np.concatenate([np.concatenate(reading.regions_mm) for reading in readings])
    low, high = corners.min(axis=0), corners.max(axis=0)
    width, height = np.maximum(high - low, 1e-6)
    coarsest = min(reading.px_per_mm for reading in readings)
    scale = min(FINEST_PX_PER_MM, SPARE_SCALE * coarsest)
    scale = min(scale, float(np.sqrt(MOST_PX / (width * height))))
    shape = max(1, int(np.ceil(height * scale - 1e-6))), max(1, int(np.ceil(width * scale - 1e-6)))
    half = 0.5 / scale
    return FaceGrid(scale, (float(low[0]) + half, float(low[1]) + half), shape)


def lay(
    reading: Reading,
    grid: FaceGrid,
    *,
    washed_out: Mask | None = None,
    shift_mm: tuple[float, float] = (0.0, 0.0),
) -> LaidPrint:
    """Lay a reading onto a grid by area.

    Parameters
    ----------
    reading : Reading
    grid : FaceGrid
    washed_out : (h, w) bool, optional
        Pixels of the reading's own mask that glare has emptied.
    shift_mm : (x, y)
        By how much the reading's places lie too far right and down; they are moved back.
    """
    known = known_mask(reading, washed_out)
    x, y = reading.origin_mm
    at = reading.px_per_mm, (x - shift_mm[0], y - shift_mm[1])
    known_share = shares(known, *at, grid)
    contact_share = shares(reading.contact_mask & known, *at, grid)
    laid_known = known_share >= ENOUGH_SEEN
    return LaidPrint(grid, laid_known & (contact_share >= 0.5 * known_share), laid_known)


def known_mask(reading: Reading, washed_out: Mask | None = None) -> Mask:
    """Return the pixels of a reading's own mask of which it says contact or bare.

    Raises
    ------
    ReadingError
        Where the mask of what is washed out is not of the reading's shape.
    """
    shape = reading.contact_mask.shape[0], reading.contact_mask.shape[1]
    known = np.zeros(shape, dtype=bool)
    for region in reading.regions_mm:
        known |= polygon_mask(_in_px(reading, region), shape)
    for hole in (*reading.openings_mm, *reading.left_out_mm):
        known &= ~polygon_mask(_in_px(reading, hole), shape)
    known &= _in_photo(reading, shape)
    if washed_out is None:
        return known
    if washed_out.shape != shape:
        raise ReadingError("What glare took does not fit this reading: read the photo again.")
    return known & ~washed_out


def merged(prints: Sequence[LaidPrint]) -> LaidPrint:
    """Return the placements of one pass as one print: known and marked where any of them is."""
    first = prints[0]
    contact, known = first.contact.copy(), first.known.copy()
    for other in prints[1:]:
        contact |= other.contact
        known |= other.known
    return LaidPrint(first.grid, contact, known)


def shares(
    mask: Mask, px_per_mm: float, origin_mm: tuple[float, float], grid: FaceGrid
) -> NDArray[np.float64]:
    """Return the share, 0-1, of each grid square that a mask covers: exact sums over areas."""
    summed = np.asarray(cv2.integral(mask.view(np.uint8), sdepth=cv2.CV_64F), dtype=np.float64)
    columns = _edges(grid.shape[1], grid.px_per_mm, grid.origin_mm[0], px_per_mm, origin_mm[0])
    rows = _edges(grid.shape[0], grid.px_per_mm, grid.origin_mm[1], px_per_mm, origin_mm[1])
    # a summed area runs linearly inside a pixel, so that reading it between is exact
    area_px = np.diff(np.diff(_at(_at(summed, rows).T, columns).T, axis=0), axis=1)
    return np.asarray(area_px) * (grid.px_per_mm / px_per_mm) ** 2


def _edges(
    count: int, to_px_per_mm: float, to_mm: float, from_px_per_mm: float, from_mm: float
) -> NDArray[np.float64]:
    edges_mm = to_mm + (np.arange(count + 1) - 0.5) / to_px_per_mm
    return np.asarray((edges_mm - from_mm) * from_px_per_mm + 0.5)


def _at(summed: NDArray[np.float64], rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rows of a summed area at positions between its own; before and behind it nothing is added."""
    rows = np.clip(rows, 0, summed.shape[0] - 1)
    above = np.minimum(rows.astype(int), summed.shape[0] - 2)
    part = (rows - above)[:, None]
    return np.asarray(summed[above] * (1 - part) + summed[above + 1] * part)


def _in_px(reading: Reading, polygon: NDArray[np.float64]) -> NDArray[np.float64]:
    places = np.asarray(polygon, dtype=float).reshape(-1, 2)
    return (places - reading.origin_mm) * reading.px_per_mm


def _in_photo(reading: Reading, shape: tuple[int, int]) -> Mask:
    """Pixels of the face whose centre the photograph shows; of others it is not asked."""
    height, width = shape
    # what a photograph shows is convex on the face too, so that corners speak for all between them
    corners_px = reading.plane.to_px(np.concatenate(reading.regions_mm))
    if not pixels_outside(corners_px, reading.photo_size_px).any():
        return np.ones(shape, dtype=bool)
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    places_mm = np.column_stack((x.ravel(), y.ravel())) / reading.px_per_mm + reading.origin_mm
    outside = pixels_outside(reading.plane.to_px(places_mm), reading.photo_size_px)
    return np.asarray(outside.reshape(shape) <= 0)
