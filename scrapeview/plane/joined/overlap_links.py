"""Which photographs share enough to be laid on each other, and a first place for all of them."""

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import PlaneError
from scrapeview.plane.joined.overlap_looks import Look
from scrapeview.plane.joined.overlap_pairs import Pair, pair_of

Floats = NDArray[np.float64]
_NEAR = 2
"""Photographs this near in the order given are compared first: one in between may be a repeat."""


def linked_pairs(looks: list[Look]) -> list[Pair]:
    """Return the pairs of photographs that can be laid on each other, all hanging together.

    Raises
    ------
    PlaneError
        Where some cannot be joined to the others, with the numbers of two of them.
    """
    count = len(looks)
    near = [(i, j) for i in range(count) for j in range(i + 1, min(i + 1 + _NEAR, count))]
    pairs = {each: pair_of(*each, looks) for each in near}
    group = _groups(count, pairs)
    if len(set(group)) > 1:
        # the order given is rough: only now is everything compared with everything
        apart = [
            (i, j)
            for i in range(count)
            for j in range(i + 1, count)
            if group[i] != group[j] and (i, j) not in pairs
        ]
        pairs |= {each: pair_of(*each, looks) for each in apart}
        group = _groups(count, pairs)
    if len(set(group)) > 1:
        raise PlaneError(_apart_text(group, pairs))
    return [pair for pair in pairs.values() if not pair.doubt]


def require_all_linked(count: int, pairs: list[Pair]) -> None:
    """Refuse photographs that do not all hang together.

    Raises
    ------
    PlaneError
        With the numbers of two of them.
    """
    named = {(pair.first, pair.second): pair for pair in pairs}
    group = _groups(count, named)
    if len(set(group)) > 1:
        odd = next(photo for photo in range(count) if group[photo] != group[0])
        nearest = min((p for p in range(count) if group[p] == group[0]), key=lambda p: abs(p - odd))
        raise PlaneError(_too_little_text(*sorted((nearest, odd))))


def first_similarities(count: int, pairs: list[Pair]) -> Floats:
    """Return a similarity (3, 3) for each photograph, from its middle to that of the first.

    Photographs are added in the order in which they share most features with those there.
    """
    places = np.tile(np.eye(3), (count, 1, 1))
    there = {0}
    while len(there) < count:
        open_ends = [pair for pair in pairs if (pair.first in there) != (pair.second in there)]
        best = max(open_ends, key=lambda pair: len(pair.here))
        if best.first in there:
            added, step = best.second, _similarity(best.there, best.here)
            places[added] = places[best.first] @ step
        else:
            added, step = best.first, _similarity(best.here, best.there)
            places[added] = places[best.second] @ step
        there.add(added)
    return places


def _similarity(from_points: Floats, to_points: Floats) -> Floats:
    """Return the similarity (3, 3) that brings points (N, 2) nearest to others."""
    p, q = from_points @ (1, 1j), to_points @ (1, 1j)
    middle_p, middle_q = p.mean(), q.mean()
    factor = (np.conj(p - middle_p) @ (q - middle_q)) / (np.abs(p - middle_p) ** 2).sum()
    shift = middle_q - factor * middle_p
    return np.array(
        [
            [factor.real, -factor.imag, shift.real],
            [factor.imag, factor.real, shift.imag],
            [0, 0, 1],
        ]
    )


def similarity_to(from_points: Floats, to_points: Floats) -> Floats:
    """Return the similarity (3, 3), unmirrored, that brings points (N, 2) nearest to others."""
    return _similarity(np.asarray(from_points, float), np.asarray(to_points, float))


def _groups(count: int, pairs: dict[tuple[int, int], Pair]) -> list[int]:
    """Return for each photograph the first one that it hangs together with."""
    group = list(range(count))
    for (i, j), pair in pairs.items():
        if not pair.doubt:
            low, high = sorted((group[i], group[j]))
            group = [low if each == high else each for each in group]
    return group


def _apart_text(group: list[int], pairs: dict[tuple[int, int], Pair]) -> str:
    """Return why photographs cannot be joined, of the pair that comes nearest to it."""
    torn = [pair for (i, j), pair in pairs.items() if group[i] != group[j]]
    repeating = [pair for pair in torn if pair.doubt == "repeats"]
    neighbours = [pair for pair in torn if pair.second == pair.first + 1]
    told = max(repeating or neighbours or torn, key=lambda pair: (len(pair.here), -pair.first))
    if told.doubt == "repeats":
        return (
            f"Photos {told.first + 1} and {told.second + 1} fit each other in more than one place, "
            "because the surface looks alike there: lay tiles along the face and photograph it "
            "again."
        )
    return _too_little_text(told.first, told.second)


def _too_little_text(first: int, second: int) -> str:
    return (
        f"Photos {first + 1} and {second + 1} share too little of the print to be laid on each "
        "other: photograph the face again so that each photo shows a third of the one before, or "
        "lay tiles along it."
    )
