"""The face on its plane: outline polygons in mm, less its openings."""

from collections.abc import Sequence
from dataclasses import dataclass
from numbers import Real

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import FaceError
from scrapeview.plane.bounds import outside_tolerance_px, pixels_outside
from scrapeview.plane.plane import Plane
from scrapeview.plane.polygons import Polygon, crosses_itself, polygon_area, polygon_mask
from scrapeview.plane.sweep import swept_areas
from scrapeview.plane.view import View

_MAX_OVERLAP = 0.005
_NOTHING_LEFT = 1e-4
_THINNEST = 1e-6


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
    openings_outside : tuple of int
        Numbers (from 1, those given in pixels first) of openings that do not touch the face:
        nothing is taken out for them, so a unit or a pick is likely wrong.
    left_out_mm : tuple of (N, 2) float arrays
        Metal like the face around it that is not to be read; off the areas as openings are.
    hidden_mm : tuple of (N, 2) float arrays
        Where something lies on the face, or a map has a gap: the face is there but does not show.
    """

    regions_mm: tuple[Polygon, ...]
    openings_mm: tuple[Polygon, ...]
    region_areas_mm2: tuple[float, ...]
    openings_outside: tuple[int, ...] = ()
    left_out_mm: tuple[Polygon, ...] = ()
    hidden_mm: tuple[Polygon, ...] = ()

    @property
    def area_mm2(self) -> float:
        """Area of all regions less the openings, mm2: from the polygons, not from a raster."""
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

        A pixel belongs to the region its centre lies in, so areas by pixels have no bias.

        Parameters
        ----------
        view : View
            A square-on view of the face.

        Returns
        -------
        (h, w) int16 array
        """
        shape = view.valid.shape[0], view.valid.shape[1]
        labels = np.zeros(shape, dtype=np.int16)
        for number, region in enumerate(self.regions_mm, start=1):
            labels[polygon_mask(view.to_view(region), shape)] = number
        labels[self.openings_mask(view)] = 0
        labels[_inside_any(self.left_out_mm, view)] = 0
        return labels

    def openings_mask(self, view: View) -> NDArray[np.bool_]:
        """Pixels of a view that show no face, (h, w) bool: their centres are open or hidden."""
        return _inside_any((*self.openings_mm, *self.hidden_mm), view)


def face_from(
    plane: Plane,
    photo_size_px: tuple[int, int],
    outline_px: Sequence[ArrayLike] | None = None,
    openings_px: Sequence[ArrayLike] = (),
    openings_mm: Sequence[ArrayLike] = (),
    left_out_mm: Sequence[ArrayLike] = (),
) -> Face:
    """Face from the plane's own outline or from polygons picked in the photo.

    Straight edges stay straight, so polygons are mapped corner by corner. One polygon may be
    given in place of a list with one polygon in it.

    Parameters
    ----------
    plane : Plane
        Where the face lies in the photo; what it says is hidden is taken out.
    photo_size_px : (int, int)
        Width and height of the photo at full size.
    outline_px : sequence of (N, 2) array_like, optional
        One polygon a region, in full-size photo pixels. Without it the face is the plane's own
        outline, or the whole photo where it has none.
    openings_px, openings_mm : sequence of (N, 2) array_like
        Polygons that are not part of the face, in photo pixels and in mm.
    left_out_mm : sequence of (N, 2) array_like
        Polygons of the face that are not to be read, in mm.

    Returns
    -------
    Face

    Raises
    ------
    FaceError
        If a polygon is not one, crosses itself or has no area, an outline leaves the photo,
        regions overlap by more than 0.5 % of the smaller, openings leave nothing of a region, or
        a plane from tiles is given without saying what the face is.
    PlaneError
        If the plane's own outline is used and leaves the photo.
    """
    regions = _regions(plane, photo_size_px, outline_px)
    openings = [
        _mapped(plane, _checked(polygon, f"Opening {number}"), f"Opening {number}")
        for number, polygon in enumerate(_as_list(openings_px), start=1)
    ]
    openings += [
        _checked(polygon, f"Opening {number}")
        for number, polygon in enumerate(_as_list(openings_mm), start=len(openings) + 1)
    ]
    left_out = [
        _checked(polygon, f"Left-out area {number}")
        for number, polygon in enumerate(_as_list(left_out_mm), start=1)
    ]
    swept = swept_areas(regions, [*openings, *left_out, *plane.hidden_mm])
    _require_apart(regions, swept.overlap)
    _require_something_left(regions, swept.regions)
    taken = swept.openings[: len(openings)]
    outside = tuple(number for number, area in enumerate(taken, start=1) if area == 0)
    areas = tuple(swept.regions.tolist())
    return Face(tuple(regions), tuple(openings), areas, outside, tuple(left_out), plane.hidden_mm)


def _inside_any(polygons: Sequence[Polygon], view: View) -> NDArray[np.bool_]:
    shape = view.valid.shape[0], view.valid.shape[1]
    inside = np.zeros(shape, dtype=bool)
    for polygon in polygons:
        inside |= polygon_mask(view.to_view(polygon), shape)
    return inside


def _regions(
    plane: Plane, photo_size_px: tuple[int, int], outline_px: Sequence[ArrayLike] | None
) -> list[Polygon]:
    if outline_px is not None:
        outlines = _as_list(outline_px)
        if len(outlines) == 0:
            raise FaceError("The outline holds no polygon: leave it out or give at least one.")
        return [
            _picked_region(plane, photo_size_px, polygon, f"Outline {number}")
            for number, polygon in enumerate(outlines, start=1)
        ]
    plane.require_inside(photo_size_px)
    own = plane.outline_mm()
    if own is None and plane.kind == "tiles":
        raise FaceError(
            "Tiles give the scale but do not say what the face is: pick its four corners and give "
            "its size, or draw its outline."
        )
    return list(own) if own is not None else [plane.to_mm(_photo_border(photo_size_px))]


def _photo_border(photo_size_px: tuple[int, int]) -> Polygon:
    right, bottom = photo_size_px[0] - 0.5, photo_size_px[1] - 0.5
    return np.array([[-0.5, -0.5], [right, -0.5], [right, bottom], [-0.5, bottom]])


def _picked_region(
    plane: Plane, photo_size_px: tuple[int, int], picks: ArrayLike, what: str
) -> Polygon:
    polygon = _checked(picks, what)
    beyond = pixels_outside(polygon, photo_size_px).max()
    if beyond > outside_tolerance_px(photo_size_px):
        raise FaceError(
            f"{what} reaches {beyond:.0f} px outside the photo of {photo_size_px[0]} x "
            f"{photo_size_px[1]} px: pick it on the photo at its full size."
        )
    return _mapped(plane, polygon, what)


def _mapped(plane: Plane, polygon_px: Polygon, what: str) -> Polygon:
    depth = polygon_px @ plane.px_to_mm[2, :2] + plane.px_to_mm[2, 2]
    if (depth <= 0).any():
        raise FaceError(
            f"{what} reaches past the horizon of the face's plane: check it and the plane's picks."
        )
    return plane.to_mm(polygon_px)


def _as_list(polygons: Sequence[ArrayLike]) -> list[ArrayLike]:
    try:
        listed = list(polygons)
    except TypeError as error:
        raise FaceError("Outlines and openings must be lists of polygons.") from error
    one_polygon = bool(listed) and all(_is_pair(item) for item in listed)
    return [np.asarray(listed, dtype=float)] if one_polygon else listed


def _is_pair(item: ArrayLike) -> bool:
    return (
        isinstance(item, (Sequence, np.ndarray))
        and len(item) == 2
        and all(isinstance(value, Real) for value in item)
    )


def _checked(picks: ArrayLike, what: str) -> Polygon:
    try:
        polygon = np.asarray(picks, dtype=float)
    except (TypeError, ValueError) as error:
        raise FaceError(f"{what} must be a polygon: three or more pairs x, y.") from error
    if polygon.ndim == 2 and len(polygon) > 1 and np.array_equal(polygon[0], polygon[-1]):
        polygon = polygon[:-1]
    if polygon.ndim != 2 or polygon.shape[1] != 2 or len(polygon) < 3:
        raise FaceError(f"{what} must be a polygon: three or more pairs x, y.")
    if not np.isfinite(polygon).all():
        raise FaceError(f"{what} holds a number that is not finite: pick it again.")
    if crosses_itself(polygon):
        raise FaceError(f"{what} crosses itself: list its corners in order round it.")
    if polygon_area(polygon) <= _THINNEST * np.ptp(polygon, axis=0).max() ** 2:
        raise FaceError(f"{what} has no area: its corners lie in one line or are all the same.")
    return polygon


def _require_apart(regions: list[Polygon], overlap_mm2: float) -> None:
    smallest = min(polygon_area(region) for region in regions)
    if overlap_mm2 > _MAX_OVERLAP * smallest:
        raise FaceError(
            f"Outlines overlap by {overlap_mm2:.0f} mm2, which would be read twice: "
            "draw them apart or as one."
        )


def _require_something_left(regions: list[Polygon], left_mm2: NDArray[np.float64]) -> None:
    for number, (region, left) in enumerate(zip(regions, left_mm2, strict=True), start=1):
        if left < _NOTHING_LEFT * polygon_area(region):
            raise FaceError(
                f"The openings leave nothing of outline {number}: check where they lie and "
                "whether they are in mm or in pixels."
            )
