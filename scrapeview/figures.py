"""The figures of a face: from its film and points to contact, counts, cells and intervals."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview import confidence
from scrapeview.bearing import (
    BarePatch,
    Bearing,
    Evenness,
    Interval,
    Square,
    largest_bare_patch,
    measure_cells,
    measure_evenness,
    measure_regions,
    size_classes,
    sliding_squares,
    sums_of,
)
from scrapeview.film import Film
from scrapeview.plane import Face, Plane, View
from scrapeview.settings import Settings
from scrapeview.units import per_square_inch


@dataclass(frozen=True, eq=False)
class Figures:
    """The figures of a reading; meanings as in `Reading`."""

    contact_percent: float
    points_per_square_inch: float
    contact_interval: Interval
    ppsi_interval: Interval
    area_mm2: float
    washed_out_percent: float
    merged_percent: float
    points: pd.DataFrame
    cells: pd.DataFrame
    regions: pd.DataFrame
    sizes: pd.DataFrame
    worst_square: Square | None
    best_square: Square | None
    bare_patch: BarePatch
    evenness: Evenness


def measure_figures(
    face: Face,
    view: View,
    regions: NDArray[np.int16],
    film: Film,
    bearing: Bearing,
    plane: Plane,
    settings: Settings,
) -> Figures:
    """Measure all figures of a face.

    Parameters
    ----------
    face : Face
    view : View
    regions : (h, w) int16
        Region number of each pixel of the view, 0 outside the face.
    film : Film
    bearing : Bearing
    plane : Plane
        For the error of areas that comes from how it was found.
    settings : Settings
    """
    in_face = regions > 0
    read = in_face & ~film.washed_out
    washed_out_percent = 100 * float(film.washed_out.sum() / max(1, in_face.sum()))
    area_mm2 = face.area_mm2 * (1 - washed_out_percent / 100)
    contact_percent = 100 * float(bearing.contact.sum() / max(1, read.sum()))
    ppsi = per_square_inch(len(bearing.points), area_mm2)
    sums = sums_of(read, bearing.contact, view.px_per_mm, view.origin_mm)
    cells = measure_cells(sums, bearing.points, face.bounds_mm, settings.cell_mm)
    squares = sliding_squares(sums, bearing.points, face.bounds_mm, settings.cell_mm)
    fields = confidence.fields_for(sums, bearing.points, face.bounds_mm, settings.cell_mm)
    edge_percent = confidence.edge_percent(film.share, read, film.begins_at)
    scale_error = plane.area_error(face.area_mm2, face.bounds_mm)
    return Figures(
        contact_percent=contact_percent,
        points_per_square_inch=ppsi,
        contact_interval=confidence.contact_interval(
            contact_percent, fields, edge_percent, settings.confidence
        ),
        ppsi_interval=confidence.points_interval(
            ppsi, bearing.points, fields, area_mm2, scale_error, settings.confidence
        ),
        area_mm2=area_mm2,
        washed_out_percent=washed_out_percent,
        merged_percent=bearing.merged_percent,
        points=bearing.points,
        cells=cells,
        regions=measure_regions(
            regions, film.washed_out, bearing.contact, bearing.points, face.region_areas_mm2
        ),
        sizes=size_classes(bearing.points),
        worst_square=squares[0] if squares else None,
        best_square=squares[1] if squares else None,
        bare_patch=largest_bare_patch(read, bearing.contact, view.px_per_mm, view.origin_mm),
        evenness=measure_evenness(bearing.points, cells, area_mm2),
    )
