"""Reading a photograph as a face in the record asks for, and reading it again."""

import dataclasses
from collections.abc import Sequence

import numpy as np

from scrapeview.corrections import Correction
from scrapeview.plane import Plane
from scrapeview.reading import read_print
from scrapeview.record.entries import FacePlan
from scrapeview.result import Reading
from scrapeview.settings import Picks


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
    regions = [plane.to_px(np.array(region)) for region in plan.regions_mm]
    return read_print(
        photo,
        plane=plane,
        marking=plan.marking,
        outline_px=regions or None,
        openings_mm=[np.array(opening) for opening in plan.openings_mm],
        settings=settings,
        corrections=corrections,
    )


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
