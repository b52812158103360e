"""All photographs laid on each other at once: robust least squares over what pairs share."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined.overlap_cameras import OWN, SHARED, Cameras, through, unpacked
from scrapeview.plane.joined.overlap_pairs import Pair

Floats = NDArray[np.float64]
FOCAL = 1.5
"""Focal length, in halves of the diagonal, of a typical telephone: 32 mm on small-picture film."""
_FOCAL_SPREAD = 0.35
_FOCAL_CHANGE = 0.02
"""Standard deviations of the focal length's logarithm: of cameras, and of one that focuses."""
_K1_SPREAD = 0.03
CORNER_MM = 0.4
"""Standard error of a corner of the face as picked by hand; ours, no source."""
_MOST_A_PAIR = 150
_OUTLIER = 3.5
_LEAST_NOISE_MM = 0.02
_RAYLEIGH_MEDIAN = float(np.sqrt(2 * np.log(2)))
"""Median length of an error whose two coordinates have standard deviation 1."""
_STEP = 1e-6
_ROUNDS, _STEPS, _TRIES = 3, 40, 12
_DAMPING = 1e-3
_MOST_TILT, _MOST_NEARER, _MOST_K1 = 1.1, 1.5, 0.3
"""What no camera is past: tilt in radians, logarithm of a change of scale, lens distortion."""
_SETTLED = 1e-6
"""A step that lessens the sum by no more than this share is the last."""


@dataclass(frozen=True, eq=False)
class Shared:
    """Places that two photographs show, one row each, in halves of the diagonal.

    Attributes
    ----------
    first, second : (N,) int arrays
        The photographs.
    here, there : (N, 2) float arrays
        Where each shows it, from its middle.
    """

    first: NDArray[np.intp]
    second: NDArray[np.intp]
    here: Floats
    there: Floats

    def only(self, keep: NDArray[np.bool_]) -> "Shared":
        """Return the rows that are kept."""
        return Shared(self.first[keep], self.second[keep], self.here[keep], self.there[keep])


@dataclass(frozen=True, eq=False)
class Picks:
    """The face's corners: photograph, place there in halves of the diagonal, place on the face."""

    photo: NDArray[np.intp]
    seen: Floats
    at_mm: Floats


def gathered(pairs: list[Pair]) -> Shared:
    """Return what all pairs share, thinned so that no pair outweighs the others by far."""
    parts = []
    for pair in pairs:
        step = max(len(pair.here) / _MOST_A_PAIR, 1.0)
        row = np.unique(np.arange(0, len(pair.here), step).astype(int))
        ones = np.ones(len(row), dtype=np.intp)
        parts.append((ones * pair.first, ones * pair.second, pair.here[row], pair.there[row]))
    first, second, here, there = (np.concatenate(part) for part in zip(*parts, strict=True))
    return Shared(first, second, here, there)


@dataclass(frozen=True, eq=False)
class Problem:
    """What is to be fitted.

    Attributes
    ----------
    shared : Shared
    picks : Picks
    mm_per_half : (P,) float array
        Fixed scale that turns errors in the photographs into mm on the plane; were it that of the
        unknowns, shrinking the plane would shrink the errors.
    noise_mm, corner_mm : float
        Standard errors that errors are counted in.
    """

    shared: Shared
    picks: Picks
    mm_per_half: Floats
    noise_mm: float
    corner_mm: float = CORNER_MM

    def of(self, shared: Shared) -> "Problem":
        """Return the same problem of other shared places."""
        return replace(self, shared=shared)

    def errors_mm(self, here: Cameras, there: Cameras | None = None) -> Floats:
        """Return by how much the second photograph has each shared place elsewhere, (N, 2) mm.

        Parameters
        ----------
        here, there : Cameras
            For the first and for the second photograph of each row; the same where not given.
        """
        shared, there = self.shared, there or here
        back = np.asarray(np.linalg.inv(here.homographies()), dtype=float)
        places = through(back[shared.first], here.ideal(shared.here))
        found = through(there.homographies()[shared.second], places)
        off = found - there.ideal(shared.there)
        return np.asarray(off * self.mm_per_half[shared.second, None])

    def corner_errors_mm(self, cameras: Cameras) -> Floats:
        """Return how far from its pick each corner of the face is pictured, (4, 2) mm."""
        picks = self.picks
        found = through(cameras.homographies()[picks.photo], picks.at_mm)
        off = found - cameras.ideal(picks.seen)
        return np.asarray(off * self.mm_per_half[picks.photo, None])

    def residuals(self, packed: Floats) -> Floats:
        """Return all residuals in standard errors, what is known of cameras included."""
        cameras = unpacked(packed)
        return np.concatenate(
            (
                self.errors_mm(cameras).ravel() / self.noise_mm,
                self.corner_errors_mm(cameras).ravel() / self.corner_mm,
                cameras.own[:, 6] / _FOCAL_CHANGE,
                [(cameras.shared[0] - np.log(FOCAL)) / _FOCAL_SPREAD],
                [cameras.shared[1] / _K1_SPREAD],
            )
        )

    def jacobian(self, packed: Floats) -> Floats:
        """Return the derivative of the residuals by the unknowns, by differences.

        A row knows only the cameras of its own photographs, so that one step of all cameras at
        once, in one of their unknowns, gives that column of all of them.
        """
        still, shared, picks = unpacked(packed), self.shared, self.picks
        at, at_corners = self.errors_mm(still), self.corner_errors_mm(still)
        table = np.zeros((at.size + at_corners.size + len(still.own) + SHARED, len(packed)))
        rows = np.arange(at.size).reshape(-1, 2)
        corner_rows = at.size + np.arange(at_corners.size).reshape(-1, 2)
        for column in range(OWN):
            own = still.own.copy()
            own[:, column] += _STEP
            moved = Cameras(own, still.shared)
            for photo, errors in (
                (shared.first, self.errors_mm(moved, still)),
                (shared.second, self.errors_mm(still, moved)),
            ):
                table[rows, photo[:, None] * OWN + column] += (errors - at) / _STEP / self.noise_mm
            corners = (self.corner_errors_mm(moved) - at_corners) / _STEP / self.corner_mm
            table[corner_rows, picks.photo[:, None] * OWN + column] = corners
        for column in range(SHARED):
            moved = Cameras(still.own, still.shared + _STEP * (np.arange(SHARED) == column))
            errors, corners = self.errors_mm(moved), self.corner_errors_mm(moved)
            table[rows, column - SHARED] = (errors - at) / _STEP / self.noise_mm
            table[corner_rows, column - SHARED] = (corners - at_corners) / _STEP / self.corner_mm
        first_known = at.size + at_corners.size
        cameras = np.arange(len(still.own))
        table[first_known + cameras, cameras * OWN + 6] = 1 / _FOCAL_CHANGE
        table[-2, -2], table[-1, -1] = 1 / _FOCAL_SPREAD, 1 / _K1_SPREAD
        return table


def fitted(problem: Problem, start: Cameras) -> tuple[Problem, Cameras]:
    """Return the least squares cameras without what does not fit, and the problem of the rest."""
    packed = _solved(problem, start.packed, robust=True)
    everything = problem.shared
    for _ in range(_ROUNDS):
        off = np.hypot(*problem.of(everything).errors_mm(unpacked(packed)).T)
        noise = max(float(np.median(off)) / _RAYLEIGH_MEDIAN, _LEAST_NOISE_MM)
        kept = everything.only(off <= _OUTLIER * noise)
        problem = replace(problem, shared=kept, noise_mm=noise)
        packed = _solved(problem, packed, robust=False)
    return problem, unpacked(packed)


def _solved(problem: Problem, start: Floats, *, robust: bool) -> Floats:
    """Return the unknowns of least squares by damped normal equations (D. Marquardt, 1963).

    The unknowns are few and well scaled, and there are many rows: the decompositions that
    `scipy.optimize.least_squares` works by take many times as long. A robust sum is
    2 (sqrt(1 + r^2) - 1) of a residual r.
    """
    packed, damping = start, _DAMPING
    residuals = problem.residuals(packed)
    for _ in range(_STEPS):
        weights = 1 / np.sqrt(1 + residuals**2) if robust else np.ones_like(residuals)
        table = problem.jacobian(packed)
        weighed = table * weights[:, None]
        normal, slope = weighed.T @ table, weighed.T @ residuals
        size = _sum(residuals, robust=robust)
        for _ in range(_TRIES):
            damped = normal + damping * np.diag(np.diag(normal))
            trial = packed - np.linalg.solve(damped, slope)
            if _possible(trial, start):
                then = problem.residuals(trial)
                if _sum(then, robust=robust) <= size:
                    break
            damping *= 8
        else:
            return packed
        packed, residuals, damping = trial, then, damping / 8
        if size - _sum(then, robust=robust) <= _SETTLED * size:
            break
    return packed


def _possible(packed: Floats, start: Floats) -> bool:
    """Whether cameras are such as take photographs of a face at all."""
    cameras, before = unpacked(packed), unpacked(start)
    tilted = np.hypot(cameras.own[:, 4], cameras.own[:, 5])
    nearer = np.abs(cameras.own[:, 2] - before.own[:, 2])
    focal, k1 = np.abs(cameras.shared - (np.log(FOCAL), 0.0))
    return bool(
        np.isfinite(packed).all()
        and tilted.max() < _MOST_TILT
        and nearer.max() < _MOST_NEARER
        and focal < _MOST_NEARER
        and k1 < _MOST_K1
    )


def _sum(residuals: Floats, *, robust: bool) -> float:
    squares = residuals**2
    total = float((2 * (np.sqrt(1 + squares) - 1) if robust else squares).sum())
    return total if np.isfinite(total) else np.inf
