"""The corners of a printed marker from all edges between its black and white cells.

Every edge is measured across, its place being where a step of the same mean would lie, and one
homography is fitted to all of them. Ink that spreads, light that bleeds and the camera's tone
curve move edges towards black or towards white; since edges of both senses are measured along
each direction, one common shift is fitted with the homography and the marker keeps its size.
"""

from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.photo.srgb import linear_light
from scrapeview.plane.cards import MARKER_CELLS, marker_cells
from scrapeview.plane.corners import rectangle_homography
from scrapeview.plane.projective import apply_homography

Array = NDArray[np.float64]

_ALONG = (0.35, 0.5, 0.65)
"""Where along a cell's side its edge is measured, as shares of the side."""
_FIRST_REACH, _REACH_PX, _LAST_REACH = 0.48, 4.0, 0.46
"""How far to both sides of an edge: of a cell at first; then of a cell, or px if that is less."""
_STEPS = 17
_END_STEPS = 4
"""Steps of a profile, and those at each of its ends that tell the levels there."""
_ROUNDS, _REWEIGHTED = 8, 3
_STILL = 0.001
"""Move of a corner, in cells, from which on another round is not worth it."""
_RIDGE = 1e-9 * np.eye(9)
"""Keeps a fit to few edges from failing."""
_WEAK = 0.4
"""An edge with less of the usual contrast than this is washed out or covered; ours, no source."""
_FEWEST = 0.4
"""Share of the edges that must show, or there is no such marker; ours, no source."""
_LOOSEST = 0.12
"""Spread of the edges, in cells, from which on there is no such marker; ours, no source."""
_SQUARE = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]]) * MARKER_CELLS
_LINEAR = linear_light(np.arange(256)).astype(np.float32)


class Edges(NamedTuple):
    """Places (N, 2) on a marker's edges in cells, the axis each lies across, and its sense."""

    places: Array
    axis: NDArray[np.int64]
    sense: Array
    """1 where white turns to black along the axis, else -1."""


@dataclass(frozen=True, eq=False)
class Refined:
    """A marker's corners (4, 2) as its edges have them, their error, and what share shows."""

    corners_px: Array
    error_px: float
    shown: float


def refine_marker(rgb: NDArray[np.uint8], corners_px: Array, marker_id: int) -> Refined | None:
    """Fit a marker to its edges.

    Parameters
    ----------
    rgb : (H, W, 3) uint8
    corners_px : (4, 2) float array
        Where it was found, clockwise from its own top left, right to about half a cell.
    marker_id : int

    Returns
    -------
    Refined or None
        None where too few edges show or they do not fit: there is no such marker.
    """
    light, shift = _light_round(rgb, corners_px)
    edges = edges_of(marker_id)
    to_px = rectangle_homography(corners_px - shift, (MARKER_CELLS, MARKER_CELLS))
    cell_px = float(np.linalg.norm(np.roll(corners_px, -1, axis=0) - corners_px, axis=1).mean())
    cell_px /= MARKER_CELLS
    reach = _FIRST_REACH
    for _ in range(_ROUNDS):
        offsets, contrast = _measured(light, to_px, edges, reach)
        usable = contrast > _WEAK * np.median(contrast)
        if usable.mean() < _FEWEST or np.median(contrast) <= 0:
            return None
        fit = _fitted(edges, offsets, usable)
        to_px = to_px @ fit.change
        if _moved(fit.change) < _STILL and reach < _FIRST_REACH:
            break
        reach = min(_LAST_REACH, _REACH_PX / cell_px)
    if fit.spread > _LOOSEST:
        return None
    corners = apply_homography(to_px, _SQUARE) + shift
    return Refined(corners, fit.corner_error * cell_px, float(usable.mean()))


@cache
def edges_of(marker_id: int) -> Edges:
    """Return the edges between a marker's cells, its white surround included."""
    black = np.pad(marker_cells(marker_id), 1)
    places, axes, senses = [], [], []
    for axis in (0, 1):
        # rows run along the axis
        cells = black.astype(int) if axis == 0 else black.T.astype(int)
        step = np.diff(cells, axis=1)
        for row, column in np.argwhere(step != 0):
            for share in _ALONG:
                across, along = float(column), row - 1 + share
                places.append((across, along) if axis == 0 else (along, across))
                axes.append(axis)
                senses.append(float(step[row, column]))
    return Edges(np.array(places), np.array(axes), np.array(senses))


def _light_round(rgb: NDArray[np.uint8], corners_px: Array) -> tuple[NDArray[np.float32], Array]:
    """Linear light of the part of the photo round a marker, and where that part begins."""
    margin = 0.2 * np.ptp(corners_px, axis=0).max() + 4
    height, width = rgb.shape[:2]
    x0, y0 = np.maximum(0, np.floor(corners_px.min(axis=0) - margin)).astype(int)
    x1, y1 = np.minimum((width, height), np.ceil(corners_px.max(axis=0) + margin)).astype(int)
    grey = cv2.cvtColor(rgb[y0:y1, x0:x1], cv2.COLOR_RGB2GRAY)
    return np.asarray(cv2.LUT(grey, _LINEAR), np.float32), np.array([x0, y0], dtype=float)


def _measured(
    light: NDArray[np.float32], to_px: Array, edges: Edges, reach: float
) -> tuple[Array, Array]:
    """How far (N,) each edge lies along its axis from where it should, in cells; its contrast."""
    count = len(edges.places)
    steps = np.linspace(-reach, reach, _STEPS)
    samples = np.repeat(edges.places[:, None, :], _STEPS, axis=1)
    samples[np.arange(count), :, edges.axis] += steps
    at = apply_homography(to_px, samples.reshape(-1, 2)).reshape(count, _STEPS, 2)
    at32 = at.astype(np.float32)
    found = cv2.remap(
        light, at32[..., 0], at32[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    profile = np.asarray(found, dtype=float)
    before = profile[:, :_END_STEPS].mean(axis=1)
    after = profile[:, -_END_STEPS:].mean(axis=1)
    contrast = (before - after) * edges.sense
    height = np.where(np.abs(after - before) > 1e-6, after - before, 1e-6)
    inner = (profile[:, 1:] + profile[:, :-1]).mean(axis=1) / 2
    offsets = reach * (1 - 2 * (inner - before) / height)
    return np.clip(offsets, -reach, reach), contrast


class _Fit(NamedTuple):
    change: Array
    spread: float
    corner_error: float


def _fitted(edges: Edges, offsets: Array, usable: NDArray[np.bool_]) -> _Fit:
    """Change (3, 3) of the cells' coordinates that brings the edges to where they were seen.

    Linear least squares, made robust by Cauchy's weights.
    """
    design = np.column_stack((_by_change(edges.places, edges.axis), edges.sense))[usable]
    seen = offsets[usable]
    weight = np.ones(len(seen))
    for _ in range(_REWEIGHTED):
        weighed = design * weight[:, None]
        found = np.linalg.solve(weighed.T @ design + _RIDGE, weighed.T @ seen)
        rest = seen - design @ found
        spread = max(1e-4, 1.4826 * float(np.median(np.abs(rest))))
        weight = 1 / (1 + (rest / (2.4 * spread)) ** 2)
    change = np.eye(3)
    change.flat[:8] += found[:8]
    # the places along one cell's side share their noise
    normal = np.linalg.pinv((design * weight[:, None]).T @ design) * len(_ALONG)
    variance = float((weight * rest**2).sum() / weight.sum())
    return _Fit(change, spread, _corner_error(np.asarray(normal[:8, :8] * variance)))


def _corner_error(covariance: Array) -> float:
    """Standard error of the corners, each direction, in cells."""
    total = 0.0
    for axis in (0, 1):
        by_change = _by_change(_SQUARE, np.full(4, axis))
        total += float(np.einsum("ni,ij,nj->", by_change, covariance, by_change))
    return float(np.sqrt(max(0.0, total) / 8))


def _moved(change: Array) -> float:
    return float(np.abs(apply_homography(change, _SQUARE) - _SQUARE).max())


def _by_change(places: Array, axis: NDArray[np.int64]) -> Array:
    """Derivative (N, 8) of a place's coordinate along an axis by a small change of coordinates.

    The change is the unit matrix plus eight small elements, the last being left at 1.
    """
    x, y = places.T
    own = np.where(axis == 0, x, y)
    first = np.column_stack((x, y, np.ones(len(x))))
    none = np.zeros_like(first)
    rows = np.where((axis == 0)[:, None], np.hstack((first, none)), np.hstack((none, first)))
    return np.column_stack((rows, -own * x, -own * y))
