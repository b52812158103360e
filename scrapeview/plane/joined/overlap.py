"""Photographs of one face laid on each other by its print alone, without tiles."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError
from scrapeview.photo import Photo
from scrapeview.plane.joined.overlap_cameras import Cameras, through
from scrapeview.plane.joined.overlap_errors import errors_of
from scrapeview.plane.joined.overlap_fit import FOCAL, Picks, Problem, fitted, gathered
from scrapeview.plane.joined.overlap_links import (
    first_similarities,
    linked_pairs,
    require_all_linked,
    similarity_to,
)
from scrapeview.plane.joined.overlap_looks import look_at
from scrapeview.plane.joined.overlap_pairs import Pair
from scrapeview.plane.joined.solved import Lens, SolvedPhotos

Floats = NDArray[np.float64]
_START_MM = 0.5
_PAST_FACE_MM = 3.0
"""What lies farther past the face may lie in another plane."""
_LEAST_ON_FACE = 20
_MOST_OFF_MM = 0.4
"""Residual from which points on seams would be counted twice or not at all; ours, no source."""
_MOST_OFF_CORNER_MM = 1.2
"""Three times what a corner is picked to."""
_LEAST_KEPT = 0.5
"""Share of what two photographs share that must fit all the others."""


def solve_by_print(
    photos: Sequence[Photo],
    *,
    corners: Sequence[tuple[int, float, float]],
    size_mm: Sequence[float],
    progress: Callable[[float, str], None] | None = None,
) -> SolvedPhotos:
    """Lay photographs of one face on each other by the print they share.

    Features of the print are matched from photograph to photograph, homographies that keep no
    more than chance would are passed over, and all cameras are then solved together with the
    face's corners.

    Parameters
    ----------
    photos : sequence of Photo
        In their rough order along the face; each shows a good part of the one before.
    corners : sequence of (photograph from 0, x px, y px)
        The face's four corners, clockwise from its top left, each at full size in whichever
        photograph shows it.
    size_mm : (float, float)
        Width and height of the face.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Returns
    -------
    SolvedPhotos
        Its plane has the face's top left corner as origin, x along its top edge.

    Raises
    ------
    PlaneError
        Where photographs share too little, fit in more than one place, or contradict each other,
        or the corners do not fit the size.
    """
    _require_picks(photos, corners, size_mm)
    told = progress or _silent
    looks = []
    for number, photo in enumerate(photos):
        told(0.7 * number / len(photos), f"looking at the print in photo {number + 1}")
        looks.append(look_at(photo))
    told(0.7, "comparing the photographs")
    pairs = linked_pairs(looks)
    told(0.9, "laying all photographs on each other")
    sizes = np.array([photo.full_size_px for photo in photos], dtype=float)
    picks = _picks(corners, sizes, size_mm)
    start, mm_per_half = _start(pairs, picks, len(photos))
    problem = Problem(gathered(pairs), picks, mm_per_half, _START_MM)
    problem, cameras = fitted(problem, start)
    _require_corners(problem, cameras, size_mm)
    pairs = _on_face(pairs, cameras, size_mm)
    require_all_linked(len(photos), pairs)
    problem = replace(problem, shared=gathered(pairs), mm_per_half=_mm_per_half(cameras))
    problem, cameras = fitted(problem, cameras)
    _require_corners(problem, cameras, size_mm)
    _require_fit(problem, cameras, pairs)
    return _solved(problem, cameras, sizes)


def _require_picks(
    photos: Sequence[Photo],
    corners: Sequence[tuple[int, float, float]],
    size_mm: Sequence[float],
) -> None:
    if len(photos) < 2:
        raise PlaneError("Photographs are laid on each other from two on: give more than one.")
    if len(corners) != 4:
        raise PlaneError(
            f"The face has four corners, clockwise from its top left; {len(corners)} were picked."
        )
    if len(size_mm) != 2 or not all(np.isfinite(side) and side > 0 for side in size_mm):
        raise PlaneError("The face's size is its width and its height, in mm, both above 0.")
    for number, (photo, x, y) in enumerate(corners, start=1):
        if not 0 <= photo < len(photos):
            raise PlaneError(f"Corner {number} was picked in a photo that was not given.")
        width, height = photos[photo].full_size_px
        if not (-1 <= x <= width and -1 <= y <= height):
            raise PlaneError(f"Corner {number} lies outside photo {photo + 1}: pick it again.")


def _picks(
    corners: Sequence[tuple[int, float, float]], sizes: Floats, size_mm: Sequence[float]
) -> Picks:
    photo = np.array([corner[0] for corner in corners], dtype=np.intp)
    at_px = np.array([corner[1:] for corner in corners], dtype=float)
    seen = (at_px - (sizes[photo] - 1) / 2) / _halves(sizes)[photo, None]
    width, height = (float(side) for side in size_mm)
    return Picks(photo, seen, np.array([(0, 0), (width, 0), (width, height), (0, height)]))


def _halves(sizes: Floats) -> Floats:
    return np.asarray(np.hypot(*sizes.T) / 2)


def _start(pairs: list[Pair], picks: Picks, count: int) -> tuple[Cameras, Floats]:
    """Return cameras that look straight down, placed by similarities, and their mm per half."""
    places = first_similarities(count, pairs)
    found = through(places[picks.photo], picks.seen)
    _require_clockwise(found)
    places = similarity_to(found, picks.at_mm) @ places
    mm_per_half = np.hypot(places[:, 0, 0], places[:, 1, 0])
    own = np.zeros((count, 7))
    own[:, :2] = places[:, :2, 2]
    own[:, 2] = -np.log(mm_per_half)
    own[:, 3] = -np.arctan2(places[:, 1, 0], places[:, 0, 0])
    return Cameras(own, np.array([np.log(FOCAL), 0.0])), mm_per_half


def _require_clockwise(corners: Floats) -> None:
    x, y = corners.T
    if float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) <= 0:
        raise PlaneError(
            "The corners do not run clockwise from the face's top left: pick them in that order."
        )


def _mm_per_half(cameras: Cameras) -> Floats:
    return np.asarray(np.exp(-cameras.own[:, 2]))


def _on_face(pairs: list[Pair], cameras: Cameras, size_mm: Sequence[float]) -> list[Pair]:
    """Return the pairs with what they share on the face; what lies about may lie deeper."""
    back = np.linalg.inv(cameras.homographies())
    kept = []
    for pair in pairs:
        each = np.tile(back[pair.first], (len(pair.here), 1, 1))
        places = through(each, cameras.ideal(pair.here))
        low, high = -_PAST_FACE_MM, np.array(size_mm, dtype=float) + _PAST_FACE_MM
        on = ((places > low) & (places < high)).all(axis=1)
        if on.sum() >= _LEAST_ON_FACE:
            kept.append(replace(pair, here=pair.here[on], there=pair.there[on]))
    return kept


def _require_corners(problem: Problem, cameras: Cameras, size_mm: Sequence[float]) -> None:
    corners = np.hypot(*problem.corner_errors_mm(cameras).T)
    if not corners.max() <= _MOST_OFF_CORNER_MM:
        photo = int(problem.picks.photo[corners.argmax()]) + 1
        raise PlaneError(
            f"The corners do not fit a face of {size_mm[0]:g} x {size_mm[1]:g} mm: the one in "
            f"photo {photo} is {corners.max():.1f} mm off. Check the size, and that the corners "
            "were picked clockwise from the face's top left."
        )


def _require_fit(problem: Problem, cameras: Cameras, pairs: list[Pair]) -> None:
    for pair in pairs:
        off = np.hypot(*problem.of(gathered([pair])).errors_mm(cameras).T)
        if np.median(off) > _MOST_OFF_MM or (off < 3 * _MOST_OFF_MM).mean() < _LEAST_KEPT:
            raise PlaneError(
                f"Photos {pair.first + 1} and {pair.second + 1} do not fit with the others: the "
                f"print lies {np.median(off):.1f} mm off between them. Leave one of them out, or "
                "photograph the face again."
            )
    if not problem.noise_mm <= _MOST_OFF_MM:
        raise PlaneError(
            f"The photographs fit each other only to {problem.noise_mm:.1f} mm, too badly to read "
            "points on them: photograph the face again from a steadier distance, or lay tiles."
        )


def _solved(problem: Problem, cameras: Cameras, sizes: Floats) -> SolvedPhotos:
    halves, middles = _halves(sizes), (sizes - 1) / 2
    to_px = np.zeros((len(sizes), 3, 3))
    to_px[:, 0, 0] = to_px[:, 1, 1] = halves
    to_px[:, :2, 2], to_px[:, 2, 2] = middles, 1
    homographies = to_px @ cameras.homographies()
    # of two photographs that see a place, either errs by its share of what lies between them
    off = np.hypot(*problem.errors_mm(cameras).T) / np.sqrt(2)
    shared = problem.shared
    position_error_mm, scale_error = errors_of(problem, cameras)
    return SolvedPhotos(
        mm_to_px=tuple(each / each[2, 2] for each in homographies),
        photo_sizes_px=tuple((int(width), int(height)) for width, height in sizes),
        lens=Lens(float(cameras.shared[1])),
        residual_mm=_rms(off),
        photo_residuals_mm=tuple(
            _rms(off[(shared.first == photo) | (shared.second == photo)])
            for photo in range(len(sizes))
        ),
        position_error_mm=position_error_mm,
        scale_error=scale_error,
    )


def _rms(values: Floats) -> float:
    return float(np.sqrt((values**2).mean())) if len(values) else 0.0


def _silent(share: float, what: str) -> None:
    """Tell nobody."""
