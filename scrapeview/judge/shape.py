"""What one print says about the shape of its face: its relief, and where the part would turn."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing.pivot import End, Pivot, pivot_of
from scrapeview.bearing.relief import Relief, relief_of
from scrapeview.judge.compare.laid import FaceGrid, Mask, grid_for, lay
from scrapeview.plane.polygons import polygon_mask
from scrapeview.result import Reading

Axis = Literal["x", "y"]
Says = Literal["convex", "hollow", "even", "one end bears more", "open", "nothing"]
"""open: one end speaks against even bearing and the other does not."""

ENDS: dict[Axis, tuple[End, End]] = {"x": ("left", "right"), "y": ("top", "bottom")}
STRETCHES = 60
"""Along its length a face is parted into so many stretches."""


@dataclass(frozen=True, eq=False)
class Shape:
    """What a print says about the shape of its face.

    Parameters
    ----------
    relief : Relief
        Its places count from the grid's square (0, 0); see `relief_grid`.
    pivots : tuple of Pivot
        Pushed at the start and at the end of its length; empty where nothing bears.
    along : {"x", "y"}
        The face's longer side.
    start_mm, length_mm : float
        Where the outline starts on that side, and how long it is.
    across_mm : (float, float)
        Where the outline starts and ends on the other side.
    stretch_mm : (n,) float64
        Middles of stretches along the length, mm from the face's origin.
    bears_percent : (n,) float64
        Contact of each stretch, in percent of what is known of it; NaN where nothing is.
    regions_mm, openings_mm : tuple of (N, 2) arrays
        The face, for drawing it.
    relief_grid : FaceGrid
        Grid of the relief on the face.
    """

    relief: Relief
    pivots: tuple[Pivot, ...]
    along: Axis
    start_mm: float
    length_mm: float
    across_mm: tuple[float, float]
    stretch_mm: NDArray[np.float64]
    bears_percent: NDArray[np.float64]
    regions_mm: tuple[NDArray[np.float64], ...]
    openings_mm: tuple[NDArray[np.float64], ...]
    relief_grid: FaceGrid

    @property
    def says(self) -> Says:
        """What both pivots together say: a form only where both ends do, as one may by chance."""
        forms = {pivot.shape for pivot in self.pivots}
        if not forms:
            return "nothing"
        if len(forms) == 1:
            return forms.pop()
        return "open" if "even" in forms else "one end bears more"


def shape_of(reading: Reading, *, washed_out: Mask | None = None) -> Shape:
    """Return what a reading says about the shape of its face.

    Parameters
    ----------
    reading : Reading
    washed_out : (h, w) bool, optional
        Pixels of the reading's own mask that glare has emptied.

    Raises
    ------
    ReadingError
        Where the mask of what is washed out does not fit the reading.
    """
    grid = grid_for([reading])
    laid = lay(reading, grid, washed_out=washed_out)
    face = _face_on(reading, grid)
    corners = np.concatenate(reading.regions_mm)
    low, high = corners.min(axis=0), corners.max(axis=0)
    along: Axis = "x" if high[0] - low[0] >= high[1] - low[1] else "y"
    on, off = (0, 1) if along == "x" else (1, 0)
    relief = relief_of(laid.contact, laid.known, grid.px_per_mm, face=face)
    stretch_mm, bears_percent = _profile(laid.contact, laid.known, grid, on)
    return Shape(
        relief=relief,
        pivots=_pivots(laid.contact, laid.known, face, grid, along),
        along=along,
        start_mm=float(low[on]),
        length_mm=float(high[on] - low[on]),
        across_mm=(float(low[off]), float(high[off])),
        stretch_mm=stretch_mm,
        bears_percent=bears_percent,
        regions_mm=reading.regions_mm,
        openings_mm=reading.openings_mm,
        relief_grid=_grid_of(relief, grid),
    )


def _face_on(reading: Reading, grid: FaceGrid) -> Mask:
    face = np.zeros(grid.shape, dtype=bool)
    for region in reading.regions_mm:
        face |= polygon_mask(grid.to_px(region), grid.shape)
    for hole in reading.openings_mm:
        face &= ~polygon_mask(grid.to_px(hole), grid.shape)
    return face


def _pivots(
    contact: Mask, known: Mask, face: Mask, grid: FaceGrid, along: Axis
) -> tuple[Pivot, ...]:
    if not contact.any():
        return ()
    return tuple(
        pivot_of(contact, known, grid.px_per_mm, pushed=end, face=face) for end in ENDS[along]
    )


def _profile(
    contact: Mask, known: Mask, grid: FaceGrid, on: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    lines = 1 - on
    count = grid.shape[lines]
    edges = np.unique(np.linspace(0, count, min(count, STRETCHES) + 1).astype(int))
    held, seen = (np.add.reduceat(mask.sum(axis=on), edges[:-1]) for mask in (contact, known))
    middles = (edges[:-1] + edges[1:] - 1) / 2
    percent = np.full(len(seen), np.nan)
    np.divide(100.0 * held, seen, out=percent, where=seen > 0)
    return grid.origin_mm[on] + middles / grid.px_per_mm, percent


def _grid_of(relief: Relief, grid: FaceGrid) -> FaceGrid:
    x, y = np.add(grid.origin_mm, relief.origin_mm)
    return FaceGrid(relief.px_per_mm, (float(x), float(y)), relief.height.shape)
