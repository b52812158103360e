"""Reading a photograph as a face in the record asks for, and reading it again."""

import dataclasses
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scrapeview.corrections import Correction
from scrapeview.errors import FaceError
from scrapeview.plane import Plane
from scrapeview.plane.polygons import clipped, polygon_area
from scrapeview.reading import read_print
from scrapeview.record.entries import FacePlan
from scrapeview.result import Reading
from scrapeview.settings import Picks

WHOLE = 0.999
"""Share of the face's sides from which a stretch counts as the whole face."""


def read_for_face(
    plan: FacePlan,
    photo: bytes,
    plane: Plane,
    *,
    corrections: Sequence[Correction] = (),
    marking_picks_px: Picks = (),
    metal_picks_px: Picks = (),
) -> Reading:
    """Read a photograph with the regions, openings and frozen settings of its face.

    Parameters
    ----------
    plan : FacePlan
    photo : bytes
        The photograph's file.
    plane : Plane
    corrections : sequence of Correction
    marking_picks_px, metal_picks_px : tuple of (x, y)
        Sample picks on this photograph; both or none.

    Returns
    -------
    Reading

    Raises
    ------
    PhotoError, PlaneError, FaceError, SettingsError, CorrectionError
        As `read_print`.
    """
    settings = dataclasses.replace(
        plan.settings, marking_picks_px=marking_picks_px, metal_picks_px=metal_picks_px
    )
    regions = [plane.to_px(region) for region in regions_shown(plan, plane)]
    return read_print(
        photo,
        plane=plane,
        marking=plan.marking,
        outline_px=regions or None,
        openings_mm=openings_shown(plan, plane),
        settings=settings,
        corrections=corrections,
    )


def regions_shown(plan: FacePlan, plane: Plane) -> list[NDArray[np.float64]]:
    """Return the regions of a face that lie in the stretch a plane was placed by, (N, 2) in mm.

    A print of a shorter reference shows one stretch of the face only; what lies beyond it is not
    read. Without regions in the plan the stretch itself is read, and none are returned.

    Raises
    ------
    FaceError
        Where no region reaches into the stretch.
    """
    regions = [np.array(region, dtype=float) for region in plan.regions_mm]
    stretch_mm = _stretch(plan, plane)
    if stretch_mm is None or not regions:
        return regions
    parts = [clipped(region, stretch_mm) for region in regions]
    shown = [part for part in parts if _has_area(part)]
    if not shown:
        raise FaceError(
            "No part of the face lies in the stretch that was printed: check where it begins and "
            "how long it is."
        )
    return shown


def openings_shown(plan: FacePlan, plane: Plane) -> list[NDArray[np.float64]]:
    """Return the openings of a face that reach into the stretch a plane was placed by, mm.

    Those beyond it are no mistake of the print and need not be told as such.
    """
    openings = [np.array(opening, dtype=float) for opening in plan.openings_mm]
    stretch_mm = _stretch(plan, plane)
    if stretch_mm is None:
        return openings
    return [opening for opening in openings if _has_area(clipped(opening, stretch_mm))]


def _stretch(plan: FacePlan, plane: Plane) -> tuple[float, float, float, float] | None:
    """Return the box of what a plane was placed by, mm; None where that is the whole face."""
    if plan.shape != "rectangle" or not plane.face_mm:
        return None
    (x0, y0), (x1, y1) = plane.face_mm[0].min(axis=0), plane.face_mm[0].max(axis=0)
    if x1 - x0 >= WHOLE * plan.width_mm and y1 - y0 >= WHOLE * plan.height_mm:
        return None
    return float(x0), float(y0), float(x1), float(y1)


def _has_area(polygon: NDArray[np.float64]) -> bool:
    return len(polygon) > 2 and polygon_area(polygon) > 0


def reread_print(plan: FacePlan, photo: bytes, reading: Reading) -> Reading:
    """Read a photograph again as an earlier reading was placed, sampled and corrected.

    Parameters
    ----------
    plan : FacePlan
        The face's plan as it is now.
    photo : bytes
    reading : Reading
        The earlier one.

    Returns
    -------
    Reading

    Raises
    ------
    PhotoError, PlaneError, FaceError, SettingsError, CorrectionError
        As `read_print`; a correction may have nothing to act on any more.
    """
    return read_for_face(
        plan, photo, reading.plane,
        corrections=reading.corrections,
        marking_picks_px=reading.settings.marking_picks_px,
        metal_picks_px=reading.settings.metal_picks_px,
    )  # fmt: skip
