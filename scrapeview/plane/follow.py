"""Picks carried over from the last photograph of a face where the camera hardly moved."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.photo import Photo

LONG_SIDE_PX = 1200
"""Both photographs are compared at this size."""
PATCH = 0.05
FARTHEST = 0.03
"""Half of a patch's side and how far it may have moved, as shares of the photo's diagonal."""
LEAST_SCORE = 0.55
MOST_DISAGREEMENT = 0.002
"""Picks move together: what a shift with turn and scale leaves, as a share of the diagonal."""

Edges = NDArray[np.float32]
Places = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Followed:
    """Picks found again.

    Parameters
    ----------
    corners_px : (N, 2) float array
        In full-size pixels of the new photograph.
    moved_px : float
        Farthest move of a pick, full-size pixels.
    score : float
        Least normalized cross-correlation of the patches round the picks, 0.55-1.
    """

    corners_px: Places
    moved_px: float
    score: float


def follow_corners(previous: Photo, now: Photo, corners_px: ArrayLike) -> Followed | None:
    """Find picks of the last photograph again in a new one, if the picture hardly moved.

    The picture's edges in a patch round each pick are looked for near their old place by
    normalized cross-correlation (J. P. Lewis, Fast normalized cross-correlation, 1995). What lies
    inside the picks' outline is masked out, since the print changes; the casting's edge and what
    lies round it stay.

    Parameters
    ----------
    previous, now : Photo
        Of the same full size.
    corners_px : (N, 2) array_like, N >= 2
        In full-size pixels of `previous`.

    Returns
    -------
    Followed or None
        None where the sizes differ, a pick is not found again or the picks do not move together.
    """
    if previous.full_size_px != now.full_size_px:
        return None
    picks = np.asarray(corners_px, dtype=float).reshape(-1, 2)
    scale = min(1.0, LONG_SIDE_PX / max(now.full_size_px))
    before, after = _edges(previous, scale), _edges(now, scale)
    small = (picks + 0.5) * scale - 0.5
    steady = _outside(small, before.shape)
    found = [_found_again(before, after, steady, place) for place in small]
    matches = np.array([match for match in found if match is not None]).reshape(-1, 3)
    if len(matches) < len(picks):
        return None
    places = matches[:, :2]
    if _disagreement(small, places) > MOST_DISAGREEMENT * float(np.hypot(*before.shape)):
        return None
    moved = float(np.linalg.norm(places - small, axis=1).max() / scale)
    return Followed((places + 0.5) / scale - 0.5, moved, float(matches[:, 2].min()))


def _edges(photo: Photo, scale: float) -> Edges:
    width, height = (max(1, round(side * scale)) for side in photo.full_size_px)
    small = cv2.resize(photo.rgb, (width, height), interpolation=cv2.INTER_AREA)
    # in the logarithm an edge is as strong in dim light as in bright
    soft = cv2.GaussianBlur(np.log(small.astype(np.float32) + 8), (0, 0), 1.5)
    across, down = cv2.Scharr(soft, -1, 1, 0), cv2.Scharr(soft, -1, 0, 1)
    # coloured film hides in its own channel; where metal ends shows in all of them
    return np.asarray(np.hypot(across, down).min(axis=2), np.float32)


def _outside(picks: Places, shape: tuple[int, ...]) -> NDArray[np.float32]:
    """1 round the picks' outline and on it, 0 inside."""
    steady = np.ones(shape, dtype=np.float32)
    if len(picks) > 2:
        hull = np.rint(cv2.convexHull(picks.astype(np.float32))).astype(np.int32)
        cv2.fillPoly(steady, [hull], 0)
        steady = np.asarray(cv2.dilate(steady, np.ones((5, 5), np.uint8)), np.float32)
    return steady


def _found_again(
    before: Edges, after: Edges, steady: NDArray[np.float32], place: Places
) -> tuple[float, float, float] | None:
    """Where a pick lies now, x and y, and how well its patch matches there."""
    height, width = before.shape
    diagonal = np.hypot(height, width)
    half, reach = round(PATCH * diagonal), round(FARTHEST * diagonal)
    x, y = (int(v) for v in np.rint(place))
    left, right = max(0, x - half), min(width, x + half + 1)
    top, bottom = max(0, y - half), min(height, y + half + 1)
    if right - left < half or bottom - top < half:
        return None
    first_x, first_y = max(0, left - reach), max(0, top - reach)
    searched = after[first_y : min(height, bottom + reach), first_x : min(width, right + reach)]
    patch, mask = before[top:bottom, left:right], steady[top:bottom, left:right]
    scores = np.asarray(cv2.matchTemplate(searched, patch, cv2.TM_CCOEFF_NORMED, mask=mask))
    row, column = (int(v) for v in np.unravel_index(int(scores.argmax()), scores.shape))
    if not (0 < row < scores.shape[0] - 1 and 0 < column < scores.shape[1] - 1):
        return None
    if not scores[row, column] >= LEAST_SCORE:
        return None
    fine_x = first_x + column + _summit(*scores[row, column - 1 : column + 2])
    fine_y = first_y + row + _summit(*scores[row - 1 : row + 2, column])
    return place[0] + fine_x - left, place[1] + fine_y - top, float(scores[row, column])


def _summit(low: float, middle: float, high: float) -> float:
    """Offset of the summit of the parabola through three neighbours."""
    bend = low - 2 * middle + high
    return float(0.5 * (low - high) / bend) if bend < 0 else 0.0


def _disagreement(before: Places, after: Places) -> float:
    """Farthest a pick lies from where shift, turn and scale fitted to all picks put it."""
    old, new = (picks @ (1, 1j) for picks in (before, after))
    old, new = old - old.mean(), new - new.mean()
    turned = (old.conj() @ new) / (np.abs(old) ** 2).sum()
    return float(np.abs(old * turned - new).max())
