"""What chance alone would give: one print laid over the other at places that mean nothing.

On a dense print many points match whatever the other print is. The later print is moved over the
earlier one by random offsets, so that its pattern, its density and its evenness stay and only the
places lose their meaning; what still coincides is what chance gives.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.judge.compare.laid import FaceGrid, LaidPrint, Mask
from scrapeview.judge.compare.pairs import Places, nearest_pairs

SEED = 1
OFFSETS = 60
NEAREST_SHARE = 0.1
"""An offset moves the print by at least this share of the face along one of its sides."""
LEAST_COMPARED = 0.2
"""An offset counts where at least this share of the points can be compared."""


@dataclass(frozen=True)
class Chance:
    """What would coincide if two prints had nothing to do with each other.

    Parameters
    ----------
    expected : float
        Mean over the random offsets.
    low, high : float
        Range that holds 95 of 100 of them.
    """

    expected: float
    low: float
    high: float


def matches_by_chance(
    first: Places, second: Places, one: LaidPrint, two: LaidPrint, error_mm: float
) -> Chance:
    """Return how many points would match by chance.

    Parameters
    ----------
    first, second : (N, 3) and (M, 3) float
        x, y and diameter of the points, mm.
    one, two : LaidPrint
        The prints they are of, on one grid.
    error_mm : float
        As for `nearest_pairs`.
    """
    grid = one.grid
    compared = int(grid.holds(two.known, first[:, :2]).sum())
    found = []
    for rows, columns in random_offsets(grid, OFFSETS):
        known_two = np.roll(two.known, (rows, columns), (0, 1))
        moved = _moved(second, grid, rows, columns)
        here = first[grid.holds(known_two, first[:, :2])]
        there = moved[grid.holds(one.known, moved[:, :2])]
        if len(here) >= max(1.0, LEAST_COMPARED * compared):
            pairs = nearest_pairs(here, there, error_mm)
            found.append(len(pairs) / len(here) * compared)
    return _chance(found)


def areas_by_chance(one: LaidPrint, two: LaidPrint) -> Chance:
    """Return how much contact, mm2, would coincide by chance."""
    known = float((one.known & two.known).sum())
    found = []
    for offset in random_offsets(one.grid, OFFSETS):
        moved = np.roll(two.contact, offset, (0, 1))
        both = one.known & np.roll(two.known, offset, (0, 1))
        if both.sum() >= max(1.0, LEAST_COMPARED * known):
            found.append(float((one.contact & moved).sum() / both.sum()) * known)
    return _chance([value * one.grid.square_mm2 for value in found])


def random_offsets(grid: FaceGrid, count: int, seed: int = SEED) -> list[tuple[int, int]]:
    """Return offsets in rows and columns, wrapped round the grid, none of them near to none."""
    rng = np.random.default_rng(seed)
    rows, columns = grid.shape
    offsets: list[tuple[int, int]] = []
    while len(offsets) < count:
        share = rng.random(2)
        if np.abs((share + 0.5) % 1 - 0.5).max() >= NEAREST_SHARE:
            offsets.append((int(share[0] * rows), int(share[1] * columns)))
    return offsets


def filled(laid: LaidPrint, seed: int) -> Mask:
    """Return the contact of a print with all that is not known filled from elsewhere in it."""
    contact, known = laid.contact.copy(), laid.known.copy()
    for offset in random_offsets(laid.grid, OFFSETS, seed):
        if known.all():
            break
        fresh = ~known & np.roll(laid.known, offset, (0, 1))
        contact[fresh] = np.roll(laid.contact, offset, (0, 1))[fresh]
        known |= fresh
    return contact


def range_of(values: NDArray[np.float64]) -> Chance:
    """Return mean and 95 % range of what was found at random offsets; 0 where nothing was."""
    if not len(values):
        return Chance(0.0, 0.0, 0.0)
    low, high = np.quantile(values, (0.025, 0.975))
    return Chance(float(values.mean()), float(low), float(high))


def _chance(found: list[float]) -> Chance:
    return range_of(np.array(found, dtype=np.float64))


def _moved(places: Places, grid: FaceGrid, rows: int, columns: int) -> Places:
    """Places moved by whole squares and wrapped round the grid."""
    height, width = grid.shape
    at = grid.to_px(places[:, :2]) + 0.5
    wrapped = (at + np.array([columns, rows])) % (width, height) - 0.5
    return np.column_stack((grid.to_mm(wrapped), places[:, 2]))
