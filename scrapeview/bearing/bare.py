"""Bare patches: where the face has no contact."""

from dataclasses import dataclass

import cv2
import numpy as np

from scrapeview.bearing.components import BARE, Mask, label

OPEN_MM = 25.4 / 4
"""Bare metal counts as a patch where a circle a quarter inch across finds room."""
GRID_PX_PER_MM = 2.5


@dataclass(frozen=True)
class BarePatch:
    """The largest bare places of a face.

    Parameters
    ----------
    circle_mm : float
        Diameter of the largest circle on the face that touches no contact.
    x_mm, y_mm : float
        Its centre.
    area_mm2 : float
        The largest connected area that circles a quarter inch across can reach without touching
        contact.
    """

    circle_mm: float
    x_mm: float
    y_mm: float
    area_mm2: float


def largest_bare_patch(
    face: Mask, contact: Mask, px_per_mm: float, origin_mm: tuple[float, float]
) -> BarePatch:
    """Find the largest bare circle and the largest open bare area.

    Parameters
    ----------
    face, contact : (h, w) bool
    px_per_mm : float
    origin_mm : (x, y)
        Face coordinates of pixel (0, 0).
    """
    factor = max(1, int(px_per_mm / GRID_PX_PER_MM))
    bare = face & ~contact
    h, w = (n // factor for n in bare.shape)
    whole = bare[: h * factor, : w * factor].astype(np.float32)
    # a block is bare where all of it is: tongues of contact may be thinner than a block
    coarse = cv2.resize(whole, (w, h), interpolation=cv2.INTER_AREA) > 1 - 0.5 / factor**2
    # the picture's border bounds the face as any edge does
    padded = np.pad(coarse, 1)
    scale = px_per_mm / factor
    room = cv2.distanceTransform(padded.view(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5)
    room_mm = (room[1:-1, 1:-1] - 0.5) / scale
    y, x = np.unravel_index(int(np.argmax(room_mm)), room_mm.shape)
    radius_mm = max(0.0, float(room_mm[y, x]))
    centre = [(v * factor + (factor - 1) / 2) / px_per_mm for v in (x, y)]
    return BarePatch(
        circle_mm=2 * radius_mm,
        x_mm=float(centre[0] + origin_mm[0]),
        y_mm=float(centre[1] + origin_mm[1]),
        area_mm2=_open_area_px(room_mm, scale) / scale**2,
    )


def _open_area_px(room_mm: np.ndarray, scale: float) -> float:
    centres = room_mm >= OPEN_MM / 2
    if not centres.any():
        return 0.0
    away = cv2.distanceTransform((~centres).view(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5)
    reached = np.ascontiguousarray(away <= OPEN_MM / 2 * scale)
    return float(label(reached, BARE)[1][1:].max())
