"""From one photograph of a print to its reading: the whole pipeline, top to bottom."""

import contextlib
import os
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.bearing import find_points
from scrapeview.corrections import Correction, left_out_of, require_print
from scrapeview.errors import SettingsError
from scrapeview.figures import measure_figures
from scrapeview.film import read_film
from scrapeview.findings import reading_findings
from scrapeview.photo import load_photo, patch_checks, photo_checks
from scrapeview.plane import Plane, View, face_from, require_readable, view_square_on
from scrapeview.provenance import now_utc, versions
from scrapeview.result import Reading
from scrapeview.settings import Picks, Settings


def read_print(
    photo: str | os.PathLike[str] | bytes | NDArray[np.uint8],
    *,
    plane: Plane,
    marking: str = "auto",
    outline_px: Sequence[ArrayLike] | None = None,
    openings_px: Sequence[ArrayLike] = (),
    openings_mm: Sequence[ArrayLike] = (),
    settings: Settings | None = None,
    corrections: Sequence[Correction] = (),
) -> Reading:
    """Read one photograph of a print.

    Parameters
    ----------
    photo : path, bytes or (H, W, 3) uint8 RGB array
    plane : Plane
        Where the face lies in the photo and how large it is.
    marking : str
        "auto", "blue", "red", "black" or "rubbed" (bright spots in a coated face).
    outline_px : list of (N, 2) polygons, optional
        The face in photo pixels, one polygon a region; else the plane's own outline, else the
        whole photo.
    openings_px, openings_mm : lists of (N, 2) polygons
        Slots, holes and grooves that are not part of the face.
    settings : Settings, optional
    corrections : sequence of Correction
        What was corrected by hand on the reading without them, in the order it was done.

    Returns
    -------
    Reading

    Raises
    ------
    PhotoError, PlaneError, FaceError, SettingsError, CorrectionError
        Each with a plain sentence that says what is wrong and what to do.
    """
    settings = settings or Settings()
    bounds_mm = _rough_bounds(plane, outline_px)
    reduction = plane.reduction_for(settings.view_px_per_mm, bounds_mm)
    picture = load_photo(photo, reduction=reduction)
    face = face_from(
        plane, picture.full_size_px, outline_px, openings_px, openings_mm, left_out_of(corrections)
    )
    view = view_square_on(
        picture, plane, face.bounds_mm,
        px_per_mm=settings.view_px_per_mm, margin_mm=settings.margin_mm,
    )  # fmt: skip
    require_readable(face, view, settings.smallest_point_mm)
    regions = np.where(view.valid, face.masks(view), 0).astype(np.int16)
    film = read_film(
        view.rgb, regions > 0, view.px_per_mm,
        marking=marking, film_share=settings.film_share,
        marking_picks=_in_view(settings.marking_picks_px, plane, view),
        metal_picks=_in_view(settings.metal_picks_px, plane, view),
    )  # fmt: skip
    require_print(film.separability.is_print, corrections)
    bearing = find_points(
        film.marked, regions, view.valid & ~face.openings_mask(view), film.washed_out, film.share,
        view.px_per_mm, view.origin_mm,
        smallest_point_mm=settings.smallest_point_mm,
        largest_point_mm=settings.largest_point_mm,
        neck_depth_mm=settings.neck_depth_mm,
        corrections=corrections,
    )  # fmt: skip
    figures = measure_figures(face, view, regions, film, bearing, plane, settings)
    checks = photo_checks(
        view.rgb, regions > 0,
        px_per_mm=view.px_per_mm, smallest_point_mm=settings.smallest_point_mm,
        glare_percent=figures.washed_out_percent, tilt_deg=plane.tilt_deg,
    )  # fmt: skip
    checks += patch_checks(plane.patches)
    findings = reading_findings(
        film.separability, film.heaviness, bearing.merged_percent, face.openings_outside
    )
    return Reading(
        is_print=film.separability.is_print,
        reason=film.separability.reason,
        marking=film.marking,
        undercoat=film.undercoat,
        separability=film.separability,
        heaviness=film.heaviness,
        checks=(*checks, *findings),
        contact_mask=bearing.contact,
        px_per_mm=view.px_per_mm,
        origin_mm=view.origin_mm,
        regions_mm=face.regions_mm,
        openings_mm=face.openings_mm,
        plane=plane,
        settings=settings,
        corrections=tuple(corrections),
        photo_sha256=picture.sha256,
        photo_size_px=picture.full_size_px,
        photo_notes=(*picture.notes, *plane.notes),
        taken_at=picture.taken_at,
        read_at_utc=now_utc(),
        versions=versions(),
        **vars(figures),
    )


def _rough_bounds(
    plane: Plane, outline_px: Sequence[ArrayLike] | None
) -> tuple[float, float, float, float]:
    """Bounds in mm of what will be read, before the photo is decoded."""
    corners = np.concatenate([np.empty((0, 2)), *(plane.outline_mm() or ())])
    if outline_px is not None:
        # what is no polygon is refused, in words, once the photo's size is known
        with contextlib.suppress(TypeError, ValueError):
            picks = np.concatenate([np.reshape(o, (-1, 2)) for o in outline_px])
            corners = plane.to_mm(picks[np.isfinite(picks).all(axis=1)])
    if len(corners) == 0:
        # square on, any place has the same scale
        return 0.0, 0.0, 1.0, 1.0
    (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _in_view(picks_px: Picks, plane: Plane, view: View) -> NDArray[np.float64] | None:
    if not picks_px:
        return None
    picks = view.to_view(plane.to_mm(np.array(picks_px)))
    h, w = view.valid.shape
    if (picks < 0).any() or (picks > (w - 1, h - 1)).any():
        raise SettingsError("A sample pick lies off the face; pick marking and metal on it.")
    return picks
