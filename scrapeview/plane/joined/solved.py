"""How several photographs of one plane lie: a homography each, and the lens they share."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.plane.projective import apply_homography

_ROUNDS = 20


@dataclass(frozen=True)
class Lens:
    """Radial distortion about the photograph's middle (D. C. Brown, 1966).

    A point at radius r from the middle, in halves of the photograph's diagonal, is pictured at
    r (1 + k1 r^2 + k2 r^4).
    """

    k1: float = 0.0
    k2: float = 0.0

    def distorted(self, xy_px: ArrayLike, photo_size_px: tuple[int, int]) -> NDArray[np.float64]:
        """Return where points (N, 2) of an ideal camera lie in the photograph, px."""
        offset, middle, half = _from_middle(xy_px, photo_size_px)
        return middle + offset * self._stretch(offset / half)

    def undistorted(self, xy_px: ArrayLike, photo_size_px: tuple[int, int]) -> NDArray[np.float64]:
        """Return where points (N, 2) of the photograph would lie for an ideal camera, px."""
        offset, middle, half = _from_middle(xy_px, photo_size_px)
        ideal = offset
        for _ in range(_ROUNDS):
            ideal = offset / self._stretch(ideal / half)
        return middle + ideal

    def _stretch(self, xy: NDArray[np.float64]) -> NDArray[np.float64]:
        r2 = (xy**2).sum(axis=1, keepdims=True)
        return np.asarray(1 + self.k1 * r2 + self.k2 * r2**2)


@dataclass(frozen=True, eq=False)
class SolvedPhotos:
    """Photographs whose place on one plane is known, in their order.

    Attributes
    ----------
    mm_to_px : tuple of (3, 3) float arrays
        Homography of each photograph, from mm on the plane to full-size pixels of an ideal camera;
        `lens` takes them to those of the photograph.
    photo_sizes_px : tuple of (int, int)
        Width and height at full size.
    lens : Lens
        Of all photographs, where `lenses` is empty.
    tiles_mm : dict of (4, 2) float arrays
        Corners of each tile's marker on the plane, by the marker's number; empty without tiles.
    residual_mm : float
        Root mean square distance, on the plane, that the solution leaves.
    photo_residuals_mm : tuple of float
        The same, photograph by photograph.
    position_error_mm : float
        Standard error of a place on the plane, typical of the outer ends.
    scale_error : float
        Relative standard error of lengths.
    left_out : tuple of (int, int)
        Photograph (from 0) and marker number of what was rejected as an outlier.
    lenses : tuple of Lens
        One for each photograph, where they were made with more than one.
    lying_twice : tuple of int
        Numbers of markers that lie on the plane more than once, and so say nothing.
    set_aside_mm : tuple of (int, (4, 2) float array)
        Number and corners, on the plane, of every marker that was seen but is not in `tiles_mm`:
        it says nothing of the plane, but hides some of it.
    by_one_tile : tuple of (int, int)
        Photographs (from 0) where the chain hangs by a single tile, and so is unsure.
    """

    mm_to_px: tuple[NDArray[np.float64], ...]
    photo_sizes_px: tuple[tuple[int, int], ...]
    lens: Lens = Lens()
    tiles_mm: dict[int, NDArray[np.float64]] = field(default_factory=dict)
    residual_mm: float = 0.0
    photo_residuals_mm: tuple[float, ...] = ()
    position_error_mm: float = 0.0
    scale_error: float = 0.0
    left_out: tuple[tuple[int, int], ...] = ()
    lenses: tuple[Lens, ...] = ()
    lying_twice: tuple[int, ...] = ()
    set_aside_mm: tuple[tuple[int, NDArray[np.float64]], ...] = ()
    by_one_tile: tuple[tuple[int, int], ...] = ()

    def lens_of(self, photo: int) -> Lens:
        """Return the lens that made a photograph."""
        return self.lenses[photo] if self.lenses else self.lens

    def to_px(self, photo: int, xy_mm: ArrayLike) -> NDArray[np.float64]:
        """Return full-size pixels (N, 2) of a photograph for points (N, 2) of the plane, mm."""
        ideal = apply_homography(self.mm_to_px[photo], xy_mm)
        return self.lens_of(photo).distorted(ideal, self.photo_sizes_px[photo])

    def to_mm(self, photo: int, xy_px: ArrayLike) -> NDArray[np.float64]:
        """Return points (N, 2) of the plane, mm, for full-size pixels (N, 2) of a photograph."""
        ideal = self.lens_of(photo).undistorted(xy_px, self.photo_sizes_px[photo])
        return apply_homography(np.linalg.inv(self.mm_to_px[photo]), ideal)


def _from_middle(
    xy_px: ArrayLike, photo_size_px: tuple[int, int]
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    size = np.asarray(photo_size_px, dtype=float)
    middle = (size - 1) / 2
    points = np.asarray(xy_px, dtype=float).reshape(-1, 2)
    return points - middle, middle, float(np.hypot(*size) / 2)
