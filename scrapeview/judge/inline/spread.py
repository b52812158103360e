"""How sure fitted planes are: chance in the texture, and waviness whose size is not known.

Errors are a nugget (chance, of known relative size) and a field whose correlation falls off over
some length, roughly or smoothly. Its size and length are not fitted once but weighed: every one on
a grid counts by its restricted likelihood (H. Patterson and R. Thompson, Biometrika 58 (1971) 545;
from memory), so that not knowing them widens the interval.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.special import stdtr, stdtrit

from scrapeview.judge.inline.blocks import Values
from scrapeview.judge.inline.heights import TEXTURE_SPREAD, Part

ROUGH_MM = (20.0, 80.0)
"""Lengths of fields that are rough at every scale: exp(-distance / length)."""
SMOOTH_MM = ((30.0, 30.0), (60.0, 60.0), (120.0, 120.0), (60.0, 30.0), (120.0, 60.0))
"""Lengths along and across of smooth ones: exp(-distance^2 / (2 length^2)). Form across a narrow
face can hardly be seen in it, so that some vary faster across than they are seen to along."""
RATIOS = (0.2, 0.7, 2.5, 10.0)
"""Variance of the field over the mean variance of chance."""
WIDER = 1.1
"""A face's own field is none of the grid: errors are taken a tenth larger; ours, measured on
simulated faces (tests/in_line_coverage.py)."""
RANK = 1e-9
HALVINGS = 40


@dataclass(frozen=True, eq=False)
class Weighed:
    """Normal equations of a part under every spread on the grid.

    Parameters
    ----------
    weight : (m,) float64
        Logarithm of the restricted likelihood.
    matrix : (m, k, k) float64
    vector : (m, k) float64
    freedom : int
        Observations beyond parameters.
    """

    weight: Values
    matrix: Values
    vector: Values
    freedom: int


@dataclass(frozen=True, eq=False)
class Fitted:
    """Parameters with their error, a mixture over all spreads.

    Parameters
    ----------
    weight : (m,) float64
        Sums to 1.
    value : (m, k) float64
    covariance : (m, k, k) float64
    freedom : int
    """

    weight: Values
    value: Values
    covariance: Values
    freedom: int

    @property
    def mean(self) -> Values:
        """Parameters."""
        return np.asarray(self.weight @ self.value)

    def interval(self, along: Values, level: float = 0.95) -> tuple[float, float, float]:
        """Return value, low and high of a linear form of the parameters."""
        middle = self.value @ along
        error = WIDER * np.sqrt(np.einsum("i,mij,j->m", along, self.covariance, along))
        low, high = (self._quantile(middle, error, q) for q in ((1 - level) / 2, (1 + level) / 2))
        return float(self.weight @ middle), low, high

    def _quantile(self, middle: Values, error: Values, chance: float) -> float:
        reach = stdtrit(self.freedom, 1 - 1e-4) * error
        low, high = float((middle - reach).min()), float((middle + reach).max())
        for _ in range(HALVINGS):
            at = (low + high) / 2
            below = self.weight @ stdtr(self.freedom, (at - middle) / error)
            low, high = (at, high) if below < chance else (low, at)
        return (low + high) / 2


def weighed(part: Part, *, roughly: bool = False) -> Weighed:
    """Return the normal equations of a part under every spread; under two of them if roughly."""
    count, parameters = part.design.shape
    basis, sizes, _ = np.linalg.svd(part.design, full_matrices=False)
    basis = basis[:, sizes > RANK * max(sizes.max(), 1e-300)]
    freedom = count - basis.shape[1]
    if freedom < 1:
        none = np.zeros((1, parameters, parameters))
        return Weighed(np.zeros(1), none, none[:, 0], 0)
    chance = part.chance / part.chance.mean()
    found = [_under(part, basis, np.diag(chance), freedom)]
    fields = _fields(part)
    for field in fields[:1] if roughly else fields:
        for ratio in RATIOS[1:2] if roughly else RATIOS:
            found.append(_under(part, basis, np.diag(chance) + ratio * field, freedom))
    weight, matrix, vector = zip(*found, strict=True)
    return Weighed(np.array(weight), np.array(matrix), np.array(vector), freedom)


def _fields(part: Part) -> list[Values]:
    """Correlations of all observations with each other."""
    x, y = (np.subtract.outer(place, place) for place in part.place_mm.T)
    together = part.group[:, None] == part.group[None, :]
    away = np.hypot(x, y)
    rough = [np.exp(-away / length) for length in ROUGH_MM]
    smooth = [np.exp(-((x / along) ** 2 + (y / across) ** 2) / 2) for along, across in SMOOTH_MM]
    return [np.where(together, field, 0.0) for field in (*rough, *smooth)]


def _under(
    part: Part, basis: Values, covariance: Values, freedom: int
) -> tuple[float, Values, Values]:
    factor = cho_factor(covariance, lower=True, check_finite=False)
    known = np.column_stack((basis, part.design, part.height))
    solved = cho_solve(factor, known, check_finite=False)
    rank = basis.shape[1]
    inner = basis.T @ solved[:, :rank]
    drawn = basis.T @ solved[:, -1]
    fitted = np.linalg.solve(inner, drawn)
    rest = float(part.height @ solved[:, -1] - drawn @ fitted)
    scale = max(rest / freedom, 1e-12)
    size = 2 * float(np.log(np.diag(factor[0])).sum())
    weight = -0.5 * (freedom * np.log(scale) + size + np.linalg.slogdet(inner)[1])
    matrix = part.design.T @ solved[:, rank:-1] / scale
    vector = part.design.T @ solved[:, -1] / scale
    return float(weight), matrix, vector


def fitted(parts: tuple[Part, ...], *, roughly: bool = False) -> Fitted:
    """Fit all parts together, weighed over every pair of their spreads.

    What is known beforehand of the texture counts as one observation of each of its parameters.

    Parameters
    ----------
    parts : tuple of Part
        Of one design; a part without observations counts for nothing.
    roughly : bool, keyword-only
        Over few spreads: parameters to begin with.

    Raises
    ------
    LinAlgError
        Where the design leaves a parameter open.
    """
    known = [weighed(part, roughly=roughly) for part in parts if len(part)]
    weight, matrix, vector = known[0].weight, known[0].matrix, known[0].vector
    for more in known[1:]:
        weight = (weight[:, None] + more.weight[None, :]).ravel()
        matrix = (matrix[:, None] + more.matrix[None, :]).reshape(-1, *matrix.shape[1:])
        vector = (vector[:, None] + more.vector[None, :]).reshape(-1, vector.shape[1])
    texture = np.arange(-len(TEXTURE_SPREAD), 0)
    matrix[:, texture, texture] += 1 / TEXTURE_SPREAD**2
    chance = np.exp(weight - weight.max())
    kept = chance > 1e-4
    covariance = np.linalg.inv(matrix[kept])
    value = np.einsum("mij,mj->mi", covariance, vector[kept])
    freedom = min(each.freedom for each in known)
    return Fitted(chance[kept] / chance[kept].sum(), value, covariance, max(1, freedom))
