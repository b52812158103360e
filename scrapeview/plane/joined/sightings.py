"""Tiles seen in photographs, gathered: which photograph shows which tile, and where."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError
from scrapeview.plane.cards import TILES, PaperScale, Tiles

_WASHED_OUT_WEIGHT = 0.3
"""How much less the corners of a marker that light washes out count; ours, no source."""


class Marker(Protocol):
    """What is needed of a marker that was found in a photograph."""

    @property
    def id(self) -> int:
        """Its number in the dictionary."""

    @property
    def corners_px(self) -> NDArray[np.float64]:
        """Its corners (4, 2), clockwise from its own top left, full-size px."""

    @property
    def washed_out(self) -> bool:
        """Whether light washes it out."""


@dataclass(frozen=True, eq=False)
class Sightings:
    """Every tile in every photograph, one row each.

    Attributes
    ----------
    photo, tile : (M,) int arrays
        Which photograph, and which row of `ids` and `sides_mm`.
    corners_px : (M, 4, 2) float array
    weight : (M, 4) float array
        How much each corner counts, 0-1; 0 where it is left out.
    ids : (T,) int array
    sides_mm : (T,) float array
        Side of each tile's marker on the paper.
    photo_sizes_px : (P, 2) float array
    """

    photo: NDArray[np.intp]
    tile: NDArray[np.intp]
    corners_px: NDArray[np.float64]
    weight: NDArray[np.float64]
    ids: NDArray[np.intp]
    sides_mm: NDArray[np.float64]
    photo_sizes_px: NDArray[np.float64]

    @property
    def photo_count(self) -> int:
        """Number of photographs."""
        return len(self.photo_sizes_px)

    @property
    def from_middle(self) -> NDArray[np.float64]:
        """Corners (M, 4, 2) from their photograph's middle, in halves of its diagonal."""
        middle = (self.photo_sizes_px - 1) / 2
        return (self.corners_px - middle[self.photo][:, None]) / self.halves[self.photo][
            :, None, None
        ]

    @property
    def halves(self) -> NDArray[np.float64]:
        """Half the diagonal (P,) of each photograph, px."""
        return np.asarray(np.hypot(*self.photo_sizes_px.T) / 2)

    def only(self, keep: NDArray[np.bool_]) -> "Sightings":
        """Return the rows that are kept, of the same photographs, and the tiles they show."""
        shown, tile = np.unique(self.tile[keep], return_inverse=True)
        return replace(
            self,
            photo=self.photo[keep],
            tile=tile,
            corners_px=self.corners_px[keep],
            weight=self.weight[keep],
            ids=self.ids[shown],
            sides_mm=self.sides_mm[shown],
        )

    def weighed(self, weight: NDArray[np.float64]) -> "Sightings":
        """Return the same rows with other weights (M, 4)."""
        return replace(self, weight=weight)


def gather(
    found: Sequence[Sequence[Marker]],
    photo_sizes_px: Sequence[tuple[int, int]],
    tiles: Tiles | None,
    paper: PaperScale,
) -> Sightings:
    """Return all sightings of tiles; markers that are no tiles are passed over.

    Raises
    ------
    PlaneError
        Where there are no photographs, one shows no tile, or all tiles are mirror images.
    """
    if not found or len(found) != len(photo_sizes_px):
        raise PlaneError("No photographs of tiles were given, each with its size.")
    sides = _sides_mm(tiles, paper)
    rows = [
        (photo, marker) for photo, seen in enumerate(found) for marker in seen if marker.id in sides
    ]
    require_tiles_in_all({photo for photo, _ in rows}, len(found))
    ids, tile = np.unique([marker.id for _, marker in rows], return_inverse=True)
    corners = np.array([marker.corners_px for _, marker in rows], dtype=float).reshape(-1, 4, 2)
    counts = [_WASHED_OUT_WEIGHT if marker.washed_out else 1.0 for _, marker in rows]
    sightings = Sightings(
        np.array([photo for photo, _ in rows]),
        tile,
        corners,
        np.repeat(np.array(counts)[:, None], 4, axis=1),
        ids,
        np.array([sides[int(i)] for i in ids]),
        np.array(photo_sizes_px, dtype=float).reshape(-1, 2),
    )
    return _without_impossible(sightings)


def tile_text(marker_id: int, tiles: Tiles | None = None) -> str:
    """Return what a person calls a tile: its kind and the number printed on it."""
    kinds = (*((tiles,) if tiles else ()), *TILES.values())
    for kind in kinds:
        if marker_id in kind.ids:
            return f"{kind.name} tile {kind.number_of(marker_id)}"
    return f"marker {marker_id}"


def to_pixels(sightings: Sightings) -> NDArray[np.float64]:
    """Return the mappings (P, 3, 3) from halves of the diagonal to full-size pixels."""
    matrices = np.zeros((sightings.photo_count, 3, 3))
    matrices[:, 0, 0] = matrices[:, 1, 1] = sightings.halves
    matrices[:, :2, 2] = (sightings.photo_sizes_px - 1) / 2
    matrices[:, 2, 2] = 1
    return matrices


def shown_twice(sightings: Sightings) -> set[int]:
    """Return the markers' numbers that one photograph shows more than once."""
    rows = Counter(zip(sightings.photo.tolist(), sightings.tile.tolist(), strict=True))
    return {int(sightings.ids[tile]) for (_, tile), count in rows.items() if count > 1}


def without(sightings: Sightings, marker_ids: set[int]) -> Sightings:
    """Return the sightings of all other tiles.

    Raises
    ------
    PlaneError
        Where a photograph shows no other tile.
    """
    if not marker_ids:
        return sightings
    kept = sightings.only(~np.isin(sightings.ids[sightings.tile], sorted(marker_ids)))
    missing = sorted(set(range(kept.photo_count)) - set(kept.photo.tolist()))
    if missing:
        names = ", ".join(tile_text(i) for i in sorted(marker_ids))
        raise PlaneError(
            f"{photos_text(missing)} {'shows' if len(missing) == 1 else 'show'} no other tile than "
            f"{names}, of which more than one lies there: lay each number only once."
        )
    return kept


def _sides_mm(tiles: Tiles | None, paper: PaperScale) -> dict[int, float]:
    kinds = (*TILES.values(), *((tiles,) if tiles else ()))
    return {i: kind.marker_mm * paper.scale for kind in kinds for i in kind.ids}


def require_tiles_in_all(photos: set[int], count: int) -> None:
    """Refuse photographs that show no tile.

    Raises
    ------
    PlaneError
        Which names them.
    """
    missing = sorted(set(range(count)) - photos)
    if len(missing) == count:
        raise PlaneError(
            "No photograph shows a tile that can be read: lay tiles along the face, or give the "
            "face's four corners and its size, and the print itself holds them together."
        )
    if missing:
        raise PlaneError(
            f"{photos_text(missing)} {'shows' if len(missing) == 1 else 'show'} no tile that can "
            "be read: photograph it again with two or more tiles in it, or leave it out."
        )


def photos_text(photos: Sequence[int]) -> str:
    """Return what a person calls photographs, counted from 1."""
    numbers = [str(photo + 1) for photo in photos]
    if len(numbers) == 1:
        return f"Photo {numbers[0]}"
    return f"Photos {', '.join(numbers[:-1])} and {numbers[-1]}"


def _without_impossible(sightings: Sightings) -> Sightings:
    """Leave out what is not the picture of a square: not convex, or turned inside out."""
    corners = sightings.corners_px
    ahead = np.roll(corners, -1, axis=1) - corners
    behind = np.roll(ahead, 1, axis=1)
    turns = behind[..., 0] * ahead[..., 1] - behind[..., 1] * ahead[..., 0]
    if (turns < 0).all(axis=1).mean() > 0.5:
        raise PlaneError(
            "The tiles are seen as in a mirror: turn off what flips the camera's pictures and "
            "photograph them again."
        )
    keep = np.asarray(np.isfinite(corners).all(axis=(1, 2)) & (turns > 0).all(axis=1))
    kept = sightings.only(keep)
    require_tiles_in_all(set(kept.photo.tolist()), kept.photo_count)
    return kept
