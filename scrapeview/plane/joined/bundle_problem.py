"""The least squares problem of a planar bundle adjustment: its unknowns, residuals and Jacobian.

Unknown are a homography for each photograph (8), place and turn of each tile (3), and the lens
of each size of photograph (2). Bundle adjustment: B. Triggs et al., 2000.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from scrapeview.plane.joined.bundle_start import square_corners
from scrapeview.plane.joined.sightings import Sightings

Floats = NDArray[np.float64]
_EIGHT = 8
LENS_SPREAD = (0.05, 0.05)
"""How large k1 and k2 may well be, as standard deviations before anything is measured: cameras of
telephones take most of it out themselves; ours, no source."""


@dataclass(frozen=True, eq=False)
class Unknowns:
    """What is solved for.

    Attributes
    ----------
    homographies : (P, 3, 3) float array
        From mm, reduced by `Problem.reduce`, to halves of the diagonal; last element 1.
    poses : (T, 3) float array
    lenses : (L, 2) float array
        k1 and k2 of each lens; L is 0 where they are taken as 0.
    """

    homographies: Floats
    poses: Floats
    lenses: Floats

    def packed(self) -> Floats:
        """All in one vector."""
        eight = self.homographies.reshape(-1, 9)[:, :_EIGHT]
        return np.concatenate((eight.ravel(), self.poses.ravel(), self.lenses.ravel()))


@dataclass(frozen=True, eq=False)
class Problem:
    """Residuals in px, weighed, of everything seen, as a function of the packed unknowns.

    Attributes
    ----------
    sightings : Sightings
    lens_of_photo : (P,) int array
    lens_count : int
        0 where the lens is taken as free of distortion.
    middle_mm : (P, 2) float array
    reach_mm : (P,) float array
        Where on the plane each photograph looks, and how far round it: coordinates are reduced
        by these so that all unknowns are of like size.
    noise_px : float
        Expected noise of the corners, by which the expectation of the lens is weighed.
    """

    sightings: Sightings
    lens_of_photo: NDArray[np.intp]
    lens_count: int
    middle_mm: Floats
    reach_mm: Floats
    noise_px: float = 0.2

    def weighed(self, weight: Floats, noise_px: float) -> "Problem":
        """Return the same problem with other weights (M, 4) of the corners."""
        return replace(self, sightings=self.sightings.weighed(weight), noise_px=noise_px)

    def only_used(self, x: Floats) -> tuple["Problem", Floats]:
        """Return the problem and unknowns without sightings, and tiles, that count nothing."""
        used = np.asarray(self.sightings.weight.any(axis=1))
        kept = np.unique(self.sightings.tile[used])
        unknowns = self.unpacked(x)
        left = Unknowns(unknowns.homographies, unknowns.poses[kept], unknowns.lenses)
        return replace(self, sightings=self.sightings.only(used)), left.packed()

    @cached_property
    def prior(self) -> Floats:
        """Weights of the lenses' coefficients, which are expected to be 0."""
        return np.tile(self.noise_px / np.array(LENS_SPREAD), self.lens_count)

    @property
    def photo_count(self) -> int:
        """Number of photographs."""
        return self.sightings.photo_count

    @property
    def tile_slice(self) -> slice:
        """Where the packed unknowns hold the tiles."""
        start = _EIGHT * self.photo_count
        return slice(start, start + 3 * len(self.sightings.ids))

    def unpacked(self, x: Floats) -> Unknowns:
        """Return the unknowns from a packed vector."""
        tiles = self.tile_slice
        eight = x[: tiles.start].reshape(-1, _EIGHT)
        nine = np.column_stack((eight, np.ones(len(eight)))).reshape(-1, 3, 3)
        return Unknowns(nine, x[tiles].reshape(-1, 3), x[tiles.stop :].reshape(-1, 2))

    def reduce(self) -> Floats:
        """Return the mappings (P, 3, 3) from mm to each photograph's reduced coordinates."""
        matrices = np.zeros((self.photo_count, 3, 3))
        matrices[:, 0, 0] = matrices[:, 1, 1] = 1 / self.reach_mm
        matrices[:, :2, 2] = -self.middle_mm / self.reach_mm[:, None]
        matrices[:, 2, 2] = 1
        return matrices

    def residuals(self, x: Floats) -> Floats:
        """Return weighed residuals, px: (x, y) of each corner, then those of the lens."""
        unknowns = self.unpacked(x)
        ideal, *_ = self._ideal(unknowns)
        off = (bent(ideal, self._lens(unknowns))[0] - self._seen) * self._scale[..., None]
        return np.concatenate((off.ravel(), self.prior * unknowns.lenses.ravel()))

    def lengths_px(self, x: Floats) -> Floats:
        """Return how far each corner (M, 4) lies from where it should, px, unweighed."""
        unknowns = self.unpacked(x)
        ideal, *_ = self._ideal(unknowns)
        off = bent(ideal, self._lens(unknowns))[0] - self._seen
        return (
            np.hypot(*np.moveaxis(off, 2, 0)) * self.sightings.halves[self.sightings.photo][:, None]
        )

    def jacobian(self, x: Floats) -> csr_array:
        """Return the Jacobian of the residuals, sparse: each depends on 13 unknowns at most."""
        return self._sparse(self._derivatives(x))

    def by_print(self, x: Floats) -> csr_array:
        """Return the derivatives of the residuals by where each corner was printed, mm.

        Columns are (x, y) of each corner of each tile, along the axes of the plane.
        """
        values = self._derivatives(x)[..., _EIGHT : _EIGHT + 2]
        seen = self.sightings
        corner = 4 * seen.tile[:, None] + np.arange(4)
        columns = np.repeat(2 * corner[..., None] + np.arange(2), 2, axis=1).ravel()
        start = 2 * np.arange(values.size // 2 + 1)
        ends = np.append(start, np.full(2 * self.lens_count, start[-1]))
        return csr_array((values.ravel(), columns, ends), shape=(len(ends) - 1, 8 * len(seen.ids)))

    def _derivatives(self, x: Floats) -> Floats:
        """Return derivatives (M, 4, 2, 11 or 13), weighed: by homography, place, turn and lens."""
        unknowns = self.unpacked(x)
        ideal, places, turned, depth = self._ideal(unknowns)
        matrices = unknowns.homographies[self.sightings.photo][:, None]
        by_place = matrices[..., :2, :2] - ideal[..., None] * matrices[..., 2:, :2]
        reach = self.reach_mm[self.sightings.photo][:, None]
        by_place = by_place / (depth * reach)[..., None, None]
        by_turn = by_place @ turned[..., None]
        by_all = [by_homography(ideal, places, depth), by_place, by_turn]
        _, by_ideal, by_lens = bent(ideal, self._lens(unknowns))
        parts = [by_ideal @ np.concatenate(by_all, axis=3)]
        if self.lens_count:
            parts.append(by_lens)
        return np.asarray(np.concatenate(parts, axis=3) * self._scale[..., None, None])

    def _ideal(self, unknowns: Unknowns) -> tuple[Floats, Floats, Floats, Floats]:
        """Return corners for an ideal camera, on the reduced plane, from their tile, and depth."""
        seen = self.sightings
        corners = square_corners(unknowns.poses, seen.sides_mm)
        offset = corners - unknowns.poses[:, None, :2]
        turned = np.stack((-offset[..., 1], offset[..., 0]), axis=2)[seen.tile]
        middle, reach = self.middle_mm[seen.photo], self.reach_mm[seen.photo]
        places = (corners[seen.tile] - middle[:, None]) / reach[:, None, None]
        matrices = unknowns.homographies[seen.photo]
        mapped = places @ matrices[:, :, :2].transpose(0, 2, 1) + matrices[:, None, :, 2]
        return mapped[..., :2] / mapped[..., 2:], places, turned, mapped[..., 2]

    def _lens(self, unknowns: Unknowns) -> Floats:
        """Return k1 and k2 (M, 1, 2) of each sighting."""
        if not self.lens_count:
            return np.zeros((len(self.sightings.photo), 1, 2))
        return unknowns.lenses[self.lens_of_photo[self.sightings.photo]][:, None]

    @cached_property
    def _seen(self) -> Floats:
        return self.sightings.from_middle

    @cached_property
    def _scale(self) -> Floats:
        return self.sightings.weight * self.sightings.halves[self.sightings.photo][:, None]

    @cached_property
    def _columns(self) -> NDArray[np.intp]:
        seen, tiles = self.sightings, self.tile_slice
        parts = [
            _EIGHT * seen.photo[:, None] + np.arange(_EIGHT),
            tiles.start + 3 * seen.tile[:, None] + np.arange(3),
        ]
        if self.lens_count:
            lens = self.lens_of_photo[seen.photo]
            parts.append(tiles.stop + 2 * lens[:, None] + np.arange(2))
        return np.hstack(parts)

    def _sparse(self, values: Floats) -> csr_array:
        wide = values.shape[-1]
        count = 8 * len(values)
        columns = np.repeat(self._columns, 8, axis=0).ravel()
        start = np.arange(count + 1) * wide
        lens = self.tile_slice.stop + np.arange(2 * self.lens_count)
        indices = np.concatenate((columns, lens))
        ends = np.concatenate((start, start[-1] + 1 + np.arange(len(lens))))
        data = np.concatenate((values.ravel(), self.prior))
        shape = (count + len(lens), self.tile_slice.stop + len(lens))
        return csr_array((data, indices, ends), shape=shape)


def by_homography(ideal: Floats, places: Floats, depth: Floats) -> Floats:
    """Return the derivatives (..., 2, 8) of ideal pictures by the homography that makes them.

    Parameters
    ----------
    ideal, places : (..., 2) float arrays
        Pictures, and what they are of.
    depth : (...) float array
        The homography's denominator.
    """
    by_all = np.zeros((*ideal.shape, _EIGHT))
    xy1 = np.concatenate((places, np.ones((*places.shape[:-1], 1))), axis=-1) / depth[..., None]
    by_all[..., 0, 0:3] = by_all[..., 1, 3:6] = xy1
    by_all[..., 6:8] = -ideal[..., None] * xy1[..., None, :2]
    return by_all


def bent(ideal: Floats, lens: Floats) -> tuple[Floats, Floats, Floats]:
    """Return what a lens makes of ideal pictures (..., 2), and its derivatives (..., 2, 2).

    Parameters
    ----------
    ideal : (..., 2) float array
        From the photograph's middle, in halves of its diagonal.
    lens : (..., 2) float array
        k1 and k2.

    Returns
    -------
    pictures, their derivatives by the ideal pictures and by k1 and k2.
    """
    r2 = (ideal**2).sum(axis=-1)
    powers = np.stack((r2, r2**2), axis=-1)
    stretch = 1 + (powers * lens).sum(axis=-1)
    by_square = lens[..., 0] + 2 * lens[..., 1] * r2
    outer = ideal[..., :, None] * ideal[..., None, :]
    by_ideal = stretch[..., None, None] * np.eye(2) + 2 * by_square[..., None, None] * outer
    return ideal * stretch[..., None], by_ideal, ideal[..., None] * powers[..., None, :]
