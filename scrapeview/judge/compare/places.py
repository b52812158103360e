"""Connected places of a mask, each with where it lies and how large it is."""

import cv2
import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy import ndimage

from scrapeview.bearing.components import MARKS, label
from scrapeview.columns import table
from scrapeview.judge.compare.laid import FaceGrid, Mask


def large_marks(mask: Mask, grid: FaceGrid, least_mm: float) -> Mask:
    """Return the connected marks (8-connected) of at least the area of a disc `least_mm` across."""
    labels, areas = label(np.ascontiguousarray(mask), MARKS)
    keep = areas * grid.square_mm2 >= np.pi / 4 * least_mm**2
    keep[0] = False
    return np.asarray(keep[labels])


def open_space(mask: Mask, grid: FaceGrid, least_mm: float) -> Mask:
    """Return where circles `least_mm` across find room without leaving a mask.

    Bare metal runs on between the points, so what is connected says little: a place ends where a
    circle of this diameter no longer gets through.
    """
    radius = least_mm / 2 * grid.px_per_mm
    centres = _room_px(mask) >= radius
    if not centres.any():
        return np.zeros_like(mask)
    away = cv2.distanceTransform((~centres).view(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    return np.asarray(mask & (away <= radius + 0.5))


def table_of_places(mask: Mask, grid: FaceGrid, connectivity: int) -> pd.DataFrame:
    """Return the table of the connected places of a mask, largest first.

    Parameters
    ----------
    mask : (h, w) bool
    grid : FaceGrid
    connectivity : int
        8 for marks, 4 for bare metal.
    """
    labels, areas = label(np.ascontiguousarray(mask), connectivity)
    room = _room_px(mask)
    rows = [
        _measured(labels[box] == number, room[box], (box[1].start, box[0].start), grid)
        for number, box in enumerate(ndimage.find_objects(labels), start=1)
    ]
    found = np.array(rows, dtype=np.float64).reshape(-1, 4)
    area_mm2 = areas[1:] * grid.square_mm2
    order = np.lexsort((found[:, 0], found[:, 1], -area_mm2))
    x_mm, y_mm, across_mm, long_mm = found[order].T
    values = {
        "number": np.arange(1, len(rows) + 1), "x_mm": x_mm, "y_mm": y_mm,
        "area_mm2": area_mm2[order], "across_mm": across_mm, "long_mm": long_mm,
    }  # fmt: skip
    return table("places", values)


def _room_px(mask: Mask) -> NDArray[np.float32]:
    """Distance of every square's middle from the border of a mask, in squares."""
    padded = np.pad(mask, 1).view(np.uint8)
    room = cv2.distanceTransform(padded, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)[1:-1, 1:-1]
    return np.asarray(np.maximum(room - 0.5, 0), dtype=np.float32)


def _measured(
    own: Mask, room: NDArray[np.float32], corner: tuple[int, int], grid: FaceGrid
) -> tuple[float, float, float, float]:
    """Middle and diameter of the largest circle inside a place, and how long it is, mm."""
    inside = np.where(own, room, -1)
    row, column = np.unravel_index(int(np.argmax(inside)), own.shape)
    middle = grid.to_mm(np.array([[column + corner[0], row + corner[1]]], dtype=float))[0]
    y, x = np.nonzero(own)
    spots = np.column_stack((x, y)).astype(np.float32)
    _, sides, _ = cv2.minAreaRect(spots)
    across_px = max(1.0, 2 * float(inside[row, column]))
    long_px = max(sides) + 1.0
    return float(middle[0]), float(middle[1]), across_px / grid.px_per_mm, long_px / grid.px_per_mm
