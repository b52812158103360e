"""Where a placement lies on its face: a plane picked on one stretch, in millimetres of the whole.

A page or a command does three things, and the reading's millimetres are those of the whole face:

1. ask for the four corners of a stretch as large as `stretch_size_mm(plan, placement)`;
2. make a plane: `Plane.from_corners(corners_px, size_mm)`, or one that knows its scale by itself
   (by a card, by tiles, of a joined map);
3. take `plane_on_face(plan, placement, plane, corners_px)` and read with what it returns.

Where nothing was told of the placement, that leaves a plane of the whole face as it is.
"""

import dataclasses

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import PlaneError
from scrapeview.placements import Placement, Side
from scrapeview.plane import Plane
from scrapeview.record.entries import FacePlan

KNOWS_SCALE = ("card", "tiles", "map")
"""Kinds of plane that know how long a millimetre is without any corners."""
Box = tuple[float, float, float, float]
_SAME_MM = 1e-3
_NO_CORNERS = "Where '{0}' lies is not said: pick its four corners too."
_OTHER_CORNERS = (
    "The corners are {1:g} mm apart along the face '{0}', and the print covers {2:g} mm of it: "
    "pick the corners of what was printed."
)


def stretch_size_mm(plan: FacePlan, placement: Placement) -> tuple[float, float]:
    """Return how long and how high the rectangle is whose four corners are picked, mm.

    It is as long as what the placement covered of the face, and always as high as the face,
    whichever side the reference lay on. Without a start it is the whole face.

    Parameters
    ----------
    plan : FacePlan
    placement : Placement

    Raises
    ------
    PlaneError
        Where the placement covers nothing of the face, or the face is no rectangle.
    """
    _require_rectangle(plan, placement)
    start_mm, end_mm = _along_mm(plan, placement)
    return end_mm - start_mm, plan.height_mm


def plane_on_face(
    plan: FacePlan, placement: Placement, plane: Plane, corners_px: ArrayLike | None = None
) -> Plane:
    """Return a plane of one placement with millimetres of the whole face.

    Parameters
    ----------
    plan : FacePlan
        A rectangle, unless nothing was told of where the placement lay.
    placement : Placement
    plane : Plane
        From the corners of the stretch, or one that knows its scale (card, tiles or map).
    corners_px : (4, 2) array_like, optional
        Corners of the stretch in photo pixels, clockwise from its top left: what puts a plane
        that knows its scale on the face. Not needed where the plane has an outline of that size.

    Returns
    -------
    Plane
        Its own outline is what the placement covered; on one side of the face only, that half, or
        the ways that lie on that side where the plan draws several.

    Raises
    ------
    PlaneError
        Where the plane is not of such a stretch.
    """
    _require_rectangle(plan, placement)
    if plan.shape != "rectangle":
        return plane
    size_mm = stretch_size_mm(plan, placement)
    if corners_px is not None and plane.kind in KNOWS_SCALE:
        plane = plane.placed(corners_px, size_mm)
    if not plane.face_mm:
        raise PlaneError(_NO_CORNERS.format(plan.name))
    x0, _, x1, _ = _bounds_mm(plane)
    if abs(x1 - x0 - size_mm[0]) > _SAME_MM:
        # a card's own outline is its window
        told = _NO_CORNERS if plane.kind in KNOWS_SCALE else _OTHER_CORNERS
        raise PlaneError(told.format(plan.name, x1 - x0, size_mm[0]))
    if not placement.is_told and not placement.side:
        return plane
    start_mm, _ = _along_mm(plan, placement)
    moved = plane if abs(start_mm - x0) <= _SAME_MM else plane.moved(start_mm - x0, 0.0)
    return _cut(plan, placement, moved)


def plane_again(
    plan: FacePlan, placement: Placement, plane: Plane, kept: Plane | None = None
) -> Plane:
    """Return the plane of a print there is, for what is told of its placement now.

    The four corners in the photograph stay where they were picked. Corners that were given for
    those of the whole face are taken for those of the stretch where that makes the photograph
    squarer to look at: then it was the placement that was forgotten. Else the print lies on a
    part of what the photograph shows, and only that part is read.

    Parameters
    ----------
    plan : FacePlan
    placement : Placement
    plane : Plane
        Of its current reading.
    kept : Plane, optional
        Of its first reading: what its corners were given for when it was kept.

    Returns
    -------
    Plane
        The same one where it lies so already, has no outline, or nothing was told.

    Raises
    ------
    PlaneError
        Where the placement is not on the face, or a plane that knows its scale contradicts it.
    """
    told = placement.is_told or placement.side
    if plan.shape != "rectangle" or not told or not plane.face_mm:
        return plane
    given = plane
    if kept is not None and kept.face_mm and np.allclose(kept.mm_to_px, plane.mm_to_px):
        given = kept
    x0, _, x1, _ = _bounds_mm(given)
    size_mm = stretch_size_mm(plan, placement)
    if abs(x1 - x0 - size_mm[0]) <= _SAME_MM:
        placed = plane_on_face(plan, placement, given)
    elif x0 > _SAME_MM or abs(x1 - plan.width_mm) > _SAME_MM:
        placed = plane_on_face(plan, placement, _given_again(plan, size_mm, given))
    else:
        placed = _of_a_whole(plan, placement, given)
    same = np.allclose(placed.mm_to_px, plane.mm_to_px) and np.allclose(
        _bounds_mm(placed), _bounds_mm(plane), rtol=0, atol=_SAME_MM
    )
    return plane if same else placed


def _of_a_whole(plan: FacePlan, placement: Placement, whole: Plane) -> Plane:
    """Return the plane of a stretch whose corners were given for those of the whole face."""
    cut = _cut(plan, placement, whole)
    if whole.kind in KNOWS_SCALE:
        return cut
    try:
        again = _given_again(plan, stretch_size_mm(plan, placement), whole)
    except PlaneError:
        return cut
    return cut if whole.tilt_deg <= again.tilt_deg else plane_on_face(plan, placement, again)


def _given_again(plan: FacePlan, size_mm: tuple[float, float], plane: Plane) -> Plane:
    """Return the plane by the same corners, given for those of a stretch of another length."""
    x0, _, x1, _ = _bounds_mm(plane)
    corners_px = plane.to_px(_rectangle((x0, 0.0, x1, plan.height_mm)))
    if plane.kind in KNOWS_SCALE:
        return plane.placed(corners_px, size_mm)
    return Plane.from_corners(corners_px, size_mm)


def _cut(plan: FacePlan, placement: Placement, plane: Plane) -> Plane:
    """Return a plane of the face whose outline is what the placement covered."""
    start_mm, end_mm = _along_mm(plan, placement)
    low_mm, high_mm = _across_mm(plan, placement.side)
    outline = _rectangle((start_mm, low_mm, end_mm, high_mm))
    return dataclasses.replace(plane, face_mm=(outline,))


def _require_rectangle(plan: FacePlan, placement: Placement) -> None:
    if plan.shape != "rectangle" and (placement.is_told or placement.side):
        raise PlaneError(
            f"'{plan.name}' is no rectangle, so a placement has no start, length or side on it: "
            "give the placement's name only."
        )


def _along_mm(plan: FacePlan, placement: Placement) -> tuple[float, float]:
    """Return from where to where along the face a placement covered it."""
    if placement.start_mm is None or placement.length_mm is None:
        return 0.0, plan.width_mm
    start_mm = max(0.0, placement.start_mm)
    end_mm = min(plan.width_mm, placement.start_mm + placement.length_mm)
    if end_mm - start_mm <= _SAME_MM:
        raise PlaneError(
            f"A placement from {placement.start_mm:g} mm on covers nothing of '{plan.name}', which "
            f"is {plan.width_mm:g} mm long: check where it starts and how long it is."
        )
    return start_mm, end_mm


def _across_mm(plan: FacePlan, side: Side) -> tuple[float, float]:
    """Return from where to where across the face a side reaches."""
    middle_mm = plan.height_mm / 2
    if not side:
        return 0.0, plan.height_mm
    ways = [np.array(region)[:, 1] for region in plan.regions_mm]
    on_side = [y for y in ways if (y.min() + y.max() < plan.height_mm) == (side == "far")]
    if on_side and len(on_side) < len(ways):
        return float(min(y.min() for y in on_side)), float(max(y.max() for y in on_side))
    return (0.0, middle_mm) if side == "far" else (middle_mm, plan.height_mm)


def _bounds_mm(plane: Plane) -> Box:
    corners = np.concatenate(plane.face_mm)
    (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _rectangle(box: Box) -> NDArray[np.float64]:
    x0, y0, x1, y1 = box
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
