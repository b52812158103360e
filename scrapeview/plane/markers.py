"""Printed markers in a photograph: found on a reduced copy, their corners refined at full size."""

import os
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.photo import Photo, load_photo
from scrapeview.plane.cards import DICTIONARY, MARKER_CELLS
from scrapeview.plane.marker_edges import refine_marker

Array = NDArray[np.float64]
Grey = NDArray[np.uint8]
PhotoSource = str | os.PathLike[str] | bytes | NDArray[np.uint8] | Photo
"""A photograph that is loaded, or what `load_photo` takes."""

LONG_SIDES_PX = (1600, 3200)
"""Long sides of the copies that markers are looked for on, before the full size."""
_WORTH_REDUCING = 0.8
_LEAST_SIDE_PX = 1.75 * MARKER_CELLS
"""Side below which cells cannot be told apart."""
_SURE_SIDE_PX = 4.0 * MARKER_CELLS
"""Side of a marker from which on a copy shows all of its kind; measured on computed photographs."""
_SHOWN = 0.93
"""Share of a marker's edges that show where nothing is washed out; ours, no source."""

_MEASURED_ERROR_PX = 0.04
"""How far soft focus moves a corner besides noise, px; measured on computed photographs."""
_PRINT_ERROR_MM = 0.02
"""How far a printer puts a corner from its place; ours, no source."""
_WASHED_OUT = 3.0
"""How much less sure a marker is that is washed out or covered in part; ours, no source."""


@dataclass(frozen=True, eq=False)
class FoundMarker:
    """A marker in a photograph.

    Attributes
    ----------
    id : int
        Its number.
    corners_px : (4, 2) float array
        Its corners in full-size photo pixels, clockwise from the marker's own top left.
    washed_out : bool
        Whether glare washes part of it out or something covers part: trust it less.
    error_px : float
        Standard error of its corners, each direction, px.
    """

    id: int
    corners_px: Array
    washed_out: bool
    error_px: float = 0.0

    def corner_error_px(self, side_mm: float) -> float:
        """Standard error of its corners, as measured, as printed, and more where it is washed out.

        Parameters
        ----------
        side_mm : float
            Its side on the paper.
        """
        around = np.roll(self.corners_px, -1, axis=0) - self.corners_px
        px_per_mm = float(np.linalg.norm(around, axis=1).mean()) / side_mm
        parts = self.error_px, _MEASURED_ERROR_PX, _PRINT_ERROR_MM * px_per_mm
        return float(np.linalg.norm(parts)) * (_WASHED_OUT if self.washed_out else 1.0)


@dataclass(frozen=True, eq=False)
class Markers:
    """All markers in a photograph, and the numbers that are there more than once, left out."""

    found: tuple[FoundMarker, ...]
    doubled: tuple[int, ...]


def loaded(photo: PhotoSource) -> Photo:
    """Return a photograph, loaded at full size unless it was loaded before."""
    return photo if isinstance(photo, Photo) else load_photo(photo)


def find_markers(photo: Photo) -> tuple[FoundMarker, ...]:
    """Find the printed markers in a photograph, in the order of their numbers.

    Of a number that is there twice none is given, as nobody can say which is the right one.

    Parameters
    ----------
    photo : Photo

    Returns
    -------
    tuple of FoundMarker
        Empty where there are none.
    """
    return all_markers(photo).found


def all_markers(photo: Photo) -> Markers:
    """As `find_markers`, with the numbers that are there more than once."""
    found: list[FoundMarker] = []
    for copy, scale in _copies(photo.rgb):
        fresh = [_refined(photo, *seen, scale) for seen in _seen_in(copy)]
        before = len(found)
        found = _together(found, [marker for marker in fresh if marker is not None])
        sides = [_side_px(marker) * scale / photo.reduction for marker in found]
        if found and (min(sides) >= _SURE_SIDE_PX or (before and len(found) == before)):
            break
    counts = Counter(marker.id for marker in found)
    single = [marker for marker in found if counts[marker.id] == 1]
    doubled = sorted(number for number, count in counts.items() if count > 1)
    return Markers(tuple(sorted(single, key=lambda marker: marker.id)), tuple(doubled))


def is_mirrored(photo: Photo) -> bool:
    """Tell whether a photograph without markers would have some as its mirror image."""
    copy, _ = next(_copies(photo.rgb))
    return bool(_seen_in(np.asarray(cv2.flip(copy, 1), np.uint8)))


def _copies(rgb: NDArray[np.uint8]) -> Iterator[tuple[Grey, float]]:
    """Grey copies, small ones first, each with its scale."""
    grey = np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), np.uint8)
    for long_side in LONG_SIDES_PX:
        scale = long_side / max(grey.shape)
        if scale < _WORTH_REDUCING:
            yield _reduced(grey, scale), scale
    yield grey, 1.0


def _reduced(grey: Grey, scale: float) -> Grey:
    """Return a smaller copy whose pixels are means, quickly: by whole steps and then the rest."""
    height, width = grey.shape
    whole = int(1 / scale)
    size = max(1, round(width * scale)), max(1, round(height * scale))
    if whole > 1:
        part = grey[: height // whole * whole, : width // whole * whole]
        reach = part.shape[1] // whole, part.shape[0] // whole
        grey = np.asarray(cv2.resize(part, reach, interpolation=cv2.INTER_AREA), np.uint8)
    return np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_LINEAR), np.uint8)


def _seen_in(grey: Grey) -> list[tuple[int, Array]]:
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    # every speck of a rough surface would be looked at otherwise
    parameters.minMarkerPerimeterRate = 4 * _LEAST_SIDE_PX / max(grey.shape)
    parameters.perspectiveRemovePixelPerCell = 8
    # a tile's own outline lies near its marker's and must not stand for it
    parameters.minMarkerDistanceRate = 0.04
    parameters.adaptiveThreshWinSizeMin = 11
    parameters.adaptiveThreshWinSizeMax = 31
    parameters.adaptiveThreshWinSizeStep = 20
    dictionary = cv2.aruco.getPredefinedDictionary(DICTIONARY)
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary, parameters).detectMarkers(grey)
    numbers = [] if ids is None else np.asarray(ids).ravel().tolist()
    return [
        (int(number), np.asarray(four, dtype=float).reshape(4, 2))
        for number, four in zip(numbers, corners, strict=True)
    ]


def _refined(photo: Photo, number: int, corners: Array, scale: float) -> FoundMarker | None:
    start = (corners + 0.5) / scale - 0.5
    refined = refine_marker(photo.rgb, start, number)
    if refined is None:
        return None
    full_size = (refined.corners_px + 0.5) * photo.reduction - 0.5
    return FoundMarker(
        number, full_size, refined.shown < _SHOWN, refined.error_px * photo.reduction
    )


def _together(known: list[FoundMarker], fresh: list[FoundMarker]) -> list[FoundMarker]:
    """Both lists, the same marker only once."""
    together = list(known)
    for marker in fresh:
        middle, reach = marker.corners_px.mean(axis=0), _side_px(marker) / 2
        again = any(
            other.id == marker.id and np.linalg.norm(other.corners_px.mean(axis=0) - middle) < reach
            for other in together
        )
        if not again:
            together.append(marker)
    return together


def _side_px(marker: FoundMarker) -> float:
    around = np.roll(marker.corners_px, -1, axis=0) - marker.corners_px
    return float(np.linalg.norm(around, axis=1).min())
