"""The white and grey patches of a card, measured in the photograph where the card lies."""

import numpy as np
from numpy.typing import NDArray

from scrapeview.photo import Photo
from scrapeview.photo.patches import Patches, PatchSeen
from scrapeview.photo.srgb import linear_light, srgb_values
from scrapeview.plane.bounds import grid_over, pixels_outside
from scrapeview.plane.cards import FrameCard, PaperScale, Patch
from scrapeview.plane.projective import apply_homography

Array = NDArray[np.float64]

_INNER = 0.6
"""Share of a patch's width and height that is measured."""
_STEPS = 20
_CLIPPED = 253
"""From this value on a channel is at its upper end: JPEG moves it by a little."""
_MOTTLED = 0.25
"""Spread over mean of a patch's light from which on something covers part of it; no source."""
_DIM = 0.4
"""Light by the usual of its kind below which a patch is covered; ours, no source."""


def patches_of(photo: Photo, card: FrameCard, mm_to_px: Array, paper: PaperScale) -> Patches:
    """Measure a card's patches.

    Parameters
    ----------
    photo : Photo
    card : FrameCard
    mm_to_px : (3, 3) float array
        From the card's millimetres on the paper to full-size photo pixels.
    paper : PaperScale
    """
    measured = [_measured(photo, patch, mm_to_px, paper) for patch in card.patches]
    seen = [patch for patch in measured if patch is not None]
    kept = [patch for patch in seen if not _is_dim(patch, seen)]
    return Patches(tuple(kept), len(card.patches) - len(kept))


def _measured(photo: Photo, patch: Patch, mm_to_px: Array, paper: PaperScale) -> PatchSeen | None:
    """Return one patch; None where it is not seen whole or is mottled."""
    x0, y0, x1, y1 = (v * paper.scale for v in patch.box_mm)
    middle, half = np.array([x0 + x1, y0 + y1]) / 2, np.array([x1 - x0, y1 - y0]) / 2 * _INNER
    box = (*(middle - half), *(middle + half))
    at = apply_homography(mm_to_px, grid_over(box, _STEPS))
    if pixels_outside(at, photo.full_size_px).max() > 0:
        return None
    columns, rows = np.rint((at + 0.5) / photo.reduction - 0.5).astype(int).T
    height, width = photo.rgb.shape[:2]
    values = photo.rgb[np.clip(rows, 0, height - 1), np.clip(columns, 0, width - 1)]
    clipped = (values >= _CLIPPED).any(axis=1)
    shown = values if clipped.all() else values[~clipped]
    light = linear_light(shown.astype(float))
    brightness = light.mean(axis=1)
    if brightness.std() > _MOTTLED * max(1e-3, float(brightness.mean())):
        return None
    red, green, blue = srgb_values(light.mean(axis=0)).tolist()
    x, y = apply_homography(mm_to_px, middle)[0].tolist()
    return PatchSeen(patch.kind, x, y, red, green, blue, 100 * float(clipped.mean()))


def _is_dim(patch: PatchSeen, others: list[PatchSeen]) -> bool:
    """Tell whether a patch is far darker than is usual of its kind: something lies over it."""
    usual = np.median([_light(other) for other in others if other.kind == patch.kind])
    return bool(_light(patch) < _DIM * usual)


def _light(patch: PatchSeen) -> float:
    return float(linear_light((patch.red, patch.green, patch.blue)).mean())
