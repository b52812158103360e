"""Which photographs share tiles: how they hang together, and a first place for each of them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, connected_components, minimum_spanning_tree

from scrapeview.errors import PlaneError
from scrapeview.plane.joined.bundle_start import OwnFrame, square_corners
from scrapeview.plane.joined.sightings import Sightings, photos_text

Floats = NDArray[np.float64]
_ALIKE_RAD = np.radians(5)
_ALIKE_SIDE = 1 / 6
_ALIKE_SHARE = 0.03
"""How far two photographs' own millimetres may differ: in turn, as a share of a tile's side and
of a distance."""


@dataclass(frozen=True, eq=False)
class Link:
    """Rigid motion (3, 3) that takes one photograph's millimetres to another's."""

    first: int
    second: int
    second_to_first: Floats
    strength: float


def links_between(frames: list[OwnFrame], sides_mm: Floats) -> list[Link]:
    """Return the links of all photographs that share tiles which agree with one another."""
    found = []
    for first, one in enumerate(frames):
        for second in range(first + 1, len(frames)):
            link = _link(first, second, one, frames[second], sides_mm)
            if link is not None:
                found.append(link)
    return found


def require_one_group(count: int, links: list[Link]) -> None:
    """Refuse photographs that do not all hang together.

    Raises
    ------
    PlaneError
        Which names the photographs that hang together with no others, or not with most.
    """
    linked = np.zeros((count, count), dtype=bool)
    linked[[link.first for link in links], [link.second for link in links]] = True
    apart = photos_apart(linked)
    if apart:
        raise PlaneError(
            f"{photos_text(apart)} {'shares' if len(apart) == 1 else 'share'} no tile with the "
            "others: photograph the face so that each photo shows at least two tiles of the next."
        )


def photos_apart(linked: NDArray[np.bool_]) -> list[int]:
    """Return the smallest group of photographs that is not linked (P, P) with most; or none."""
    groups, group = connected_components(csr_array(linked), directed=False)
    if groups == 1:
        return []
    sizes = np.bincount(group)
    largest = int(sizes.argmax())
    smallest = min(set(range(groups)) - {largest}, key=lambda number: int(sizes[number]))
    return [int(photo) for photo in np.flatnonzero(group == smallest)]


def first_places(count: int, links: list[Link]) -> list[Floats]:
    """Return rigid motions (3, 3) from each photograph's own millimetres to those of one.

    The tree of the strongest links is walked from its first photograph.
    """
    shape = (count, count)
    rows, columns = [link.first for link in links], [link.second for link in links]
    costs = csr_array(([1 / link.strength for link in links], (rows, columns)), shape=shape)
    order, before = breadth_first_order(minimum_spanning_tree(costs), 0, directed=False)
    motions = {(link.second, link.first): link.second_to_first for link in links}
    motions |= {
        (link.first, link.second): np.asarray(np.linalg.inv(link.second_to_first), dtype=float)
        for link in links
    }
    places: dict[int, Floats] = {0: np.eye(3)}
    for photo in order[1:].tolist():
        known = int(before[photo])
        places[photo] = places[known] @ motions[photo, known]
    return [places[photo] for photo in range(count)]


def common_poses(frames: list[OwnFrame], places: list[Floats], tile_count: int) -> Floats:
    """Return poses (T, 3) of all tiles: the median of what the photographs say of each."""
    poses = np.empty((tile_count, 3))
    told = _told(frames, places, tile_count)
    for tile, each in enumerate(told):
        turned = each[:, 2] - each[0, 2]
        turned = np.arctan2(np.sin(turned), np.cos(turned))
        poses[tile, :2] = np.median(each[:, :2], axis=0)
        poses[tile, 2] = each[0, 2] + np.median(turned)
    return poses


def lying_twice(frames: list[OwnFrame], places: list[Floats], sides_mm: Floats) -> list[int]:
    """Return the tiles that photographs see in places where no one tile can lie."""
    told = _told(frames, places, len(sides_mm))
    wide = [float(np.ptp(each[:, :2], axis=0).max()) for each in told]
    return [tile for tile, width in enumerate(wide) if width > 1.5 * sides_mm[tile]]


def shared_tiles(sightings: Sightings) -> NDArray[np.intp]:
    """Return how many tiles each two photographs (P, P) both show, each pair once."""
    shows = np.zeros((sightings.photo_count, len(sightings.ids)), dtype=int)
    shows[sightings.photo, sightings.tile] = 1
    return np.triu(shows @ shows.T, 1)


@dataclass(frozen=True)
class WeakJoint:
    """Two photographs by which two groups of them hang together, by one tile only.

    Parameters
    ----------
    first, second : int
        The photographs, from 0.
    is_contradicted : bool
        Whether a tile that several groups show was left out.
    """

    first: int
    second: int
    is_contradicted: bool


def weak_joints(used: Sightings, given: Sightings) -> tuple[WeakJoint, ...]:
    """Return where photographs hang together by one tile only.

    Parameters
    ----------
    used, given : Sightings
        What the solution rests on, and all that was seen.
    """
    strong = shared_tiles(used) > 1
    count, group = connected_components(csr_array(strong), directed=False)
    kept, seen = (_shown_by_groups(each, group, count) for each in (used, given))
    pairs = list(zip(*np.triu_indices(count, 1), strict=True))
    # where a chain hangs by single tiles, any tile that does not fit may be the right one
    contradicted = any((seen[i] & seen[j]) - (kept[i] & kept[j]) for i, j in pairs)
    joints = []
    for i, j in pairs:
        shared = kept[i] & kept[j]
        if len(shared) == 1:
            showing = used.photo[used.ids[used.tile] == shared.pop()]
            first, second = sorted(int(showing[group[showing] == g].min()) for g in (i, j))
            joints.append(WeakJoint(first, second, contradicted))
    return tuple(joints)


def _shown_by_groups(
    sightings: Sightings, group: NDArray[np.intp], count: int
) -> tuple[set[int], ...]:
    """Numbers of the tiles that each group of photographs shows."""
    of_group, number = group[sightings.photo], sightings.ids[sightings.tile]
    return tuple(set(number[of_group == each].tolist()) for each in range(count))


def _told(frames: list[OwnFrame], places: list[Floats], tile_count: int) -> list[Floats]:
    rows = []
    for frame, place in zip(frames, places, strict=True):
        middles = frame.poses[:, :2] @ place[:2, :2].T + place[:2, 2]
        turns = frame.poses[:, 2] + np.arctan2(place[1, 0], place[0, 0])
        rows.append(np.column_stack((frame.tiles, middles, turns)))
    table = np.vstack(rows)
    return [table[table[:, 0] == tile, 1:] for tile in range(tile_count)]


def _link(first: int, second: int, one: OwnFrame, other: OwnFrame, sides_mm: Floats) -> Link | None:
    shared, i, j = np.intersect1d(one.tiles, other.tiles, return_indices=True)
    if not len(shared):
        return None
    here, there, sides = one.poses[i], other.poses[j], sides_mm[shared]
    agreeing = max((_agreeing(here, there, sides, k) for k in range(len(shared))), key=np.sum)
    p = square_corners(here[agreeing], sides[agreeing]).reshape(-1, 2)
    q = square_corners(there[agreeing], sides[agreeing]).reshape(-1, 2)
    spread = float(np.hypot(*np.ptp(p, axis=0)))
    return Link(first, second, rigid_between(q, p), float(agreeing.sum()) * spread)


def _agreeing(here: Floats, there: Floats, sides: Floats, k: int) -> NDArray[np.bool_]:
    """Which tiles lie as the motion of tile k says, nearly."""
    turn = here[k, 2] - there[k, 2]
    cos, sin = np.cos(turn), np.sin(turn)
    moved = (there[:, :2] - there[k, :2]) @ np.array([[cos, sin], [-sin, cos]]) + here[k, :2]
    off = np.hypot(*(moved - here[:, :2]).T)
    far = np.hypot(*(here[:, :2] - here[k, :2]).T)
    turned = here[:, 2] - there[:, 2] - turn
    turned = np.abs(np.arctan2(np.sin(turned), np.cos(turned)))
    return np.asarray((off < _ALIKE_SIDE * sides + _ALIKE_SHARE * far) & (turned < _ALIKE_RAD))


def rigid_between(from_mm: Floats, to_mm: Floats) -> Floats:
    """Return the rigid motion (3, 3) that brings points (N, 2) nearest to others."""
    middle_from, middle_to = from_mm.mean(axis=0), to_mm.mean(axis=0)
    p, q = from_mm - middle_from, to_mm - middle_to
    turn = np.arctan2((p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]).sum(), (p * q).sum())
    cos, sin = np.cos(turn), np.sin(turn)
    motion = np.eye(3)
    motion[:2, :2] = [[cos, -sin], [sin, cos]]
    motion[:2, 2] = middle_to - motion[:2, :2] @ middle_from
    return motion
