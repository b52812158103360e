"""From film to bearing points: marks, hollow points, necks, edges and the table of points."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing.by_hand import corrected
from scrapeview.bearing.components import (
    Marks,
    Mask,
    connected_marks,
    count_by_label,
    keep_marks,
)
from scrapeview.bearing.edges import centre_inside, cut_labels, edge_pixels, print_beyond
from scrapeview.bearing.hollow import fill_middles
from scrapeview.bearing.necks import Split, split_at_necks
from scrapeview.columns import table
from scrapeview.corrections import Correction

MOST_PIECES = 12
"""A mark that falls into more pieces than this is a network: its count is unreliable."""
FAINT_SHARE = 0.65
"""Film thinner than this share of the print's typical film makes a point faint."""


@dataclass(frozen=True, eq=False)
class Bearing:
    """Contact and points of a face.

    Parameters
    ----------
    contact : (h, w) bool
        Contact inside the face.
    points : DataFrame
        One row a counted point, columns as in `COLUMNS`.
    labels : (h, w) int32
        Label of the piece each contact pixel is part of, counted or not.
    middles : (h, w) bool
        Rubbed-bright middles of hollow points.
    merged_percent : float
        Share of the contact that lies in patches larger than a point can be.
    """

    contact: Mask
    points: pd.DataFrame
    labels: NDArray[np.int32]
    middles: Mask
    merged_percent: float


def find_points(
    marked: Mask,
    regions: NDArray[np.int16],
    seen: Mask,
    washed_out: Mask,
    film_share: NDArray[np.float32],
    px_per_mm: float,
    origin_mm: tuple[float, float],
    *,
    smallest_point_mm: float,
    largest_point_mm: float,
    neck_depth_mm: float,
    corrections: Sequence[Correction] = (),
) -> Bearing:
    """Find the bearing points of a face.

    Parameters
    ----------
    marked : (h, w) bool
        Film thick enough to be contact, on the whole view.
    regions : (h, w) int16
        Region number of each pixel, 0 outside the face.
    seen : (h, w) bool
        Pixels that show metal, whether of the face or around it: in the photo, in no opening.
    washed_out : (h, w) bool
        Pixels that glare has emptied.
    film_share : (h, w) float32
        Film thickness as a share of the full film around it.
    px_per_mm : float
    origin_mm : (x, y)
        Face coordinates of pixel (0, 0).
    smallest_point_mm, largest_point_mm, neck_depth_mm : float
        See `Settings`.
    corrections : sequence of Correction
        Made by hand on what is found without them.

    Raises
    ------
    CorrectionError
        Where a correction has nothing to act on.
    """
    face = regions > 0
    marked = (marked & face) | print_beyond(marked, face, seen, px_per_mm)
    closed_off = ~face & ~seen
    connected = connected_marks(marked)
    filled, middles = fill_middles(
        connected, closed_off, px_per_mm, smallest_point_mm, largest_point_mm
    )
    least_px = np.pi / 4 * (smallest_point_mm * px_per_mm) ** 2
    marks = _without_specks(filled, face, least_px)
    split = split_at_necks(marks, px_per_mm, neck_depth_mm)
    split, by_hand = corrected(split, corrections, face, px_per_mm, origin_mm)
    pieces = _measure(split, regions, film_share)
    merged = _merged_marks(split, pieces, px_per_mm, largest_point_mm)
    contact = (split.labels > 0) & face & ~washed_out
    points = _points_table(
        pieces,
        split,
        regions,
        middles,
        washed_out,
        merged,
        by_hand,
        least_px,
        px_per_mm,
        origin_mm,
    )
    contact_px = pieces.area_px.sum()
    merged_px = pieces.area_px[merged].sum()
    return Bearing(
        contact=contact,
        points=points,
        labels=split.labels * contact,
        middles=middles & contact,
        merged_percent=float(100 * merged_px / contact_px) if contact_px else 0.0,
    )


def _without_specks(filled: Marks, face: Mask, least_px: float) -> Marks:
    # a mark cut by the edge may be small because most of it lies beyond
    edge = edge_pixels(filled.labels > 0, face)
    cut = cut_labels(filled.labels, filled.count, edge, face)
    return keep_marks(filled, filled.areas_px >= np.where(cut, least_px / 4, least_px))


@dataclass(frozen=True, eq=False)
class _Pieces:
    """Sums by label, (n + 1,) each: of the whole piece, and of the part inside the face."""

    whole_px: NDArray[np.float64]
    area_px: NDArray[np.float64]
    x_px: NDArray[np.float64]
    y_px: NDArray[np.float64]
    film_share: NDArray[np.float64]
    some_region: NDArray[np.int16]


def _measure(split: Split, regions: NDArray[np.int16], film_share: NDArray[np.float32]) -> _Pieces:
    n = split.count + 1
    held = split.held
    labels = split.labels.ravel()[held]
    region = regions.ravel()[held]
    y, x = np.divmod(held, split.labels.shape[1])

    def total(weights: NDArray) -> NDArray[np.float64]:
        return np.bincount(labels, weights=weights, minlength=n).astype(np.float64, copy=False)

    whole = np.bincount(labels, minlength=n).astype(np.float64)
    divisor = np.maximum(whole, 1)
    some_region = np.zeros(n, dtype=np.int16)
    in_face = region > 0
    some_region[labels[in_face]] = region[in_face]
    return _Pieces(
        whole_px=whole,
        area_px=total(in_face),
        x_px=total(x) / divisor,
        y_px=total(y) / divisor,
        film_share=total(film_share.ravel()[held]) / divisor,
        some_region=some_region,
    )


def _merged_marks(
    split: Split, pieces: _Pieces, px_per_mm: float, largest_point_mm: float
) -> NDArray[np.bool_]:
    """Which pieces belong to a mark larger than a point can be or of too many pieces."""
    siblings = np.bincount(split.mark_of[1:])
    areas = np.bincount(split.mark_of[1:], weights=pieces.area_px[1:])
    largest_px = np.pi / 4 * (largest_point_mm * px_per_mm) ** 2
    merged = (areas > largest_px) | (siblings > MOST_PIECES)
    return np.concatenate(([False], merged[split.mark_of[1:]]))


def _points_table(
    pieces: _Pieces,
    split: Split,
    regions: NDArray[np.int16],
    middles: Mask,
    washed_out: Mask,
    merged: NDArray[np.bool_],
    by_hand: NDArray[np.bool_],
    least_px: float,
    px_per_mm: float,
    origin_mm: tuple[float, float],
) -> pd.DataFrame:
    n, face = split.count, regions > 0
    edge = edge_pixels(split.labels > 0, face)
    cut = cut_labels(split.labels, n, edge, face)
    region = regions[np.rint(pieces.y_px).astype(int), np.rint(pieces.x_px).astype(int)]
    # a mark bent round a hole has its centroid in the hole, one that is cut may have it anywhere
    wholly_in_face = pieces.area_px == pieces.whole_px
    region = np.where((cut | wholly_in_face) & (region == 0), pieces.some_region, region)
    counted = (region > 0) & (pieces.area_px > 0)
    counted &= (pieces.whole_px >= least_px) | cut | by_hand
    counted &= centre_inside(pieces.area_px, split.labels, edge, cut)
    counted[0] = False
    chosen = np.flatnonzero(counted)
    area_mm2 = pieces.area_px[chosen] / px_per_mm**2
    share = pieces.film_share[chosen]
    typical = float(np.median(share)) if chosen.size else 1.0
    siblings = np.bincount(split.mark_of[1:], minlength=1)
    return table(
        "points",
        {
            "x_mm": pieces.x_px[chosen] / px_per_mm + origin_mm[0],
            "y_mm": pieces.y_px[chosen] / px_per_mm + origin_mm[1],
            "area_mm2": area_mm2,
            "diameter_mm": np.sqrt(4 * area_mm2 / np.pi),
            "film_share": share,
            "region": region[chosen],
            "mark": split.mark_of[chosen],
            "edge": (cut | ~wholly_in_face)[chosen],
            "hollow": _touched(split, middles)[chosen],
            "split": siblings[split.mark_of[chosen]] > 1,
            "merged": merged[chosen],
            "glare": _touched(split, _with_rim(washed_out))[chosen],
            "faint": share < FAINT_SHARE * typical,
            "by_hand": by_hand[chosen],
        },
    )


def _touched(split: Split, mask: Mask) -> NDArray[np.bool_]:
    """Which labels have a pixel in the mask, (n + 1,)."""
    return count_by_label(split.labels[mask], split.count) > 0


def _with_rim(mask: Mask) -> Mask:
    return np.asarray(cv2.dilate(mask.view(np.uint8), np.ones((3, 3), np.uint8)).view(bool))
