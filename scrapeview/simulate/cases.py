"""Photographs with their truth, computed or from a folder, in one form for the benchmark.

A folder holds NAME.jpg (or .jpeg, .png) with NAME.json beside it:

=====================================  ===========================================================
key                                    meaning
=====================================  ===========================================================
corners_px                             four corners in photo pixels, clockwise from the top left
size_mm or size_in                     width and height between them
rim_px, diameter_mm                    instead of the two above for a round face
outline_px, openings_px                optional polygons in photo pixels
openings_mm or openings_in             optional polygons, or boxes [x0, y0, x1, y1], on the face
marking                                optional, "auto" where missing
ppsi, contact_percent                  what is known of the truth
xy                                     optional: x, y and area of each known point, in the unit of
                                       the size (inch with size_in, else mm)
=====================================  ===========================================================

A "truth" with contact_percent, points_per_square_inch and counted, as in the sample photographs,
serves as well.
"""

import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import ReadingError
from scrapeview.plane import Plane
from scrapeview.reading import read_print
from scrapeview.result import Reading
from scrapeview.simulate.result import Rendered
from scrapeview.units import MM_PER_INCH

PHOTO_ENDINGS = (".jpg", ".jpeg", ".png")


@dataclass(frozen=True, eq=False)
class Case:
    """One photograph to read, and what is known of it.

    Parameters
    ----------
    name : str
    jpeg : bytes
        The photograph's file.
    corners_px, size_mm : of a rectangle, else None
    rim_px, diameter_mm : of a round face, else None
    marking : str
    outline_px, openings_px, openings_mm : polygons
    ppsi, contact_percent : float or None
        The truth, as far as it is known.
    points_mm : (n, 3) float or None
        x, y and area of the known points.
    """

    name: str
    jpeg: bytes
    corners_px: NDArray[np.float64] | None
    size_mm: tuple[float, float] | None
    rim_px: NDArray[np.float64] | None
    diameter_mm: float | None
    marking: str
    outline_px: tuple[NDArray[np.float64], ...] | None
    openings_px: tuple[NDArray[np.float64], ...]
    openings_mm: tuple[NDArray[np.float64], ...]
    ppsi: float | None
    contact_percent: float | None
    points_mm: NDArray[np.float64] | None

    @property
    def plane(self) -> Plane:
        """The plane of the face."""
        if self.rim_px is not None and self.diameter_mm is not None:
            return Plane.from_circle(self.rim_px, diameter_mm=self.diameter_mm)
        if self.corners_px is not None and self.size_mm is not None:
            return Plane.from_corners(self.corners_px, size_mm=self.size_mm)
        raise ReadingError(f"{self.name} has neither corners and size nor rim and diameter.")

    @property
    def shape_px(self) -> tuple[int, int]:
        """Height and width of the photograph."""
        height, width = self._picture().shape[:2]
        return height, width

    def read(self) -> Reading:
        """Read the photograph."""
        return read_print(
            self.jpeg,
            plane=self.plane,
            marking=self.marking,
            outline_px=self.outline_px,
            openings_px=self.openings_px,
            openings_mm=self.openings_mm,
        )

    def resized(self, factor: float) -> "Case":
        """Return the same photograph with `factor` times the pixels each way."""
        shown = cv2.resize(
            self._picture(), None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA
        )
        data = cv2.imencode(".jpg", shown, [cv2.IMWRITE_JPEG_QUALITY, 90])[1].tobytes()

        def moved(xy_px: NDArray[np.float64]) -> NDArray[np.float64]:
            return (xy_px + 0.5) * factor - 0.5

        return replace(
            self,
            jpeg=data,
            corners_px=None if self.corners_px is None else moved(self.corners_px),
            rim_px=None if self.rim_px is None else moved(self.rim_px),
            outline_px=self.outline_px and tuple(moved(p) for p in self.outline_px),
            openings_px=tuple(moved(p) for p in self.openings_px),
        )

    def _picture(self) -> NDArray[np.uint8]:
        bgr = cv2.imdecode(np.frombuffer(self.jpeg, np.uint8), cv2.IMREAD_COLOR)
        if bgr is None:
            raise ReadingError(f"The photograph of {self.name} cannot be decoded.")
        return np.asarray(bgr, dtype=np.uint8)


def case_of(name: str, shot: Rendered) -> Case:
    """Return a computed photograph as a case.

    A rim says nothing about how a round face is turned, so its openings and known points are
    carried over through the photograph.
    """
    truth, round_face = shot.truth, len(shot.rim_px) > 0
    rectangle = shot.scene.shape.kind == "rectangle"
    case = Case(
        name=name,
        jpeg=shot.jpeg,
        corners_px=None if round_face else shot.corners_px,
        size_mm=None if round_face else shot.size_mm,
        rim_px=shot.rim_px if round_face else None,
        diameter_mm=shot.diameter_mm if round_face else None,
        marking=shot.marking,
        outline_px=None if round_face or rectangle else shot.outline_px,
        openings_px=shot.openings_px if round_face else (),
        openings_mm=() if round_face else shot.openings_mm,
        ppsi=truth.points_per_square_inch if truth.countable else None,
        contact_percent=truth.contact_percent,
        points_mm=truth.points[["x_mm", "y_mm", "area_mm2"]].to_numpy(dtype=np.float64)
        if truth.countable
        else None,
    )
    if not round_face or case.points_mm is None:
        return case
    xy_px = cv2.perspectiveTransform(case.points_mm[None, :, :2], shot.mm_to_px)[0]
    return replace(case, points_mm=np.column_stack((case.plane.to_mm(xy_px), case.points_mm[:, 2])))


def cases_in(folder: Path) -> list[Case]:
    """Return the photographs of a folder, in order of their names.

    Raises
    ------
    ReadingError
        Where there is no photograph with its JSON, or the JSON lacks what is needed.
    """
    cases = [_case_from(photo) for photo in _photos_in(folder)]
    if not cases:
        raise ReadingError(f"{folder} holds no photograph with a JSON file of its name beside it.")
    return cases


def _photos_in(folder: Path) -> list[Path]:
    found = [p for p in sorted(folder.glob("*")) if p.suffix.lower() in PHOTO_ENDINGS]
    return [p for p in found if p.with_suffix(".json").exists()]


def _case_from(photo: Path) -> Case:
    note = json.loads(photo.with_suffix(".json").read_text(encoding="utf-8"))
    try:
        return _case_of_note(photo.stem, photo.read_bytes(), note)
    except (KeyError, TypeError, ValueError) as error:
        raise ReadingError(f"{photo.stem}.json cannot be understood: {error!r}.") from error


def _case_of_note(name: str, jpeg: bytes, note: dict[str, Any]) -> Case:
    truth = note.get("truth", {})
    counted = truth.get("counted") == "points"
    unit_mm = MM_PER_INCH if "size_in" in note else 1.0
    size = note.get("size_in", note.get("size_mm"))
    known = note.get("xy")
    return Case(
        name=name,
        jpeg=jpeg,
        corners_px=_array(note.get("corners_px")),
        size_mm=None if size is None else (size[0] * unit_mm, size[1] * unit_mm),
        rim_px=_array(note.get("rim_px")),
        diameter_mm=note.get("diameter_mm"),
        marking=note.get("marking", "auto"),
        outline_px=_polygons(note["outline_px"]) if note.get("outline_px") else None,
        openings_px=_polygons(note.get("openings_px", [])),
        openings_mm=(
            *_polygons(note.get("openings_mm", [])),
            *(p * MM_PER_INCH for p in _polygons(note.get("openings_in", []))),
        ),
        ppsi=note.get("ppsi", truth.get("points_per_square_inch") if counted else None),
        contact_percent=note.get("contact_percent", truth.get("contact_percent")),
        points_mm=None if known is None else _points_mm(known, unit_mm),
    )


def _points_mm(known: list[list[float]], unit_mm: float) -> NDArray[np.float64]:
    # a row may hold more than x, y and area
    rows = [row[:3] for row in known]
    return np.array(rows, dtype=np.float64).reshape(-1, 3) * (unit_mm, unit_mm, unit_mm**2)


def _array(values: ArrayLike | None) -> NDArray[np.float64] | None:
    return None if values is None else np.array(values, dtype=np.float64)


def _polygons(polygons: list[Any]) -> tuple[NDArray[np.float64], ...]:
    return tuple(_box(*p) if np.ndim(p) == 1 else np.array(p, np.float64) for p in polygons)


def _box(x0: float, y0: float, x1: float, y1: float) -> NDArray[np.float64]:
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=np.float64)
