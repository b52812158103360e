"""From several photographs of one face to one map of it: the whole way, top to bottom."""

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from itertools import repeat
from pathlib import Path
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PhotoError, PlaneError
from scrapeview.film.glare import washed_out_mask
from scrapeview.photo import Photo, load_photo
from scrapeview.plane import Plane
from scrapeview.plane.cards import PaperScale, Tiles
from scrapeview.plane.corners import rectangle
from scrapeview.plane.joined.best_view import best_labels, candidate
from scrapeview.plane.joined.bundle import solve_by_tiles
from scrapeview.plane.joined.composed import map_picture
from scrapeview.plane.joined.gaps import (
    gaps_table,
    hidden_by_gaps,
    hidden_by_tiles,
    washed_out_cells,
)
from scrapeview.plane.joined.joined import Joined, joined_from_dict
from scrapeview.plane.joined.levelling import level_photos
from scrapeview.plane.joined.levels import levelled
from scrapeview.plane.joined.map_grid import MapGrid, grid_for, reduction_for
from scrapeview.plane.joined.map_sources import (
    MapSource,
    notes_on,
    require_colour_alike,
    sources_table,
)
from scrapeview.plane.joined.overlap import solve_by_print
from scrapeview.plane.joined.seam_cut import cut_seams
from scrapeview.plane.joined.seams import seams_table
from scrapeview.plane.joined.solved import SolvedPhotos
from scrapeview.plane.joined.upright import upright
from scrapeview.plane.joined.warped import warp_photo
from scrapeview.plane.markers import FoundMarker, find_markers
from scrapeview.plane.tiles_found import kinds_of

__all__ = ["Joined", "join_photos", "joined_from_dict", "map_from"]

Source = str | os.PathLike[str] | bytes | NDArray[np.uint8]
Progress = Callable[[float, str], None]
"""Told the share of the work done, 0 to 1, and what is being done."""
_Made = TypeVar("_Made")
_AT_ONCE = 2
"""Photographs that are in memory whole at one time."""
_REDUCED = 2
"""Photographs are laid on each other by their print at this reduction."""


def join_photos(
    photos: Sequence[Source],
    *,
    names: Sequence[str] | None = None,
    tiles: Tiles | str | None = None,
    paper: PaperScale = PaperScale(),  # noqa: B008 a frozen record
    corners: Sequence[tuple[int, float, float]] | None = None,
    size_mm: Sequence[float] | None = None,
    px_per_mm: float = 5.0,
    progress: Progress | None = None,
) -> Joined:
    """Join photographs of one face to one map of it.

    Parameters
    ----------
    photos : sequence of path, bytes or (H, W, 3) uint8 array
        In their rough order along the face.
    names : sequence of str, optional
        What each is called; else its file's name or its number.
    tiles : Tiles, "small" or "large", optional
        Which of the numbered tiles lie on the face; whichever are found, where not said.
    paper : PaperScale
        How long the tiles' paper makes a millimetre.
    corners : sequence of (photograph from 0, x px, y px), optional
        The face's four corners, clockwise from its top left. With them and `size_mm` no tiles are
        needed: the photographs are laid on each other by the print.
    size_mm : (float, float), optional
        Width and height of the face.
    px_per_mm : float
        Scale wished for; the map is never finer than the coarser photographs hold.
    progress : callable, optional
        Told the share done and what is being done.

    Returns
    -------
    Joined
        Its `picture` is read with its `plane` like any photograph.

    Raises
    ------
    PhotoError, PlaneError, SettingsError
        Each with a plain sentence that says what is wrong and what to do.
    """
    called = _names(photos, names)
    told = progress or _silent
    if corners is None:
        solved = _solved_by_tiles(photos, called, tiles, paper, told)
        face_mm = None
    else:
        solved = _solved_by_print(photos, called, corners, size_mm, told)
        face_mm = rectangle((float(size_mm[0]), float(size_mm[1]))) if size_mm else None
    return map_from(
        photos, solved, names=called, face_mm=face_mm, px_per_mm=px_per_mm, progress=told
    )


def map_from(
    photos: Sequence[Source],
    solved: SolvedPhotos,
    *,
    names: Sequence[str] | None = None,
    face_mm: NDArray[np.float64] | None = None,
    px_per_mm: float = 5.0,
    progress: Progress | None = None,
) -> Joined:
    """Make the map of photographs whose place on the plane is known.

    Parameters
    ----------
    photos, names, px_per_mm, progress
        As for `join_photos`.
    solved : SolvedPhotos
        Where each lies.
    face_mm : (4, 2) float array, optional
        The face's corners on the plane, clockwise from its top left, where they are known: the map
        reaches a little past it, gaps are listed inside it only, and its plane has it placed.
    """
    called = _names(photos, names)
    told = progress or _silent
    grid = grid_for(solved, px_per_mm, face_mm)
    sources = _laid(photos, called, solved, grid, told)
    require_colour_alike(sources)
    warped = [source.warped for source in sources]
    with ThreadPoolExecutor(_AT_ONCE) as pool:
        told(0.75, "levelling light and contrast")
        washed_out = [washed_out_mask(each.rgb, grid.px_per_mm) for each in warped]
        levels = level_photos(warped, washed_out, grid.cell_px)
        numbers = range(len(warped))
        pictures = list(pool.map(levelled, warped, numbers, repeat(levels), washed_out))
        told(0.85, "choosing the best view of every spot")
        views = list(pool.map(candidate, warped, pictures, washed_out, repeat(grid)))
        labels = cut_seams(best_labels(views, grid.cells), views, grid.cell_mm)
        missing = washed_out_cells(labels, views)
        told(0.92, "comparing the photographs along the seams")
        picture = pool.submit(map_picture, warped, pictures, labels, grid)
        seams = seams_table(labels, warped, pictures, grid)
        gaps = gaps_table(labels, missing, grid, face_mm)
        listed = sources_table(sources, solved, labels, levels, grid)
    told(1.0, "the map is made")
    lying = (*solved.tiles_mm.items(), *solved.set_aside_mm)
    hidden_mm = (*hidden_by_tiles(lying), *hidden_by_gaps(labels, missing, grid))
    return Joined(
        picture=picture.result(),
        plane=_plane(solved, grid, hidden_mm, face_mm),
        solved=solved,
        seams=seams,
        gaps=gaps,
        photos=listed,
        slopes=levels.slopes_told(),
        notes=notes_on(sources, solved, seams),
        px_per_mm=grid.px_per_mm,
    )


def _plane(
    solved: SolvedPhotos,
    grid: MapGrid,
    hidden_mm: Sequence[NDArray[np.float64]],
    face_mm: NDArray[np.float64] | None,
) -> Plane:
    plane = Plane.from_map(
        grid.px_per_mm,
        grid.origin_mm,
        hidden_mm=hidden_mm,
        residual_mm=solved.residual_mm,
        position_error_mm=solved.position_error_mm,
        scale_error=solved.scale_error,
    )
    if face_mm is None:
        return plane
    width, height = face_mm.max(axis=0) - face_mm.min(axis=0)
    return plane.placed(grid.to_px(face_mm), (float(width), float(height)))


def _solved_by_tiles(
    photos: Sequence[Source],
    names: Sequence[str],
    tiles: Tiles | str | None,
    paper: PaperScale,
    told: Progress,
) -> SolvedPhotos:
    kinds = kinds_of(tiles)

    def markers(source: Source, name: str) -> tuple[tuple[FoundMarker, ...], tuple[int, int]]:
        photo = _load(source, name)
        seen = find_markers(photo)
        # tiles of the other kind may lie about
        asked = tuple(m for m in seen if any(m.id in kind.ids for kind in kinds))
        return asked, photo.full_size_px

    found = list(_one_by_one(markers, photos, names, told, (0.0, 0.35), "looking for tiles in"))
    told(0.35, "finding where each photograph lies")
    solved = solve_by_tiles([f for f, _ in found], [s for _, s in found], paper=paper)
    return upright(solved)


def _solved_by_print(
    photos: Sequence[Source],
    names: Sequence[str],
    corners: Sequence[tuple[int, float, float]],
    size_mm: Sequence[float] | None,
    told: Progress,
) -> SolvedPhotos:
    if size_mm is None:
        raise PlaneError("The face's corners need its size beside them: its width and height.")
    load = partial(_load, reduction=_REDUCED)
    small = list(_one_by_one(load, photos, names, told, (0.0, 0.1), "opening"))
    return solve_by_print(
        small, corners=corners, size_mm=size_mm,
        progress=lambda share, what: told(0.1 + 0.3 * share, what),
    )  # fmt: skip


def _laid(
    photos: Sequence[Source],
    names: Sequence[str],
    solved: SolvedPhotos,
    grid: MapGrid,
    told: Progress,
) -> list[MapSource]:
    if len(photos) != len(solved.mm_to_px):
        raise PlaneError(
            f"{len(photos)} photographs cannot be laid where {len(solved.mm_to_px)} were solved."
        )
    numbers = iter(range(len(photos)))

    def lay(source: Source, name: str, number: int) -> MapSource:
        photo = _load(source, name, reduction=reduction_for(solved, number, grid.px_per_mm))
        warped = warp_photo(photo, number, solved, grid)
        return MapSource(name, photo.sha256, photo.notes, warped)

    return list(_one_by_one(lay, photos, names, told, (0.4, 0.75), "laying out", numbers))


def _one_by_one(
    work: Callable[..., _Made],
    photos: Sequence[Source],
    names: Sequence[str],
    told: Progress,
    part: tuple[float, float],
    what: str,
    *more: Iterable[int],
) -> Iterator[_Made]:
    """Do the same to each photograph, a few at once, and tell how far it has come."""
    begin, end = part
    with ThreadPoolExecutor(_AT_ONCE) as pool:
        waiting = pool.map(work, photos, names, *more)
        for number, name in enumerate(names):
            told(begin + (end - begin) * number / len(names), f"{what} {name}")
            yield next(waiting)


def _load(source: Source, name: str, reduction: int = 1) -> Photo:
    try:
        return load_photo(source, reduction=reduction)
    except PhotoError as error:
        # a file's own name is in the sentence already
        raise PhotoError(str(error).replace("The photograph", f"'{name}'", 1)) from None


def _names(photos: Sequence[Source], names: Sequence[str] | None) -> tuple[str, ...]:
    if len(photos) == 0:
        raise PhotoError("There is no photograph to make a map of: give at least one.")
    if names is not None:
        if len(names) != len(photos):
            raise PhotoError(f"{len(names)} names cannot belong to {len(photos)} photographs.")
        return tuple(names)
    return tuple(
        Path(photo).name if isinstance(photo, (str, os.PathLike)) else f"photograph {number}"
        for number, photo in enumerate(photos, start=1)
    )


def _silent(share: float, what: str) -> None:
    """Tell nobody."""
