"""The stretches of a face stitched together: a plane a stretch, a plane a placement."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scrapeview.judge.inline.blocks import Blocks, Values
from scrapeview.judge.inline.heights import parted, scored
from scrapeview.judge.inline.spread import Fitted, fitted

PER_MM = 0.01
"""Slopes are fitted per 100 mm, which keeps all parameters of one size."""
ROUGH_FITS = 2


@dataclass(frozen=True)
class Laid:
    """Where joints lie along a face, and how its middle line runs.

    Parameters
    ----------
    joints_mm : tuple of float
        From left to right.
    placements : tuple of int
        Their numbers in the blocks.
    middles_mm : tuple of float
        Of each placement, along the face.
    middle_y_mm : float
    """

    joints_mm: tuple[float, ...]
    placements: tuple[int, ...]
    middles_mm: tuple[float, ...]
    middle_y_mm: float


def design_of(blocks: Blocks, laid: Laid) -> Values:
    """Return the design: step, slope along and across at each joint, planes of ways, references.

    The first stretch of the first way is the plane that all are measured from.
    """
    x, y = blocks.x_mm, (blocks.y_mm - laid.middle_y_mm) * PER_MM
    columns: list[Values] = []
    for at in laid.joints_mm:
        right = (x > at).astype(float)
        columns += [right, right * (x - at) * PER_MM, right * y]
    for way in range(1, int(blocks.way.max()) + 1):
        here = (blocks.way == way).astype(float)
        columns += [here, here * (x - x.mean()) * PER_MM, here * y]
    for number, middle in zip(laid.placements, laid.middles_mm, strict=True):
        here = -(blocks.placement == number).astype(float)
        columns += [here, here * (x - middle) * PER_MM, here * y]
    return np.column_stack(columns)


def fit(blocks: Blocks, design: Values) -> Fitted:
    """Fit a design to the contact of blocks."""
    found = scored(blocks, design)
    for _ in range(ROUGH_FITS):
        found = fitted(parted(blocks, design, found), roughly=True).mean
    return fitted(parted(blocks, design, found))


def off_joints(blocks: Blocks, joints_mm: Sequence[float]) -> Blocks:
    """Return the blocks that lie wholly in one stretch."""
    clear = np.ones(len(blocks), dtype=bool)
    for at in joints_mm:
        clear &= np.abs(blocks.x_mm - at) >= blocks.side_mm / 2 - 1e-6
    return blocks.chosen(clear)
