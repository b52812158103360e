"""What textbook methods make of a print, for the benchmark and the tutorial.

Each gets what the pipeline gets for nothing: the face seen square-on at a known scale, its mask,
and whether marks are dark or bright.
"""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.feature import blob_log, peak_local_max
from skimage.filters import threshold_otsu
from skimage.segmentation import watershed

from scrapeview.photo import load_photo
from scrapeview.plane import face_from, view_square_on
from scrapeview.settings import Settings
from scrapeview.simulate.cases import Case

SMALLEST_MM = Settings().smallest_point_mm
LARGEST_MM = Settings().largest_point_mm
LOG_STEPS = 8


@dataclass(frozen=True, eq=False)
class GreyFace:
    """A face seen square-on in grey.

    Parameters
    ----------
    grey : (h, w) uint8
        Marks dark.
    inside : (h, w) bool
    px_per_mm : float
    origin_mm : (x, y)
    """

    grey: NDArray[np.uint8]
    inside: NDArray[np.bool_]
    px_per_mm: float
    origin_mm: tuple[float, float]

    def to_mm(self, xy_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return view pixels (n, 2) as face coordinates."""
        return xy_px / self.px_per_mm + self.origin_mm


@dataclass(frozen=True, eq=False)
class Found:
    """What a method found: centres (n, 2) in mm, and contact in percent of the face."""

    centres_mm: NDArray[np.float64]
    contact_percent: float


def grey_face(case: Case) -> GreyFace:
    """Return the face of a photograph square-on in grey, marks dark."""
    settings, plane = Settings(), case.plane
    photo = load_photo(case.jpeg)
    face = face_from(plane, photo.full_size_px, case.outline_px, case.openings_px, case.openings_mm)
    view = view_square_on(
        photo, plane, face.bounds_mm, px_per_mm=settings.view_px_per_mm, margin_mm=1.0
    )
    grey = cv2.cvtColor(view.rgb, cv2.COLOR_RGB2GRAY)
    if case.marking == "rubbed":
        grey = 255 - grey
    inside = (face.masks(view) > 0) & view.valid
    return GreyFace(np.asarray(grey, np.uint8), inside, view.px_per_mm, view.origin_mm)


def otsu_mask(face: GreyFace) -> NDArray[np.bool_]:
    """Return the pixels of the face darker than Otsu's threshold of its grey values."""
    return np.asarray((face.grey < threshold_otsu(face.grey[face.inside])) & face.inside)


def otsu_watershed(face: GreyFace) -> Found:
    """Otsu's threshold, then watershed of the distance transform from its local maxima."""
    mask = otsu_mask(face)
    depth = ndimage.distance_transform_edt(mask)
    least_px = max(1, round(SMALLEST_MM / 2 * face.px_per_mm))
    parts = ndimage.label(mask, np.ones((3, 3)))[0]
    peaks = peak_local_max(depth, min_distance=least_px, labels=parts, exclude_border=False)
    markers = np.zeros(mask.shape, np.int32)
    markers[tuple(peaks.T)] = np.arange(1, len(peaks) + 1)
    labels = watershed(-depth, markers, mask=mask)
    areas = np.bincount(labels.ravel())
    large = np.flatnonzero(areas >= np.pi / 4 * (SMALLEST_MM * face.px_per_mm) ** 2)
    large = large[large > 0]
    rows_columns = np.reshape(ndimage.center_of_mass(mask, labels, large), (-1, 2))
    return Found(face.to_mm(rows_columns[:, ::-1]), 100 * float(mask.sum() / face.inside.sum()))


def laplacian_blobs(face: GreyFace) -> Found:
    """`skimage.feature.blob_log` over the sizes a point can have; a blob's radius is sqrt(2) s."""
    dark = np.where(face.inside, 255 - face.grey, np.median(255 - face.grey[face.inside]))
    sigmas = np.array([SMALLEST_MM, LARGEST_MM / 2]) / 2 / np.sqrt(2) * face.px_per_mm
    blobs = blob_log(
        dark / 255, min_sigma=sigmas[0], max_sigma=sigmas[1], num_sigma=LOG_STEPS, threshold=0.08
    )
    return _round_ones(face, blobs[:, 1::-1], np.sqrt(2) * blobs[:, 2])


def simple_blobs(face: GreyFace) -> Found:
    """`cv2.SimpleBlobDetector` over the sizes a point can have, round or not."""
    wanted = cv2.SimpleBlobDetector.Params()
    wanted.minArea, wanted.maxArea = (
        np.pi / 4 * (d * face.px_per_mm) ** 2 for d in (SMALLEST_MM, LARGEST_MM)
    )
    wanted.minDistBetweenBlobs = SMALLEST_MM * face.px_per_mm
    wanted.filterByCircularity = wanted.filterByInertia = wanted.filterByConvexity = False
    found = cv2.SimpleBlobDetector.create(wanted).detect(face.grey)
    centres = np.reshape([blob.pt for blob in found], (-1, 2))
    return _round_ones(face, centres, np.array([blob.size / 2 for blob in found]))


def _round_ones(
    face: GreyFace, centres_px: NDArray[np.float64], radii_px: NDArray[np.float64]
) -> Found:
    columns, rows = np.rint(centres_px).astype(int).T
    held = face.inside[rows, columns]
    contact = np.pi * (radii_px[held] ** 2).sum() / face.inside.sum()
    return Found(face.to_mm(centres_px[held]), 100 * float(contact))


METHODS: dict[str, Callable[[GreyFace], Found]] = {
    "Otsu + watershed": otsu_watershed,
    "blob_log": laplacian_blobs,
    "SimpleBlobDetector": simple_blobs,
}
"""Textbook methods by name."""
