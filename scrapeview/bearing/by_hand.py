"""What a person corrects on the points found: false ones, missed ones, joined and parted ones."""

from collections.abc import Iterable

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing.components import Labels, Mask
from scrapeview.bearing.necks import Split
from scrapeview.corrections import Correction, Place
from scrapeview.errors import CorrectionError

REACH_MM = 2.0
"""A click takes the nearest mark within this distance: a thumb is wider than a point."""


def corrected(
    split: Split,
    corrections: Iterable[Correction],
    face: Mask,
    px_per_mm: float,
    origin_mm: tuple[float, float],
) -> tuple[Split, NDArray[np.bool_]]:
    """Return the points as corrected, and which labels (count + 1,) a hand has touched.

    Areas that were left out are the face's own matter, not that of its points.

    Parameters
    ----------
    split : Split
    corrections : iterable of Correction
        In the order they were made.
    face : (h, w) bool
    px_per_mm : float
    origin_mm : (x, y)
        Face coordinates of pixel (0, 0).

    Raises
    ------
    CorrectionError
        Where one has nothing to act on.
    """
    steps = [c for c in corrections if c.kind != "leave_out"]
    if not steps:
        return split, np.zeros(split.count + 1, dtype=bool)
    bench = _Bench(split, face, px_per_mm, origin_mm)
    for step in steps:
        {"remove": bench.remove, "add": bench.add, "merge": bench.merge, "split": bench.part}[
            step.kind
        ](step)
    return bench.result()


class _Bench:
    """Labels under correction; label and mark numbers only grow until the end."""

    def __init__(
        self, split: Split, face: Mask, px_per_mm: float, origin_mm: tuple[float, float]
    ) -> None:
        self.labels: Labels = split.labels.copy()
        self.mark_of = list(split.mark_of)
        self.touched: set[int] = set()
        self.face = face
        self.px_per_mm = px_per_mm
        self.origin_mm = np.array(origin_mm)

    def remove(self, step: Correction) -> None:
        self.labels[self.labels == self._label_at(step.places_mm[0])] = 0

    def add(self, step: Correction) -> None:
        (place,) = step.places_mm
        x, y = self._pixel(place)
        height, width = self.face.shape
        if not (0 <= round(x) < width and 0 <= round(y) < height and self.face[round(y), round(x)]):
            raise CorrectionError(f"{_told(place)} is off the face: add points on it.")
        if self.labels[round(y), round(x)]:
            raise CorrectionError(f"At {_told(place)} a point is counted already: split it.")
        rows, columns = np.ogrid[:height, :width]
        radius = max(0.5, step.diameter_mm / 2 * self.px_per_mm)
        disc = (columns - x) ** 2 + (rows - y) ** 2 <= radius**2
        self.labels[disc & (self.labels == 0)] = self._new_label(int(max(self.mark_of)) + 1)

    def merge(self, step: Correction) -> None:
        kept, other = (self._label_at(place) for place in step.places_mm)
        if kept == other:
            raise CorrectionError(f"At {_told(step.places_mm[0])} there is only one point to join.")
        self.labels[self.labels == other] = kept
        gone = self.mark_of[other]
        self.mark_of = [self.mark_of[kept] if m == gone else m for m in self.mark_of]
        self.touched.add(kept)

    def part(self, step: Correction) -> None:
        start, end = (self._pixel(place) for place in step.places_mm)
        crossed = self._crossed(start, end)
        along = end - start
        parted = False
        for number in crossed:
            held = np.flatnonzero(self.labels == number)
            y, x = np.divmod(held, self.labels.shape[1])
            beyond = along[0] * (y - start[1]) - along[1] * (x - start[0]) > 0
            if beyond.all() or not beyond.any():
                continue
            self.labels.ravel()[held[beyond]] = self._new_label(self.mark_of[number])
            self.touched.add(number)
            parted = True
        if not parted:
            told = " to ".join(_told(place) for place in step.places_mm)
            raise CorrectionError(f"The line from {told} crosses no point: draw it right across.")

    def result(self) -> tuple[Split, NDArray[np.bool_]]:
        held = np.flatnonzero(self.labels)
        used, number = np.unique(self.labels.ravel()[held], return_inverse=True)
        labels = np.zeros(self.labels.size, dtype=np.int32)
        labels[held] = number + 1
        mark_of = np.concatenate(([0], np.array(self.mark_of, dtype=np.int64)[used]))
        touched = np.concatenate(([False], np.isin(used, list(self.touched))))
        return Split(labels.reshape(self.labels.shape), held, len(used), mark_of), touched

    def _new_label(self, mark: int) -> int:
        self.mark_of.append(mark)
        self.touched.add(len(self.mark_of) - 1)
        return len(self.mark_of) - 1

    def _pixel(self, place: Place) -> NDArray[np.float64]:
        return (np.array(place) - self.origin_mm) * self.px_per_mm

    def _label_at(self, place: Place) -> int:
        """Label of the mark at a place, or of the nearest within reach."""
        height, width = self.labels.shape
        reach = int(np.ceil(REACH_MM * self.px_per_mm))
        x, y = self._pixel(place)
        x0, x1 = np.clip((round(x) - reach, round(x) + reach + 1), 0, width)
        y0, y1 = np.clip((round(y) - reach, round(y) + reach + 1), 0, height)
        rows, columns = np.nonzero(self.labels[y0:y1, x0:x1])
        apart = np.hypot(columns + x0 - x, rows + y0 - y)
        if apart.size == 0 or apart.min() > REACH_MM * self.px_per_mm:
            raise CorrectionError(
                f"There is no mark within {REACH_MM:g} mm of {_told(place)}: click on one."
            )
        nearest = int(apart.argmin())
        return int(self.labels[rows[nearest] + y0, columns[nearest] + x0])

    def _crossed(self, start: NDArray[np.float64], end: NDArray[np.float64]) -> list[int]:
        drawn = np.zeros(self.labels.shape, dtype=np.uint8)
        ends = [tuple(int(v) for v in np.clip(np.rint(p), -32000, 32000)) for p in (start, end)]
        cv2.line(drawn, ends[0], ends[1], 1)
        found = np.unique(self.labels[drawn > 0])
        return [int(number) for number in found if number]


def _told(place: Place) -> str:
    return f"{place[0]:.1f} mm from the left, {place[1]:.1f} mm from the top"
