"""A solved plane turned so that a long face lies along x and the photographs' up stays up."""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined.map_grid import shown_by
from scrapeview.plane.joined.solved import SolvedPhotos
from scrapeview.plane.projective import apply_homography

_FEWEST_TILES = 6
_LONG = 2.5
"""A face this many times longer than wide has a direction of its own."""


def upright(solved: SolvedPhotos) -> SolvedPhotos:
    """Return the same solution with its plane turned.

    Tiles know of no face: the plane they span may lie turned anyhow. A long face is laid along x,
    by its tiles where there are enough, else by what the photographs show; any other is turned as
    the photographs were held. Of the two ways a long face can lie, the one nearer to how the
    photographs were held is taken; held across, their foot comes to the right. The origin is the
    corner of the upright rectangle round all tiles, or round all that is shown.

    Parameters
    ----------
    solved : SolvedPhotos
    """
    held = _held(solved)
    along = _long_direction(solved)
    turn = held if along is None else _nearest(along, held)
    cos, sin = math.cos(turn), math.sin(turn)
    turned = _moved(solved, np.array([[cos, sin, 0], [-sin, cos, 0], [0, 0, 1.0]]))
    x, y = _places(turned).min(axis=0)
    return _moved(turned, np.array([[1, 0, -x], [0, 1, -y], [0, 0, 1.0]]))


def _moved(solved: SolvedPhotos, to_new: NDArray[np.float64]) -> SolvedPhotos:
    """Return the same solution, its plane named anew by a rigid change."""
    to_old = np.linalg.inv(to_new)
    return replace(
        solved,
        mm_to_px=tuple(homography @ to_old for homography in solved.mm_to_px),
        tiles_mm={
            number: apply_homography(to_new, corners) for number, corners in solved.tiles_mm.items()
        },
        set_aside_mm=tuple(
            (number, apply_homography(to_new, corners)) for number, corners in solved.set_aside_mm
        ),
    )


def _places(solved: SolvedPhotos) -> NDArray[np.float64]:
    """Corners of all tiles; all that is shown where there are none."""
    if solved.tiles_mm:
        return np.concatenate(list(solved.tiles_mm.values()))
    return np.concatenate([shown_by(solved, n)[0] for n in range(len(solved.mm_to_px))])


def _held(solved: SolvedPhotos) -> float:
    """Direction on the plane, radians, of the photographs' right, typical of them all."""
    steps = []
    for photo, (width, height) in enumerate(solved.photo_sizes_px):
        y = height / 2
        ends = solved.to_mm(photo, [(3 * width / 8, y), (5 * width / 8, y)])
        steps.append((ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0]))
    x, y = np.sum(steps, axis=0)
    return math.atan2(y, x)


def _long_direction(solved: SolvedPhotos) -> float | None:
    """Direction, radians, of the longer side of what is shown; None where it is no longer."""
    shown = np.concatenate([shown_by(solved, n)[0] for n in range(len(solved.mm_to_px))])
    tiles = np.array([corners.mean(axis=0) for corners in solved.tiles_mm.values()])
    found = _direction(tiles) if len(tiles) >= _FEWEST_TILES else None
    return _direction(shown) if found is None else found


def _direction(places: NDArray[np.float64]) -> float | None:
    _, lengths, axes = np.linalg.svd(places - places.mean(axis=0), full_matrices=False)
    if lengths[0] < _LONG * lengths[1]:
        return None
    return math.atan2(axes[0, 1], axes[0, 0])


def _nearest(along: float, held: float) -> float:
    slightly_down = held + 0.01
    return along if math.cos(along - slightly_down) >= 0 else along + math.pi
