"""Irregular bearing points with known area: where they lie, what outline they have."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from scrapeview.simulate.scene import Marks
from scrapeview.units import MM2_PER_SQUARE_INCH

ANGLES = 256
"""Corners of a point's outline."""


@dataclass(frozen=True)
class Points:
    """Points as star-shaped outlines about their centres.

    Attributes
    ----------
    xy_mm : (N, 2) centres on the face.
    radius_mm : (N, 256) distance from centre to outline at angles k * 2 pi / 256.
    hollow : (N,) whether the middle was rubbed bright.
    partner : (N,) index of the point it touches on purpose, -1 for none.
    """

    xy_mm: NDArray[np.float64]
    radius_mm: NDArray[np.float64]
    hollow: NDArray[np.bool_]
    partner: NDArray[np.int64]

    @property
    def area_mm2(self) -> NDArray[np.float64]:
        """Areas (N,): half the integral of radius squared over the angle."""
        return np.pi * (self.radius_mm**2).mean(axis=1)


def scatter_points(
    marks: Marks,
    origin_mm: tuple[float, float],
    size_mm: tuple[float, float],
    rng: np.random.Generator,
) -> Points:
    """Place points at random over a rectangle, apart or touching as asked.

    Parameters
    ----------
    marks : density, cover, shapes and shares.
    origin_mm, size_mm : rectangle to fill; make it reach past the face.
    rng : source of randomness.

    Returns
    -------
    Points
        Those that could not be kept apart from a neighbour are left out.
    """
    density = marks.points_per_square_inch / MM2_PER_SQUARE_INCH
    count = int(rng.poisson(density * size_mm[0] * size_mm[1]))
    if count == 0:
        return _no_points()
    radius = _outlines(marks, marks.cover_percent / 100 / density, count, rng)
    partner = _pair_up(count, marks.touching_share, rng)
    wanted = rng.uniform(0.84, 0.97, count)
    xy = np.array(origin_mm) + rng.random((count, 2)) * size_mm
    xy = _settle(xy, radius, partner, wanted, marks.gap_mm, (origin_mm, size_mm))
    hollow = _choose_hollow(radius, marks.hollow_share, rng)
    return _without_crowded(Points(xy, radius, hollow, partner), marks.gap_mm)


def _no_points() -> Points:
    none = np.zeros(0, int)
    return Points(np.zeros((0, 2)), np.zeros((0, ANGLES)), none.astype(bool), none)


def _outlines(
    marks: Marks, mean_area_mm2: float, count: int, rng: np.random.Generator
) -> NDArray[np.float64]:
    spread = marks.size_spread
    typical = np.sqrt(mean_area_mm2 / np.pi) * np.exp(-(spread**2))
    size = typical * np.exp(spread * np.clip(rng.standard_normal(count), -2.2, 2.2))
    size = np.maximum(size, marks.smallest_mm / 2 * np.sqrt(marks.aspect))
    turn = np.arange(ANGLES) * (2 * np.pi / ANGLES)
    aspect = np.sqrt(rng.uniform(1.0, marks.aspect, count))[:, None]
    along = turn[None, :] - rng.uniform(0, np.pi, count)[:, None]
    ellipse = 1 / np.sqrt((np.cos(along) / aspect) ** 2 + (np.sin(along) * aspect) ** 2)
    waves = np.zeros((count, ANGLES))
    for order in range(3, 8):
        height = marks.roughness * rng.standard_normal(count) * (3 / order)
        waves += height[:, None] * np.cos(order * turn + rng.uniform(0, 6.283, count)[:, None])
    shape = ellipse * np.exp(np.clip(waves, -0.35, 0.35))
    shape /= np.sqrt((shape**2).mean(axis=1, keepdims=True))
    return size[:, None] * shape


def _pair_up(count: int, share: float, rng: np.random.Generator) -> NDArray[np.int64]:
    partner = np.full(count, -1)
    pairs = int(share * count / 2)
    chosen = rng.permutation(count)[: 2 * pairs].reshape(-1, 2)
    partner[chosen[:, 0]], partner[chosen[:, 1]] = chosen[:, 1], chosen[:, 0]
    return partner


def _choose_hollow(
    radius: NDArray[np.float64], share: float, rng: np.random.Generator
) -> NDArray[np.bool_]:
    # a rubbed middle needs room: not in points narrower than 1.8 mm
    roomy = radius.min(axis=1) > 0.9
    wanted = rng.random(len(radius)) < share / max(float(roomy.mean()), 1e-6)
    return roomy & wanted


def _reach(
    radius: NDArray[np.float64], i: NDArray[np.int64], angle: NDArray[np.float64]
) -> NDArray[np.float64]:
    return radius[i, np.round(angle * (ANGLES / (2 * np.pi))).astype(int) % ANGLES]


def _settle(
    xy: NDArray[np.float64],
    radius: NDArray[np.float64],
    partner: NDArray[np.int64],
    wanted: NDArray[np.float64],
    gap_mm: float,
    area: tuple[tuple[float, float], tuple[float, float]],
) -> NDArray[np.float64]:
    """Push points apart, and partners together, for a fixed number of rounds."""
    first = np.flatnonzero(partner > np.arange(len(xy)))
    second = partner[first]
    xy[second] = xy[first] + 0.1
    low, size = np.array(area[0]), np.array(area[1])
    longest = 2 * radius.max() + gap_mm
    for turn in range(70):
        if turn % 4 == 0:
            near = cKDTree(xy).query_pairs(longest + 0.5, output_type="ndarray")
            near = near[partner[near[:, 0]] != near[:, 1]]
            i, j = np.vstack([near, np.column_stack([first, second])]).T
            bound = np.r_[np.zeros(len(near), bool), np.ones(len(first), bool)]
        apart, needed, unit = _distances(xy, radius, i, j, gap_mm)
        needed = np.where(bound, (needed - gap_mm) * wanted[i], needed)
        push = np.where(bound, needed - apart, np.maximum(needed - apart, 0)) * 0.35
        np.add.at(xy, i, -push[:, None] * unit)
        np.add.at(xy, j, push[:, None] * unit)
        xy = np.clip(xy, low, low + size)
    return xy


def _distances(
    xy: NDArray[np.float64],
    radius: NDArray[np.float64],
    i: NDArray[np.int64],
    j: NDArray[np.int64],
    gap_mm: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    way = xy[j] - xy[i]
    apart = np.hypot(way[:, 0], way[:, 1]) + 1e-9
    angle = np.arctan2(way[:, 1], way[:, 0])
    # an outline is widest a little off the line between centres: take the larger of three looks
    looks = [
        _reach(radius, i, angle + off) + _reach(radius, j, angle + np.pi - off)
        for off in (-0.35, 0.0, 0.35)
    ]
    needed = np.maximum(looks[1], 0.97 * np.maximum(looks[0], looks[2])) + gap_mm
    return apart, needed, way / apart[:, None]


def _without_crowded(points: Points, gap_mm: float) -> Points:
    """Leave out one point of every pair that ended nearer than 40 % of the gap."""
    longest = 2 * points.radius_mm.max() + gap_mm
    near = cKDTree(points.xy_mm).query_pairs(longest, output_type="ndarray")
    near = near[points.partner[near[:, 0]] != near[:, 1]]
    apart, needed, _ = _distances(points.xy_mm, points.radius_mm, near[:, 0], near[:, 1], gap_mm)
    keep = np.ones(len(points.xy_mm), bool)
    for i, j in near[apart < needed - 0.6 * gap_mm]:
        if keep[i] and keep[j]:
            keep[j] = False
    new_index = np.where(keep, np.cumsum(keep) - 1, -1)
    partner = np.where(points.partner >= 0, new_index[points.partner], -1)[keep]
    return Points(points.xy_mm[keep], points.radius_mm[keep], points.hollow[keep], partner)
