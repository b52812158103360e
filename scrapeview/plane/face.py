"""The face on its plane: outline polygons in mm, less its openings."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import FaceError
from scrapeview.plane.plane import Plane
from scrapeview.plane.polygons import Polygon, polygon_mask
from scrapeview.plane.view import View


@dataclass(frozen=True, eq=False)
class Face:
    """What is read: one or several regions, less the openings in them.

    Attributes
    ----------
    regions_mm : tuple of (N, 2) float arrays
        Outline polygons, mm; they do not overlap.
    openings_mm : tuple of (N, 2) float arrays
        Slots, holes and grooves that are not part of the face, mm; they may overlap each other
        and reach past the outline.
    region_areas_mm2 : tuple of float
        Area of each region less the openings, mm2.
    """

    regions_mm: tuple[Polygon, ...]
    openings_mm: tuple[Polygon, ...]
    region_areas_mm2: tuple[float, ...]

    @property
    def area_mm2(self) -> float:
        """Area of all regions less the openings, mm2: by polygon, not by raster."""
        return sum(self.region_areas_mm2)

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Least and greatest x and y of the regions: (x0, y0, x1, y1), mm."""
        corners = np.concatenate(self.regions_mm)
        x0, y0 = corners.min(axis=0)
        x1, y1 = corners.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def masks(self, view: View) -> NDArray[np.int16]:
        """Region number of each pixel of a view: 0 outside and in openings, else from 1.

        A pixel belongs to the region its centre lies in.

        Parameters
        ----------
        view : View
            A square-on view of the face.

        Returns
        -------
        (h, w) int16 array
        """
        shape = view.valid.shape
        labels = np.zeros(shape, dtype=np.int16)
        for number, region in enumerate(self.regions_mm, start=1):
            labels[polygon_mask(view.to_view(region), shape)] = number
        for opening in self.openings_mm:
            labels[polygon_mask(view.to_view(opening), shape)] = 0
        return labels


def face_from(
    plane: Plane,
    photo_size_px: tuple[int, int],
    outline_px: Sequence[ArrayLike] | None = None,
    openings_px: Sequence[ArrayLike] = (),
    openings_mm: Sequence[ArrayLike] = (),
) -> Face:
    """Face from picks."""
    if outline_px is None:
        regions = plane.outline_mm()
        if regions is None:
            w, h = photo_size_px
            regions = (
                plane.to_mm([[-0.5, -0.5], [w - 0.5, -0.5], [w - 0.5, h - 0.5], [-0.5, h - 0.5]]),
            )
        plane.require_inside(photo_size_px)
    else:
        regions = tuple(plane.to_mm(p) for p in outline_px)
    openings = tuple(plane.to_mm(p) for p in openings_px) + tuple(
        np.asarray(p, dtype=float) for p in openings_mm
    )
    from scrapeview.plane.polygons import polygon_area

    return Face(regions, openings, tuple(polygon_area(r) for r in regions))
