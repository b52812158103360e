"""What a rendering gives: the photograph and everything that is true of it."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.simulate.scene import PrintScene


@dataclass(frozen=True)
class Truth:
    """What is exactly known of the print.

    Attributes
    ----------
    points : one row a point whose seen part has its centroid in the face: x_mm, y_mm, area_mm2
        (part on metal), hollow, touching (shares a connected patch with another), cut (part of it
        is off the metal).
    contact_percent : share of the face's area, openings left out, in contact.
    points_per_square_inch : rows of `points` per square inch of that area.
    area_mm2 : area of the face, openings left out.
    countable : False where marks merge so far that a count has no sharp truth; `points` then
        lists connected patches.
    contact_mask : (h, w) bool, contact in the face; `mask_px_per_mm` its scale, pixel (0, 0)'s
        centre at `mask_origin_mm`.
    """

    points: pd.DataFrame
    contact_percent: float
    points_per_square_inch: float
    area_mm2: float
    countable: bool
    contact_mask: NDArray[np.bool_]
    mask_px_per_mm: float
    mask_origin_mm: tuple[float, float]


@dataclass(frozen=True)
class Rendered:
    """A computed photograph with the picks a person would make on it.

    Attributes
    ----------
    rgb : (H, W, 3) uint8 before compression; jpeg : the photograph as a file.
    corners_px : (4, 2) corners of the bounding rectangle, clockwise from the face's top left.
    size_mm : bounding rectangle (width, height).
    mm_to_px : 3 x 3 homography.
    rim_px : (24, 2) picks on a disc's rim, empty (0, 2) for other faces.
    diameter_mm : of a disc, else 0; centre_px : picture of its centre.
    outline_px, outline_mm : polygons, one a region; openings_px, openings_mm : polygons cut out.
    marking : what `read_print` is to be told.
    """

    scene: PrintScene
    rgb: NDArray[np.uint8]
    jpeg: bytes
    corners_px: NDArray[np.float64]
    size_mm: tuple[float, float]
    mm_to_px: NDArray[np.float64]
    rim_px: NDArray[np.float64]
    diameter_mm: float
    centre_px: tuple[float, float]
    outline_px: tuple[NDArray[np.float64], ...]
    outline_mm: tuple[NDArray[np.float64], ...]
    openings_px: tuple[NDArray[np.float64], ...]
    openings_mm: tuple[NDArray[np.float64], ...]
    marking: str
    truth: Truth
