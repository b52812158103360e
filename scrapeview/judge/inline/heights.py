"""Planes fitted to the contact of blocks: a fractional probit with waviness that reaches on.

The share of contact p of a block where the face stands z above the reference is Phi(z / s), s the
film unit (`bearing/relief.py`). Every parameter moves z linearly, so that the parameters solve the
estimating equations of a fractional probit (L. Papke and J. Wooldridge, J. Applied Econometrics
11 (1996) 619): their working response z + (p - Phi(z)) / phi(z) is fitted by generalised least
squares (K.-Y. Liang and S. Zeger, Biometrika 73 (1986) 13). Both from memory.

What two placements show of one block is parted into their weighted mean and their differences,
which share no error: texture and waviness are the same in both, and fall out of the differences.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.special import ndtr, ndtri

from scrapeview.judge.inline.blocks import Blocks, Values

SCORING_STEPS = 30
FARTHEST = 3.0
"""Film units from half contact beyond which a block tells no more: nearly bare or nearly full."""
TAIL = 1.8
"""Probit beyond which the tails of the texture, more than its height, decide: counts for less."""
TEXTURE = 2
TEXTURE_SPREAD = np.array([0.12, 0.04])
"""Standard deviation, over scraped faces, of a sixth of the skewness and a 24th of the excess
kurtosis: ours, no source."""
LEAST_SLOPE = 0.3
SAME_AGAIN = 0.9
"""How far two prints of one face agree in which spots touch, beyond what their levels allow."""


@dataclass(frozen=True, eq=False)
class Part:
    """Observations with errors of their own.

    Parameters
    ----------
    height : (n,) float64
        Working response, film units.
    design : (n, k) float64
    chance : (n,) float64
        Variance that chance in the texture gives it, up to a factor common to all.
    place_mm : (n, 2) float64
    group : (n,) int
        Only errors of the same group reach from one place to the next.
    """

    height: Values
    design: Values
    chance: Values
    place_mm: Values
    group: Values

    def __len__(self) -> int:
        return len(self.height)


def bell(at: Values) -> Values:
    """Return the density of the normal distribution."""
    return np.asarray(np.exp(-(at**2) / 2) / np.sqrt(2 * np.pi))


def scored(blocks: Blocks, design: Values) -> Values:
    """Return the parameters that fit best, blocks as independent and heights as Gaussian.

    Fisher's scoring; the parameters of the texture, which come last, are 0.
    """
    share = np.clip(blocks.share, 0.002, 0.998)
    found = np.linalg.lstsq(design, ndtri(share), rcond=1e-10)[0]
    for _ in range(SCORING_STEPS):
        off, chance = working(blocks, design @ found)
        weight = np.sqrt(1 / chance)
        response = (design @ found + off) * weight
        better = np.linalg.lstsq(design * weight[:, None], response, rcond=1e-10)[0]
        moved = float(np.abs(design @ (better - found)).max())
        found = better
        if moved < 1e-6:
            break
    return np.concatenate((found, np.zeros(TEXTURE)))


def working(blocks: Blocks, probit: Values) -> tuple[Values, Values]:
    """Return by how much contact is off some probits, and the variance of that up to a factor."""
    at = np.clip(probit, -FARTHEST, FARTHEST)
    share, density = ndtr(at), bell(at)
    off = at - probit + (blocks.share - share) / density
    chance = share * (1 - share) / density**2 / blocks.known
    # not clipped: what lies far beyond must not pull
    return np.asarray(off), np.asarray(chance * (1 + (probit / TAIL) ** 8))


def probits(height: Values, texture: Values) -> tuple[Values, Values]:
    """Return the probits of contact at some heights, and how they move with height and texture.

    Heights of texture are not quite Gaussian. Fisher and Cornish's expansion to its first terms
    (E. Cornish and R. Fisher 1938; from memory) gives the probit u of the share above a level for
    a texture of skewness g and excess kurtosis k: u = z + g/6 (z^2 - 1) - k/24 (z^3 - 3 z).

    Returns
    -------
    (n,) float64
        u.
    (n, 1 + 2) float64
        Its derivatives by z, g / 6 and k / 24.
    """
    at = np.clip(height, -FARTHEST, FARTHEST)
    bow, tails = at**2 - 1, 3 * at - at**3
    slope = 1 + 2 * texture[0] * at + texture[1] * (3 - 3 * at**2)
    moves = np.column_stack((np.maximum(slope, LEAST_SLOPE), bow, tails))
    return np.asarray(height + texture[0] * bow + texture[1] * tails), moves


def parted(blocks: Blocks, design: Values, found: Values) -> tuple[Part, Part]:
    """Return the means over the placements of each block, and the differences between them.

    Parameters
    ----------
    blocks : Blocks
    design : (n, k) float64
    found : (k + 2,) float64
        Parameters so far, those of the texture last: what is not linear is taken about them.
    """
    probit, moves = probits(design @ found[:-TEXTURE], found[-TEXTURE:])
    design = np.column_stack((design * moves[:, :1], moves[:, 1:]))
    off, chance = working(blocks, probit)
    response = design @ found + off
    at = np.clip(probit, -FARTHEST, FARTHEST)
    order = np.argsort(blocks.block, kind="stable")
    cuts = np.flatnonzero(np.diff(blocks.block[order])) + 1
    means, others = [], []
    for rows in np.split(order, cuts):
        if len(rows) == 1:
            means.append((response[rows[0]], design[rows[0]], chance[rows[0]], rows[0]))
            continue
        shared = _covariance(at[rows], chance[rows], blocks.known[rows])
        weights = np.linalg.solve(shared, np.ones(len(rows)))
        variance = 1 / weights.sum()
        weights = weights * variance
        means.append((weights @ response[rows], weights @ design[rows], variance, rows[0]))
        for one, two in pairwise(rows):
            i, j = np.flatnonzero(rows == one)[0], np.flatnonzero(rows == two)[0]
            variance = shared[i, i] + shared[j, j] - 2 * shared[i, j]
            pair = response[one] - response[two], design[one] - design[two]
            others.append((*pair, variance, one))
    same = np.zeros(len(means), dtype=int)
    return _part(means, same, blocks, design), _part(others, None, blocks, design)


def _covariance(height: Values, chance: Values, known: Values) -> Values:
    """Errors of prints of one block: one texture cut at several levels.

    Spots that touch at a low level touch at a higher one too: the covariance of the shares p of
    two levels is p_low (1 - p_high).
    """
    share, density = ndtr(height), bell(height)
    low, high = np.minimum.outer(share, share), np.maximum.outer(share, share)
    both = SAME_AGAIN * low * (1 - high) / np.outer(density, density)
    both = both / np.sqrt(np.outer(known, known))
    np.fill_diagonal(both, chance)
    return np.asarray(both)


def _part(rows: list, group: Values | None, blocks: Blocks, design: Values) -> Part:
    if not rows:
        none = np.zeros(0)
        return Part(none, np.zeros((0, design.shape[1])), none, np.zeros((0, 2)), none)
    height, drawn, chance, index = zip(*rows, strict=True)
    at = np.array(index)
    place = np.column_stack((blocks.x_mm[at], blocks.y_mm[at]))
    return Part(
        np.array(height),
        np.array(drawn),
        np.array(chance),
        place,
        blocks.placement[at] if group is None else group,
    )
