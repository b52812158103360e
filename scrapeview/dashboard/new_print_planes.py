"""From picks to the plane of a face, and from an earlier print's plane back to picks."""

import math
from dataclasses import dataclass

import numpy as np

from scrapeview.errors import PlaneError
from scrapeview.placed_plane import plane_on_face, stretch_size_mm
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.record import FaceEntry, FacePlan, Record
from scrapeview.record.entries import Shape
from scrapeview.settings import Picks

MARKS = "free_marks_mm"
"""Setting of the shop: by the number of a free face, where its second mark lies, mm."""
RIM_PICKS = 9
_KNOWN = ("card", "tiles")
_KINDS: dict[Shape, tuple[str, ...]] = {
    "rectangle": ("corners", *_KNOWN),
    "round": ("circle",),
    "free": ("length", *_KNOWN),
}
WHOLE = Placement()


@dataclass(frozen=True)
class Earlier:
    """How the last print of a face was placed.

    Attributes
    ----------
    where : str
        Which print it is, in words.
    sha256 : str
        Of its photograph.
    picks_px : tuple of (x, y)
        In that photograph.
    length_mm : float
        Known length of a free face, else 0.
    """

    where: str
    sha256: str
    picks_px: Picks
    length_mm: float


def plane_from(
    plan: FacePlan,
    picks_px: Picks,
    length_mm: float = 0.0,
    placement: Placement = WHOLE,
    known: Plane | None = None,
) -> Plane:
    """Return the plane that picks on a photograph give a face.

    Parameters
    ----------
    plan : FacePlan
    picks_px : tuple of (x, y)
        Four corners of what was printed, five or more places on the rim, or two marks, by the
        plan's shape.
    length_mm : float
        Between the two marks of a free face.
    placement : Placement
        Where a shorter reference lay on a rectangle.
    known : Plane, optional
        One that knows its scale: of a card, of tiles, or of a joined map.

    Raises
    ------
    PlaneError
    """
    if plan.shape == "round":
        return Plane.from_circle(picks_px, plan.width_mm)
    if plan.shape == "free":
        return plane_of_marks(picks_px, length_mm, known)
    size_mm = stretch_size_mm(plan, placement)
    plane = Plane.from_corners(picks_px, size_mm) if known is None else known
    return plane_on_face(plan, placement, plane, picks_px)


def plane_of_marks(picks_px: Picks, length_mm: float, known: Plane | None = None) -> Plane:
    """Return the plane of two marks on the face.

    The first mark is the origin and the second lies on the axis it is nearest to, so that what
    was drawn on one print of a face lies at the same place on every other.

    Parameters
    ----------
    picks_px : two (x, y)
    length_mm : float
        Between them, where the photograph does not tell it; then the camera looked square on.
    known : Plane, optional
        One that knows its scale.

    Raises
    ------
    PlaneError
        Where the two are the same or the length is not above zero.
    """
    if len(picks_px) != 2:
        raise PlaneError("Pick the two ends of the known length.")
    if known is None:
        known = Plane.from_length(*picks_px, length_mm)
    (px, py), (qx, qy) = known.to_mm(picks_px)
    turn = math.atan2(qy - py, qx - px)
    turn -= round(turn / (math.pi / 2)) * math.pi / 2
    return known.with_origin((float(px), float(py)), turn)


def earlier_picks(
    record: Record, face: FaceEntry, sha256: str, placement: Placement = WHOLE
) -> Earlier | None:
    """Return how the last print of a face was placed; None where that does not help here.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    sha256 : str
        Of the photograph that is to be placed.
    placement : Placement
        Only a print of the same stretch helps.
    """
    prints = [
        entry
        for entry in record.prints(face.face_id)
        if sha256 not in entry.photo_sha256s
        and entry.joined is None
        and _same_stretch(entry.where, placement)
    ]
    if not prints:
        return None
    last = prints[-1]
    plane = record.plane(last.current_reading_id)
    if plane.kind not in _KINDS[face.plan.shape]:
        return None
    numbers = {p.pass_id: p.number for p in record.passes(face.face_id)}
    mark = record.setting(MARKS, {}).get(str(face.face_id), (0.0, 0.0))
    if face.plan.shape == "rectangle":
        picks = corners_of(plane, face.plan)
    else:
        picks = picks_of(plane, (float(mark[0]), float(mark[1])))
    if not picks:
        return None
    where = f"pass {numbers[last.pass_id]}"
    return Earlier(where, last.photo_sha256s[0], picks, math.hypot(*mark))


def corners_of(plane: Plane, plan: FacePlan) -> Picks:
    """Return the four corners that place a rectangle so again, in full-size photo pixels."""
    if not plane.face_mm:
        return ()
    x = plane.face_mm[0][:, 0]
    # the corners picked are those of the whole width, on whichever side the reference lay
    low, high = 0.0, plan.height_mm
    corners = [(x.min(), low), (x.max(), low), (x.max(), high), (x.min(), high)]
    return tuple((float(x), float(y)) for x, y in plane.to_px(corners))


def _same_stretch(one: Placement, other: Placement) -> bool:
    return (one.start_mm, one.length_mm) == (other.start_mm, other.length_mm)


def picks_of(plane: Plane, second_mark_mm: tuple[float, float] = (0.0, 0.0)) -> Picks:
    """Return picks that give this plane again, in full-size photo pixels.

    Parameters
    ----------
    plane : Plane
    second_mark_mm : (x, y)
        Of a plane by two marks, where the second one lies; without it there are no picks.
    """
    outline = plane.outline_mm()
    if plane.kind == "circle" and outline is not None:
        places = outline[0][:: max(1, len(outline[0]) // RIM_PICKS)][:RIM_PICKS]
    elif outline is not None:
        places = outline[0]
    elif any(second_mark_mm):
        places = np.array([(0.0, 0.0), second_mark_mm])
    else:
        return ()
    return tuple((float(x), float(y)) for x, y in plane.to_px(places))
