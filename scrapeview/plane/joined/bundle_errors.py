"""How well a planar bundle adjustment knows its places and lengths."""

import math

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from scrapeview.plane.joined.bundle_fit import Fit
from scrapeview.plane.joined.bundle_problem import bent, by_homography
from scrapeview.plane.projective import apply_homography, jacobian

Floats = NDArray[np.float64]
_OUTER = 0.9
"""From which share of the way from the middle to an end a place lies at the outer end."""
_USED = 0.6
"""Share of a photograph's width and height, about its middle, that its errors are told for."""
_TOLD_APART = 0.02
"""Least relative determinant from which noise and print are told apart; ours, no source."""
_LEAST_NOISE_PX = 0.01
_HELD = 1e3
"""Weight of what holds the tiles as a whole, against that of what was seen."""


def errors_of(fit: Fit) -> tuple[float, float]:
    """Return the standard error of a place at the outer ends, mm, and the relative one of lengths.

    Both are of the adjustment alone: that of the paper's scale comes on top.
    """
    spread = _covariance(fit)
    poses = fit.problem.unpacked(fit.x).poses
    tiles = _tile_errors_mm(fit, spread)
    photos = [_photo_errors_mm(fit, spread, photo) for photo in range(fit.problem.photo_count)]
    places = np.vstack([poses[:, :2], *(places for places, _ in photos)])
    errors = np.concatenate([tiles, *(errors for _, errors in photos)])
    from_middle = np.hypot(*(places - poses[:, :2].mean(axis=0)).T)
    outer = from_middle >= _OUTER * from_middle.max()
    return float(np.sqrt((errors[outer] ** 2).mean())), _scale_error(fit, spread)


def _covariance(fit: Fit) -> Floats:
    """Return the covariance of all unknowns, against a rigid motion of all tiles together.

    Corners miss for two reasons: anew in every photograph, and as they were printed, alike in
    all. How much of each follows from how alike the residuals of one tile are.
    """
    rows, by_print = fit.problem.jacobian(fit.x), fit.problem.by_print(fit.x)
    inverse = _free_inverse(fit, rows)
    common = inverse @ (rows.T @ by_print).toarray()
    seen, printed = _variances(fit.problem.residuals(fit.x), rows, by_print, common)
    return np.asarray(seen * inverse + printed * common @ common.T)


def _free_inverse(fit: Fit, rows: csr_array) -> Floats:
    """Return the inverse of the normal equations under inner constraints.

    Those of a free network (P. Meissl, 1969): the tiles as a whole neither shift nor turn.
    """
    tiles = fit.problem.tile_slice
    scale = np.sqrt(np.asarray(rows.multiply(rows).sum(axis=0)).ravel())
    held = np.zeros((3, len(fit.x)))
    poses = fit.problem.unpacked(fit.x).poses
    middle = poses[:, :2] - poses[:, :2].mean(axis=0)
    along, across = slice(tiles.start, tiles.stop, 3), slice(tiles.start + 1, tiles.stop, 3)
    held[0, along] = held[1, across] = 1
    held[2, along], held[2, across] = -middle[:, 1], middle[:, 0]
    held[2, tiles.start + 2 : tiles.stop : 3] = fit.problem.sightings.sides_mm**2 / 2
    held /= scale
    held *= _HELD / np.linalg.norm(held, axis=1, keepdims=True)
    normal = (rows.T @ rows).toarray() / np.outer(scale, scale) + held.T @ held
    inverse = np.linalg.pinv(normal, rcond=1e-15, hermitian=True)
    return np.asarray(inverse / np.outer(scale, scale))


def _variances(
    residuals: Floats, rows: csr_array, by_print: csr_array, common: Floats
) -> tuple[float, float]:
    """Return the variances of a corner as seen, px^2, and as printed, mm^2.

    Moments of the residuals and of their sums over each printed corner equal their expectations
    (C. R. Rao's quadratic estimation of variance components, 1971).
    """
    seen = len(residuals) - rows.shape[1] + 3
    shared = (by_print.T @ by_print).toarray() - (rows.T @ by_print).toarray().T @ common
    once = float(np.trace(shared))
    twice = float((shared**2).sum())
    alone = float(residuals @ residuals)
    summed = float(((by_print.T @ residuals) ** 2).sum())
    least = _LEAST_NOISE_PX**2
    alike = max(alone / max(seen, 1), least)
    together = seen * twice - once**2
    # where hardly a tile is seen twice the two cannot be told apart, and need not be
    if together <= _TOLD_APART * once**2:
        return alike, 0.0
    printed = (seen * summed - once * alone) / together
    if printed <= 0:
        return alike, 0.0
    return max((alone - printed * once) / seen, least), printed


def _tile_errors_mm(fit: Fit, spread: Floats) -> Floats:
    tiles = fit.problem.tile_slice
    variance = np.diag(spread)[tiles].reshape(-1, 3)[:, :2].sum(axis=1)
    return np.sqrt(variance)


def _photo_errors_mm(fit: Fit, spread: Floats, photo: int) -> tuple[Floats, Floats]:
    """Return places (9, 2), mm, all over what a photograph shows, and the errors (9,) there."""
    problem = fit.problem
    unknowns = problem.unpacked(fit.x)
    size = problem.sightings.photo_sizes_px[photo] / 2 / problem.sightings.halves[photo]
    x, y = np.meshgrid(*(_USED * half * np.linspace(-1, 1, 3) for half in size))
    ideal = np.column_stack((x.ravel(), y.ravel()))
    matrix = unknowns.homographies[photo]
    reduced = apply_homography(np.linalg.inv(matrix), ideal)
    by_all = by_homography(ideal, reduced, reduced @ matrix[2, :2] + 1)
    columns = np.arange(8 * photo, 8 * photo + 8)
    if problem.lens_count:
        # the photograph's pixel stays where it is: what the lens moves, the plane moves back
        number = int(problem.lens_of_photo[photo])
        _, by_ideal, by_lens = bent(ideal, unknowns.lenses[number])
        by_all = np.concatenate((by_all, np.linalg.solve(by_ideal, by_lens)), axis=2)
        columns = np.append(columns, problem.tile_slice.stop + 2 * number + np.arange(2))
    by_place = jacobian(matrix, reduced) / problem.reach_mm[photo]
    by_all = np.linalg.solve(by_place, by_all)
    variance = np.einsum("nij,jk,nik->n", by_all, spread[np.ix_(columns, columns)], by_all)
    places = reduced * problem.reach_mm[photo] + problem.middle_mm[photo]
    return places, np.sqrt(np.maximum(variance, 0))


def _scale_error(fit: Fit, spread: Floats) -> float:
    """Return the relative standard error of the size of the figure that all tiles make."""
    tiles = fit.problem.tile_slice
    poses = fit.problem.unpacked(fit.x).poses
    middle = poses[:, :2] - poses[:, :2].mean(axis=0)
    total = float((middle**2).sum())
    if total < float(fit.problem.sightings.sides_mm.max()) ** 2 / 4:
        # one tile: its size is all there is, and the paper's scale alone says how well it is known
        return 0.0
    by_all = np.zeros((len(poses), 3))
    by_all[:, :2] = middle / total
    flat = by_all.ravel()
    return math.sqrt(max(float(flat @ spread[tiles, tiles] @ flat), 0.0))
