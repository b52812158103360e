"""Photographs of tiles on one plane, solved together: where each photo looks, where tiles lie."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError
from scrapeview.plane.cards import PaperScale, Tiles
from scrapeview.plane.joined.bundle_errors import errors_of
from scrapeview.plane.joined.bundle_fit import Fit, adjust
from scrapeview.plane.joined.bundle_frame import natural_frame
from scrapeview.plane.joined.bundle_guess import first_guess
from scrapeview.plane.joined.bundle_problem import Problem
from scrapeview.plane.joined.bundle_start import square_corners
from scrapeview.plane.joined.graph import WeakJoint, photos_apart, shared_tiles, weak_joints
from scrapeview.plane.joined.sightings import (
    Marker,
    Sightings,
    gather,
    photos_text,
    shown_twice,
    tile_text,
    to_pixels,
    without,
)
from scrapeview.plane.joined.solved import Lens, SolvedPhotos

Floats = NDArray[np.float64]
_DOUBLED = 2
"""So many numbers may lie there twice by mistake; ours, no source."""
_NAMED = 5


def solve_by_tiles(
    found: Sequence[Sequence[Marker]],
    photo_sizes_px: Sequence[tuple[int, int]],
    *,
    tiles: Tiles | None = None,
    paper: PaperScale = PaperScale(),  # noqa: B008
    lens: bool = True,
) -> SolvedPhotos:
    """Solve photographs of one plane together by the tiles that lie on it.

    Each tile has a known size and lies anywhere; where it lies, how each photograph looks at the
    plane, and how the lens distorts are found together by robust least squares (planar bundle
    adjustment). What does not fit is left out and told: corners that something hides, tiles that
    stand proud, bend or were printed at another scale, tiles whose number lies there twice.

    Parameters
    ----------
    found : sequence of sequences of Marker
        Markers found in each photograph; those that are no tiles are passed over.
    photo_sizes_px : sequence of (int, int)
        Width and height of each photograph at full size. Photographs of one size, upright or
        turned, are taken to be made with one lens.
    tiles : Tiles, optional
        Tiles that differ from the usual ones of `TILES`, which are known anyhow.
    paper : PaperScale
        How long a millimetre of the drawing is on the paper.
    lens : bool
        Whether the lens's distortion is estimated. Where the tiles say little of it, it stays
        near 0, and its uncertainty is in the errors.

    Returns
    -------
    SolvedPhotos
        x along the row of tiles, to the right as the first photograph is held; y down; the
        origin at the corner of the rectangle round all markers.

    Raises
    ------
    PlaneError
        Where a photograph shows no tile, shares none with the others, or fits them nowhere, or
        where the photographs are mirrored.
    """
    given = gather(found, photo_sizes_px, tiles, paper)
    doubled = shown_twice(given)
    _require_few(doubled, given)
    seen = without(given, doubled)
    lens_of_photo = _lens_of_photo(seen)
    problem, start, twice = first_guess(seen, lens_of_photo, lens)
    if twice:
        doubled |= twice
        _require_few(doubled, given)
        seen = without(seen, twice)
        problem, start, _ = first_guess(seen, lens_of_photo, lens)
    fit = adjust(problem, start, seen.weight)
    used = fit.problem.sightings
    _require_agreement(seen, used)
    joints = weak_joints(used, given)
    _require_uncontradicted(joints)
    solved = _solved(fit, seen, paper)
    return replace(
        solved, lying_twice=tuple(sorted(doubled)), set_aside_mm=_set_aside_mm(solved, given),
        by_one_tile=tuple((joint.first, joint.second) for joint in joints),
    )  # fmt: skip


def _lens_of_photo(sightings: Sightings) -> NDArray[np.intp]:
    sizes = np.sort(sightings.photo_sizes_px, axis=1)
    return np.unique(sizes, axis=0, return_inverse=True)[1].ravel()


def _require_few(twice: set[int], seen: Sightings) -> None:
    """Refuse tiles most of which lie there twice, or elsewhere in every photograph."""
    shared = int((np.bincount(seen.tile) > 1).sum())
    if len(twice) > max(_DOUBLED, shared / 3):
        names = ", ".join(tile_text(number) for number in sorted(twice)[:_NAMED])
        raise PlaneError(
            f"Too many tiles lie in one place in one photo and elsewhere in another ({names}"
            f"{' and others' if len(twice) > _NAMED else ''}): lay each number only once, and do "
            "not move tiles between photographs."
        )


def _require_agreement(seen: Sightings, used: Sightings) -> None:
    """Refuse photographs that agree with the others on too few tiles to say where they look."""
    given, kept = shared_tiles(seen), shared_tiles(used)
    few = (given > 2) & (2 * kept <= given)
    apart = photos_apart((kept > 0) & ~few)
    if apart:
        raise PlaneError(
            f"{photos_text(apart)} cannot be placed: the tiles lie otherwise there than in the "
            "other photos. Photograph the face again without moving a tile, or leave it out."
        )


def _require_uncontradicted(joints: tuple[WeakJoint, ...]) -> None:
    """Refuse photographs that hang together by one tile which another one contradicts.

    Which of the two lies is anybody's guess, and the wrong one folds the face.
    """
    for joint in joints:
        if joint.is_contradicted:
            raise PlaneError(
                f"{photos_text([joint.first, joint.second])} hang together by one tile only, and "
                "another one contradicts it: see that no number lies there twice, and photograph "
                "the face so that each photo shows three tiles of the next."
            )


def _solved(fit: Fit, seen: Sightings, paper: PaperScale) -> SolvedPhotos:
    problem = fit.problem
    used, unknowns = problem.sightings, problem.unpacked(fit.x)
    to_px = _to_px(problem, unknowns.homographies)
    motion = natural_frame(unknowns.poses, used.sides_mm, to_px[0])
    tiles_mm = square_corners(unknowns.poses, used.sides_mm) @ motion[:2, :2].T + motion[:2, 2]
    place_error, scale_error = errors_of(fit)
    lenses = [Lens(*each) for each in unknowns.lenses.tolist()] or [Lens()]
    solved = SolvedPhotos(
        mm_to_px=tuple(matrix @ np.linalg.inv(motion) for matrix in to_px),
        photo_sizes_px=tuple((int(w), int(h)) for w, h in used.photo_sizes_px.tolist()),
        lens=lenses[0],
        tiles_mm={int(i): corners for i, corners in zip(used.ids, tiles_mm, strict=True)},
        position_error_mm=place_error,
        scale_error=float(np.hypot(scale_error, paper.error)),
        left_out=_left_out(seen, used),
        lenses=tuple(lenses[i] for i in problem.lens_of_photo) if len(lenses) > 1 else (),
    )
    return _with_residuals(solved, used)


def _to_px(problem: Problem, homographies: Floats) -> Floats:
    """Return homographies (P, 3, 3) from the adjustment's mm to full-size pixels."""
    return np.asarray(to_pixels(problem.sightings) @ homographies @ problem.reduce())


def _left_out(seen: Sightings, used: Sightings) -> tuple[tuple[int, int], ...]:
    kept, given = (
        set(zip(rows.photo.tolist(), rows.ids[rows.tile].tolist(), strict=True))
        for rows in (used, seen)
    )
    return tuple(sorted(given - kept))


def _set_aside_mm(solved: SolvedPhotos, given: Sightings) -> tuple[tuple[int, Floats], ...]:
    rows = zip(given.photo.tolist(), given.ids[given.tile].tolist(), given.corners_px, strict=True)
    return tuple(
        (number, solved.to_mm(photo, corners))
        for photo, number, corners in rows
        if number not in solved.tiles_mm
    )


def _with_residuals(solved: SolvedPhotos, used: Sightings) -> SolvedPhotos:
    squares = []
    for photo in range(used.photo_count):
        rows = used.photo == photo
        lies = np.array([solved.tiles_mm[int(i)] for i in used.ids[used.tile[rows]]])
        off = solved.to_mm(photo, used.corners_px[rows].reshape(-1, 2)) - lies.reshape(-1, 2)
        squares.append((off**2).sum(axis=1)[used.weight[rows].ravel() > 0])
    return replace(
        solved,
        residual_mm=float(np.sqrt(np.concatenate(squares).mean())),
        photo_residuals_mm=tuple(float(np.sqrt(each.mean())) for each in squares),
    )
