"""The grid of millimetres a map is made on, and what of it each photograph shows."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import PlaneError, SettingsError
from scrapeview.photo.load import REDUCTIONS
from scrapeview.plane.joined.solved import SolvedPhotos
from scrapeview.plane.projective import jacobian, singular_values

CELL_MM = 0.7
"""Side of the cells that seams run between: finer than the gaps between points."""
ALIGNED_CELLS = 8
"""Photographs are laid at multiples of this many cells, so that their cells coincide."""
LARGEST_MAP_PX = 120_000_000
_SAMPLES = 25
_LEAST_SCALE = 0.45
"""Places where a photograph holds less than this share of its typical scale lie too far off."""
_COARSEST_PERCENT = 5
_SPARE_MM = 10.0
_COARSEST_MAP = 1.0
"""Scale below which points can no longer be told, px/mm."""


@dataclass(frozen=True)
class MapGrid:
    """Pixels of a map: scale, place of the first pixel's centre, and how many there are.

    Attributes
    ----------
    px_per_mm : float
    origin_mm : (float, float)
        Plane point x, y of the centre of pixel (0, 0), mm.
    size_px : (int, int)
        Width and height, multiples of the cells that photographs are laid at.
    cell_px : int
        Side of a cell, px.
    """

    px_per_mm: float
    origin_mm: tuple[float, float]
    size_px: tuple[int, int]
    cell_px: int

    @property
    def cells(self) -> tuple[int, int]:
        """Rows and columns of cells."""
        return self.size_px[1] // self.cell_px, self.size_px[0] // self.cell_px

    @property
    def cell_mm(self) -> float:
        """Side of a cell, mm."""
        return self.cell_px / self.px_per_mm

    def to_mm(self, xy_px: ArrayLike) -> NDArray[np.float64]:
        """Return plane points (N, 2), mm, of pixels (N, 2) of the map."""
        points = np.asarray(xy_px, dtype=float).reshape(-1, 2)
        return points / self.px_per_mm + self.origin_mm

    def to_px(self, xy_mm: ArrayLike) -> NDArray[np.float64]:
        """Return pixels (N, 2) of the map for plane points (N, 2), mm."""
        points = np.asarray(xy_mm, dtype=float).reshape(-1, 2)
        return (points - self.origin_mm) * self.px_per_mm


def shown_by(solved: SolvedPhotos, photo: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return plane points (N, 2), mm, all over a photograph and its scale there (N,), px/mm.

    Points behind the horizon, and so far off that the photograph holds much less there than
    elsewhere, are left out.
    """
    width, height = solved.photo_sizes_px[photo]
    x, y = np.meshgrid(
        np.linspace(-0.5, width - 0.5, _SAMPLES), np.linspace(-0.5, height - 0.5, _SAMPLES)
    )
    pixels = np.column_stack((x.ravel(), y.ravel()))
    ideal = solved.lens_of(photo).undistorted(pixels, (width, height))
    backward = np.linalg.inv(solved.mm_to_px[photo])
    before = ideal @ backward[2, :2] + backward[2, 2] > 0
    places = solved.to_mm(photo, pixels[before])
    scale = singular_values(jacobian(solved.mm_to_px[photo], places))[1]
    near = scale >= _LEAST_SCALE * np.median(scale)
    return places[near], scale[near]


def least_scale(solved: SolvedPhotos, photo: int) -> float:
    """Return the scale below which a photograph is not used, px/mm at full size."""
    return _LEAST_SCALE * float(np.median(shown_by(solved, photo)[1]))


def reduction_for(solved: SolvedPhotos, photo: int, px_per_mm: float) -> int:
    """Return the largest reduction at which a photograph still holds a map's scale, 1-8."""
    held = float(np.percentile(shown_by(solved, photo)[1], _COARSEST_PERCENT))
    return next((k for k in REDUCTIONS[::-1] if held / k >= px_per_mm), 1)


def grid_for(
    solved: SolvedPhotos,
    px_per_mm: float,
    face_mm: NDArray[np.float64] | None = None,
) -> MapGrid:
    """Return the grid of a map of everything the photographs show, or of the face if it is known.

    Parameters
    ----------
    solved : SolvedPhotos
    px_per_mm : float
        Scale wished for; the map is never finer than the coarser quarter of the photographs.
    face_mm : (N, 2) float array, optional
        Outline of the face; the map reaches a little past it.

    Raises
    ------
    SettingsError
        Where the scale wished for is none.
    PlaneError
        Where the photographs are too coarse, or the map would be too large to be kept.
    """
    if not px_per_mm >= _COARSEST_MAP:
        raise SettingsError(
            f"A map of {px_per_mm:g} px/mm shows no points: wish for {_COARSEST_MAP:g} px/mm or "
            "more."
        )
    shown = [shown_by(solved, photo) for photo in range(len(solved.mm_to_px))]
    scale = min(px_per_mm, float(np.percentile([np.median(s) for _, s in shown], 25)))
    if scale < _COARSEST_MAP:
        raise PlaneError(
            f"The photographs show the face at {scale:.2g} px/mm only, too coarse for points: go "
            "nearer, and check the size of the face or how long the bar on the tiles' sheet is."
        )
    low, high = _bounds([places for places, _ in shown], face_mm)
    cell_px = max(1, round(CELL_MM * scale))
    step = cell_px * ALIGNED_CELLS
    width, height = (math.ceil(side * scale / step) * step for side in high - low)
    if width * height > LARGEST_MAP_PX:
        raise PlaneError(
            f"The map would be {width / scale:.0f} x {height / scale:.0f} mm large: see that all "
            "photographs show the face from not too far away, or join fewer at a time."
        )
    left, top = low + 0.5 / scale
    return MapGrid(scale, (float(left), float(top)), (width, height), cell_px)


def _bounds(
    places: list[NDArray[np.float64]], face_mm: NDArray[np.float64] | None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    every = np.concatenate(places)
    low, high = every.min(axis=0), every.max(axis=0)
    if face_mm is None:
        return low, high
    low = np.maximum(low, face_mm.min(axis=0) - _SPARE_MM)
    high = np.minimum(high, face_mm.max(axis=0) + _SPARE_MM)
    if (high - low <= 0).any():
        raise PlaneError("No photograph shows the face: check its corners.")
    return low, high
