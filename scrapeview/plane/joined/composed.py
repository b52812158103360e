"""The map's pixels, each from the photograph its cell belongs to."""

from collections.abc import Sequence
from io import BytesIO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from scrapeview.plane.joined.map_grid import MapGrid
from scrapeview.plane.joined.warped import Warped
from scrapeview.units import MM_PER_INCH

_FADE_MM = 0.5
"""Width over which one photograph gives way to the other."""
_NOTHING = 128
"""Grey of what no photograph shows."""


def composed(
    warped: Sequence[Warped],
    pictures: Sequence[NDArray[np.uint8]],
    labels: NDArray[np.int16],
    grid: MapGrid,
) -> NDArray[np.uint8]:
    """Return the map (h, w, 3).

    Parameters
    ----------
    warped : sequence of Warped
        Where each photograph lies.
    pictures : sequence of (h, w, 3) uint8 arrays
        Their pixels, levelled.
    labels : (h', w') int16 array
        Which photograph each cell comes from, -1 for none.
    grid : MapGrid
    """
    width, height = grid.size_px
    rgb = np.zeros((height, width, 3), np.float32)
    total = np.zeros((height, width), np.float32)
    fade = 2 * max(1, round(_FADE_MM * grid.px_per_mm / 2 - 0.25)) + 1
    for number, (laid, picture) in enumerate(zip(warped, pictures, strict=True)):
        rows, columns = picture.shape[:2]
        part = np.s_[laid.row : laid.row + rows, laid.column : laid.column + columns]
        cells = np.s_[
            laid.row // grid.cell_px : (laid.row + rows) // grid.cell_px,
            laid.column // grid.cell_px : (laid.column + columns) // grid.cell_px,
        ]
        own = (labels[cells] == number).astype(np.float32)
        share = cv2.resize(own, (columns, rows), interpolation=cv2.INTER_NEAREST)
        share = cv2.blur(share, (fade, fade)) * laid.valid
        rgb[part] += picture * share[..., None]
        total[part] += share
    shown = total > 1e-3
    rgb /= np.maximum(total, 1e-3)[..., None]
    rgb[~shown] = _NOTHING
    return np.asarray(np.rint(rgb), np.uint8)


def png_of(rgb: NDArray[np.uint8], px_per_mm: float) -> bytes:
    """Return a map as the bytes of a PNG that opens at its true size."""
    held = BytesIO()
    per_inch = px_per_mm * MM_PER_INCH
    Image.fromarray(rgb).save(held, "PNG", compress_level=1, dpi=(per_inch, per_inch))
    return held.getvalue()
