"""Polygons on the face: area, soundness, rasters without bias and exact areas of differences."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

Polygon = NDArray[np.float64]


def circle_polygon(centre: ArrayLike, radius: float, vertices: int = 64) -> Polygon:
    """Polygon of a circle's area.

    Parameters
    ----------
    centre : (2,) array_like
        Centre of the circle.
    radius : float
        Its radius, in the unit of the centre.
    vertices : int
        Number of corners, at least 3.

    Returns
    -------
    (vertices, 2) float array
        A regular polygon, clockwise as the photo is seen, whose area n/2 r'^2 sin(2 pi/n) equals
        pi r^2.
    """
    reach = radius * math.sqrt(2 * math.pi / (vertices * math.sin(2 * math.pi / vertices)))
    angle = np.arange(vertices) * (2 * math.pi / vertices)
    return np.asarray(centre, dtype=float) + reach * np.column_stack((np.cos(angle), np.sin(angle)))


def polygon_area(polygon: Polygon) -> float:
    """Area by the shoelace formula, positive whichever way round the corners run."""
    x, y = (polygon - polygon[0]).T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


def near_any(polygons: Sequence[Polygon], others: Sequence[Polygon]) -> tuple[Polygon, ...]:
    """Those polygons whose upright boxes overlap that of any of the others."""
    boxes = [(other.min(axis=0), other.max(axis=0)) for other in others]
    return tuple(
        polygon
        for polygon in polygons
        if any(
            (polygon.max(axis=0) > low).all() and (polygon.min(axis=0) < high).all()
            for low, high in boxes
        )
    )


def crosses_itself(polygon: Polygon) -> bool:
    """Tell whether two sides of the polygon that are not neighbours meet."""
    count = len(polygon)
    start, end = polygon, np.roll(polygon, -1, axis=0)
    first, second = np.triu_indices(count, 2)
    apart = ~((first == 0) & (second == count - 1))
    first, second = first[apart], second[apart]
    one = _side_of(start[first], end[first], start[second])
    two = _side_of(start[first], end[first], end[second])
    three = _side_of(start[second], end[second], start[first])
    four = _side_of(start[second], end[second], end[first])
    return bool(np.any((one * two < 0) & (three * four < 0)))


def _side_of(start: Polygon, end: Polygon, point: Polygon) -> NDArray[np.float64]:
    along, to = end - start, point - start
    return np.sign(along[:, 0] * to[:, 1] - along[:, 1] * to[:, 0])


def polygon_mask(polygon: Polygon, shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Pixels whose centre lies inside the polygon (even-odd rule).

    Drawing routines colour the border's pixels too, which adds half a pixel all round; a pixel
    here belongs to the polygon if and only if its centre does, so areas have no bias.

    Parameters
    ----------
    polygon : (N, 2) float array
        Corners x, y in pixels, an integer being a pixel's centre; may reach past the picture.
    shape : (int, int)
        Height and width of the picture.

    Returns
    -------
    (height, width) bool array
    """
    mask = np.zeros(shape, dtype=bool)
    size = np.array(shape[::-1])
    # many small polygons lie on the map of a long face: each is drawn in its own corner only
    left, top = np.clip(np.ceil(polygon.min(axis=0)), 0, size).astype(int)
    right, bottom = np.clip(np.floor(polygon.max(axis=0)) + 1, (left, top), size).astype(int)
    rows, x, _ = crossings([polygon], np.arange(top, bottom, dtype=float))
    columns = (np.clip(np.ceil(x), left, right) - left).astype(np.intp)
    toggles = np.zeros((bottom - top, right - left + 1), dtype=np.uint8)
    np.bitwise_xor.at(toggles, (rows, columns), 1)
    drawn = np.bitwise_xor.accumulate(toggles[:, :-1], axis=1).view(np.bool_)
    mask[top:bottom, left:right] = drawn
    return mask


def crossings(
    polygons: Sequence[Polygon], y: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.float64], NDArray[np.intp]]:
    """Where lines of constant y (ascending) cross the sides of polygons.

    Returns
    -------
    line, x, polygon : arrays of equal length
        Index of the line, x of the crossing, index of the polygon. A side owns its upper end and
        not its lower, so each line meets each polygon an even number of times.
    """
    start = np.concatenate(polygons)
    end = np.concatenate([np.roll(polygon, -1, axis=0) for polygon in polygons])
    owner = np.repeat(np.arange(len(polygons)), [len(polygon) for polygon in polygons])
    first = np.searchsorted(y, np.minimum(start[:, 1], end[:, 1]), side="left")
    last = np.searchsorted(y, np.maximum(start[:, 1], end[:, 1]), side="left")
    count = last - first
    side = np.repeat(np.arange(len(start)), count)
    line = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[side]
    slope = np.divide(
        end[:, 0] - start[:, 0],
        end[:, 1] - start[:, 1],
        out=np.zeros(len(start)),
        where=end[:, 1] != start[:, 1],
    )
    x = start[side, 0] + (y[line] - start[side, 1]) * slope[side]
    return line, x, owner[side]


def clipped(polygon: Polygon, bounds: tuple[float, float, float, float]) -> Polygon:
    """Part of a polygon inside a box (I. Sutherland, G. Hodgman, 1974).

    Where a hollow polygon falls into pieces they stay joined along the box's border, by sides
    that lie on each other and hold no area.

    Parameters
    ----------
    polygon : (N, 2) float array
    bounds : (x0, y0, x1, y1)
        The box, in the polygon's unit.

    Returns
    -------
    (M, 2) float array
        (0, 2) where nothing of it lies inside.
    """
    x0, y0, x1, y1 = bounds
    for axis, limit, sign in ((0, x0, 1), (0, x1, -1), (1, y0, 1), (1, y1, -1)):
        polygon = _half_of(polygon, sign * (polygon[:, axis] - limit))
    return polygon


def _half_of(polygon: Polygon, inward: NDArray[np.float64]) -> Polygon:
    """Corners where `inward` is not negative, and where sides cross to where it is."""
    kept: list[NDArray[np.float64]] = []
    after, inward_after = np.roll(polygon, -1, axis=0), np.roll(inward, -1)
    for here, there, a, b in zip(polygon, after, inward, inward_after, strict=True):
        if a >= 0:
            kept.append(here)
        if a * b < 0:
            kept.append(here + (there - here) * a / (a - b))
    return np.array(kept, dtype=float).reshape(-1, 2)
