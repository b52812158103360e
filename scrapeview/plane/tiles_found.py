"""The plane of a face from tiles that lie along it, each of known size at a place not known."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError
from scrapeview.photo import Photo
from scrapeview.plane import plane_error
from scrapeview.plane.cards import BORDER_MM, CARDS, TILES, PaperScale, Tiles
from scrapeview.plane.from_picks import one_pixel_mm
from scrapeview.plane.markers import FoundMarker, Markers, all_markers, is_mirrored
from scrapeview.plane.projective import apply_homography, inverse, jacobian
from scrapeview.plane.tile_squares import Rectified, Squares, rectify

Array = NDArray[np.float64]

_FAR_OFF, _USUAL = 5.0, 3.0
"""Standard errors, and times what is usual, from which on a tile does not fit the others."""
_ROUNDS = 4
_LOOSEST_MM = 0.08
"""Largest residual of tiles that lie flat in one plane; ours, no source."""
_OUTLIERS = 0.4
"""Share of the tiles that may not fit the others; ours, no source."""
_ROW = 3.0
"""Times longer than wide from which on tiles lie in a row that gives the direction."""


def plane_by_tiles(photo: Photo, tiles: str | Tiles | None, paper: PaperScale) -> dict[str, Any]:
    """Return the fields of a plane from the tiles in a photo; as `Plane.from_tiles`."""
    markers = all_markers(photo)
    kinds = kinds_of(tiles)
    own = [marker for marker in markers.found if _kind_of(marker.id, kinds) is not None]
    if not own:
        raise PlaneError(_none_seen(markers, photo))
    squares = _squares(own, kinds, paper)
    keep = _fitting(squares)
    kept = squares.only(keep)
    solved = rectify(kept)
    _require_flat(solved, kept, keep)
    corners = solved.corners_mm(squares)
    to_plane = _own_axes(solved, squares, keep)
    mm_to_px = inverse(to_plane @ solved.px_to_mm)
    covariance = plane_error.covariance_seen_from(solved.covariance, inverse(to_plane))
    placed = apply_homography(to_plane, corners.reshape(-1, 2)).reshape(-1, 4, 2)
    known = placed[keep].reshape(-1, 2)
    return {
        "kind": "tiles",
        "mm_to_px": mm_to_px,
        "residual_mm": _rms(solved.gaps_mm(kept)),
        "pick_error_mm": one_pixel_mm(mm_to_px, known),
        "hidden_mm": tuple(
            _whole(four, kind)
            for four, marker in zip(placed, own, strict=True)
            if (kind := _kind_of(marker.id, kinds)) is not None
        ),
        "position_error_mm": float(
            plane_error.position_errors_mm(mm_to_px, covariance, known).max()
        ),
        "scale_error": paper.error,
        "covariance": covariance,
        "notes": _notes(own, keep, solved.gaps_mm(squares), kinds, markers),
    }


def kinds_of(tiles: str | Tiles | None) -> tuple[Tiles, ...]:
    """Return the kinds of tile that are asked for: all where none is named.

    Raises
    ------
    PlaneError
        Where there are no such tiles.
    """
    if tiles is None:
        return tuple(TILES.values())
    if isinstance(tiles, Tiles):
        return (tiles,)
    if tiles not in TILES:
        raise PlaneError(f"There are no tiles '{tiles}': choose {' or '.join(TILES)}.")
    return (TILES[tiles],)


def _kind_of(marker_id: int, kinds: tuple[Tiles, ...]) -> Tiles | None:
    return next((kind for kind in kinds if marker_id in kind.ids), None)


def _text(marker_id: int, kinds: tuple[Tiles, ...]) -> str:
    kind = _kind_of(marker_id, kinds)
    return f"{kind.name} tile {kind.number_of(marker_id)}" if kind else f"marker {marker_id}"


def _none_seen(markers: Markers, photo: Photo) -> str:
    if any(marker.id in card.markers_mm for marker in markers.found for card in CARDS.values()):
        return "The photograph shows a scale card but no tiles: choose the card, or lay tiles."
    if markers.found:
        return "The photograph shows other tiles than those chosen: choose their kind."
    if is_mirrored(photo):
        return (
            "The photograph is mirrored: turn off what flips the camera's pictures and photograph "
            "again."
        )
    return (
        "No tile can be seen in the photograph: lay some flat along the face, whole in the "
        "picture, in focus and without glare, or go nearer."
    )


def _squares(own: Sequence[FoundMarker], kinds: tuple[Tiles, ...], paper: PaperScale) -> Squares:
    sides_of = {i: kind.marker_mm * paper.scale for kind in kinds for i in kind.ids}
    sides = np.array([sides_of[marker.id] for marker in own])
    errors = [marker.corner_error_px(side) for marker, side in zip(own, sides, strict=True)]
    return Squares(np.array([marker.corners_px for marker in own]), sides, np.array(errors))


def _fitting(squares: Squares) -> NDArray[np.bool_]:
    """Which squares agree on one plane."""
    keep = np.ones(len(squares.sides_mm), dtype=bool)
    solved = rectify(squares, robust=True)
    for _ in range(_ROUNDS):
        off = solved.gaps_mm(squares).max(axis=1) / solved.error_mm(squares)
        now = off <= max(_FAR_OFF, _USUAL * float(np.median(off)))
        if (now == keep).all() or not now.any():
            break
        keep = now
        solved = rectify(squares.only(keep), robust=True)
    return keep


def _require_flat(solved: Rectified, kept: Squares, keep: NDArray[np.bool_]) -> None:
    residual = _rms(solved.gaps_mm(kept))
    limit = max(_LOOSEST_MM, _USUAL * _rms(solved.error_mm(kept)))
    if residual > limit or (~keep).mean() > _OUTLIERS:
        raise PlaneError(
            f"The tiles do not lie in one plane or are not all of their size ({residual:.2f} mm "
            f"off, {(~keep).sum()} of {len(keep)} left out): lay them flat on the face, all from "
            "sheets printed alike."
        )


def _rms(values: Array) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


def _own_axes(solved: Rectified, squares: Squares, keep: NDArray[np.bool_]) -> Array:
    """Turn and shift (3, 3): origin at the first tile, x to the photo's right, along the row."""
    middles = solved.corners_mm(squares).mean(axis=1)[keep]
    first = squares.corners_px[keep][:1].mean(axis=1)
    right = jacobian(solved.px_to_mm, first)[0] @ (1.0, 0.0)
    angle = float(np.arctan2(right[1], right[0]))
    row = middles - middles.mean(axis=0)
    _, spread, directions = np.linalg.svd(row, full_matrices=True)
    if len(row) > 1 and spread[0] > _ROW * spread[-1]:
        along = float(np.arctan2(directions[0, 1], directions[0, 0]))
        quarters = round((angle - along) / (np.pi / 2))
        angle = along + quarters * np.pi / 2
    cosine, sine = np.cos(angle), np.sin(angle)
    turn = np.array([[cosine, sine], [-sine, cosine]])
    moved = np.eye(3)
    moved[:2, :2] = turn
    moved[:2, 2] = -turn @ middles[0]
    return moved


def _whole(marker_mm: Array, kind: Tiles) -> Array:
    """Outline of the tile round its marker, and the shadow at its border."""
    middle = marker_mm.mean(axis=0)
    times = (kind.tile_mm + 2 * BORDER_MM) / kind.marker_mm
    return np.asarray(middle + times * (marker_mm - middle))


def _notes(
    own: Sequence[FoundMarker], keep: NDArray[np.bool_], gaps_mm: Array,
    kinds: tuple[Tiles, ...], markers: Markers,
) -> tuple[str, ...]:  # fmt: skip
    notes = [
        f"Left out: {_text(marker.id, kinds)}, whose corners are up to {gap:.1f} mm off: it stands "
        "proud, is bent or was printed at another size."
        for marker, kept, gap in zip(own, keep, gaps_mm.max(axis=1), strict=True)
        if not kept
    ]
    notes += [
        f"Left out: {_text(number, kinds)}, which is there more than once."
        for number in markers.doubled
        if _kind_of(number, kinds)
    ]
    if keep.sum() == 1:
        notes.append(
            "Only one tile gives the scale: lay more of them, far apart, to be sure of areas."
        )
    return tuple(notes)
