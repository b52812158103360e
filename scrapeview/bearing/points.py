"""From film to bearing points: marks, hollow points, necks, edges and the table of points."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.bearing.components import MARKS, Mask, count_by_label, label
from scrapeview.bearing.edges import centre_inside, cut_labels, edge_pixels, print_beyond
from scrapeview.bearing.hollow import fill_middles
from scrapeview.bearing.necks import Split, split_at_necks
from scrapeview.columns import table

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
) -> Bearing:
    """Find the bearing points of a face.

    Parameters
    ----------
    marked : (h, w) bool
        Film thick enough to be contact, on the whole view.
    regions : (h, w) int16
        Region number of each pixel, 0 outside the face.
    seen, washed_out : (h, w) bool
        Pixels inside the photo; pixels that glare has emptied.
    film_share : (h, w) float32
        Film thickness as a share of the full film around it.
    px_per_mm : float
    origin_mm : (x, y)
        Face coordinates of pixel (0, 0).
    smallest_point_mm, largest_point_mm, neck_depth_mm : float
        See `Settings`.
    """
    face = regions > 0
    marks = (marked & face) | print_beyond(marked, face, seen, px_per_mm)
    closed_off = ~face & ~marks
    marks, middles = fill_middles(marks, closed_off, px_per_mm, smallest_point_mm, largest_point_mm)
    least_px = np.pi / 4 * (smallest_point_mm * px_per_mm) ** 2
    marks = _without_specks(marks, face, least_px)
    split = split_at_necks(marks, px_per_mm, neck_depth_mm)
    contact = marks & face & ~washed_out
    pieces = _measure(split, face, contact, film_share)
    merged = _merged_marks(split, marks & face, px_per_mm, largest_point_mm)
    points = _points_table(
        pieces, split, regions, middles, washed_out, marks & face,
        merged, least_px, px_per_mm, origin_mm,
    )  # fmt: skip
    merged_px = pieces.area_px[merged[split.mark_of]].sum()
    contact_px = pieces.area_px[1:].sum()
    return Bearing(
        contact=contact,
        points=points,
        labels=np.where(contact, split.labels, 0).astype(np.int32),
        middles=middles & contact,
        merged_percent=float(100 * merged_px / contact_px) if contact_px else 0.0,
    )


def _without_specks(marks: Mask, face: Mask, least_px: float) -> Mask:
    # a mark cut by the edge may be small because most of it lies beyond
    labels, areas = label(marks, MARKS)
    cut = cut_labels(labels, len(areas) - 1, edge_pixels(marks, face), face)
    keep = areas >= np.where(cut, least_px / 4, least_px)
    keep[0] = False
    return np.asarray(keep[labels])


@dataclass(frozen=True, eq=False)
class _Pieces:
    """Sums by label, (n + 1,) each: whole, and the part inside the face."""

    whole_px: NDArray[np.float64]
    area_px: NDArray[np.float64]
    centre_px: NDArray[np.float64]
    film_share: NDArray[np.float64]


def _measure(split: Split, face: Mask, contact: Mask, film_share: NDArray[np.float32]) -> _Pieces:
    n = split.count + 1
    held = np.flatnonzero(split.labels)
    labels = split.labels.ravel()[held]
    y, x = np.divmod(held, split.labels.shape[1])
    whole = np.bincount(labels, minlength=n).astype(float)
    inside = np.bincount(labels, weights=(face.ravel()[held]), minlength=n)
    sums = [np.bincount(labels, weights=v, minlength=n) for v in (x, y, film_share.ravel()[held])]
    del contact
    x_mean, y_mean, share = (s / np.maximum(whole, 1) for s in sums)
    return _Pieces(whole, inside, np.stack([x_mean, y_mean], axis=1), share)


def _merged_marks(
    split: Split, marks: Mask, px_per_mm: float, largest_point_mm: float
) -> NDArray[np.bool_]:
    """Which connected marks are larger than a point can be, or fall into too many pieces."""
    n = int(split.mark_of.max()) + 1
    pieces = np.bincount(split.mark_of[1:], minlength=n)
    sizes = count_by_label(np.where(marks, split.labels, 0), split.count)
    areas = np.bincount(split.mark_of, weights=sizes, minlength=n)
    largest_px = np.pi / 4 * (largest_point_mm * px_per_mm) ** 2
    merged = (areas > largest_px) | (pieces > MOST_PIECES)
    merged[0] = False
    return merged


def _points_table(
    pieces: _Pieces,
    split: Split,
    regions: NDArray[np.int16],
    middles: Mask,
    washed_out: Mask,
    marks: Mask,
    merged: NDArray[np.bool_],
    least_px: float,
    px_per_mm: float,
    origin_mm: tuple[float, float],
) -> pd.DataFrame:
    n = split.count
    x, y = pieces.centre_px.T
    columns, rows = np.rint(x).astype(int), np.rint(y).astype(int)
    region = regions[rows, columns]
    edge = edge_pixels(marks, regions > 0)
    cut = cut_labels(split.labels, n, edge, regions > 0)
    region = np.where(cut & (region == 0), _region_by_label(split, regions), region)
    counted = (region > 0) & (pieces.area_px > 0)
    counted &= (pieces.whole_px >= least_px) | cut
    counted &= centre_inside(pieces.area_px, split.labels, edge, cut)
    counted[0] = False
    touches_glare = count_by_label(split.labels[_beside(washed_out)], n) > 0
    chosen = np.flatnonzero(counted)
    area_mm2 = pieces.area_px[chosen] / px_per_mm**2
    share = pieces.film_share[chosen]
    typical = float(np.median(share)) if chosen.size else 1.0
    siblings = np.bincount(split.mark_of[1:], minlength=len(merged))
    crosses = (pieces.area_px < pieces.whole_px) & (pieces.area_px > 0)
    return table(
        "points",
        {
            "x_mm": x[chosen] / px_per_mm + origin_mm[0],
            "y_mm": y[chosen] / px_per_mm + origin_mm[1],
            "area_mm2": area_mm2,
            "diameter_mm": np.sqrt(4 * area_mm2 / np.pi),
            "film_share": share,
            "region": region[chosen],
            "mark": split.mark_of[chosen],
            "edge": (cut | crosses)[chosen],
            "hollow": (count_by_label(split.labels[middles], n) > 0)[chosen],
            "split": (siblings[split.mark_of] > 1)[chosen],
            "merged": merged[split.mark_of][chosen],
            "glare": touches_glare[chosen],
            "faint": share < FAINT_SHARE * typical,
        },
    )


def _region_by_label(split: Split, regions: NDArray[np.int16]) -> NDArray[np.int16]:
    """The region each piece has a pixel in (the highest number where there are several)."""
    found = np.zeros(split.count + 1, dtype=np.int16)
    held = np.flatnonzero(split.labels)
    np.maximum.at(found, split.labels.ravel()[held], regions.ravel()[held])
    return found


def _beside(mask: Mask) -> Mask:
    import cv2

    return np.asarray(cv2.dilate(mask.view(np.uint8), np.ones((3, 3), np.uint8)).view(bool))
