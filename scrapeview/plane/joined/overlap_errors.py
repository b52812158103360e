"""How well photographs laid on each other by the print know their places and lengths."""

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined.overlap_cameras import OWN, Cameras, through, unpacked
from scrapeview.plane.joined.overlap_fit import Problem

Floats = NDArray[np.float64]
_ALIKE = 2.0
"""Features beside each other err alike, and lenses by more than k1: errors times this; ours."""
_USED = 0.5
"""Share of the way from a photograph's middle to its rim at which its errors are told."""
_STEP = 1e-5


def errors_of(problem: Problem, cameras: Cameras) -> tuple[float, float]:
    """Return the standard error of a place on the outer photographs, mm, and of lengths, relative.

    Parameters
    ----------
    problem, cameras
        As fitted. The corners' picks are part of it.
    """
    packed = cameras.packed
    rows = problem.jacobian(packed)
    features = 2 * len(problem.shared.first)
    rows[:features] /= _ALIKE
    spread = np.asarray(np.linalg.pinv(rows.T @ rows, hermitian=True), dtype=float)
    places = [_place_variance_mm2(packed, spread, photo) for photo in _outer(cameras)]
    scales = np.diag(spread)[2 : OWN * len(cameras.own) : OWN]
    return float(np.sqrt(np.mean(places))), float(np.sqrt(scales.mean()))


def _outer(cameras: Cameras) -> tuple[int, int]:
    """Return the two photographs that lie farthest from the middle of all, either way."""
    at = cameras.own[:, :2] - cameras.own[:, :2].mean(axis=0)
    first = int(np.hypot(*at.T).argmax())
    return first, int(np.hypot(*(at - at[first]).T).argmax())


def _place_variance_mm2(packed: Floats, spread: Floats, photo: int) -> float:
    """Return the mean variance of where on the plane a photograph has what it shows."""
    corners = _USED * np.array([(-0.8, -0.6), (0.8, -0.6), (0.8, 0.6), (-0.8, 0.6)])
    still = _places_mm(packed, photo, corners)
    columns = [*range(photo * OWN, (photo + 1) * OWN), len(packed) - 2, len(packed) - 1]
    by_all = np.zeros((*still.shape, len(columns)))
    for n, column in enumerate(columns):
        moved = packed.copy()
        moved[column] += _STEP
        by_all[:, :, n] = (_places_mm(moved, photo, corners) - still) / _STEP
    part = spread[np.ix_(columns, columns)]
    return float(np.einsum("nij,jk,nik->n", by_all, part, by_all).mean())


def _places_mm(packed: Floats, photo: int, seen: Floats) -> Floats:
    cameras = unpacked(packed)
    back = np.linalg.inv(cameras.homographies()[photo])
    return through(np.tile(back, (len(seen), 1, 1)), cameras.ideal(seen))
