"""From picks to the plane of a face, and from an earlier print's plane back to picks."""

import math
from dataclasses import dataclass

import numpy as np

from scrapeview.errors import PlaneError
from scrapeview.plane import Plane
from scrapeview.record import FaceEntry, FacePlan, Record
from scrapeview.record.entries import Shape
from scrapeview.settings import Picks

MARKS = "free_marks_mm"
"""Setting of the shop: by the number of a free face, where its second mark lies, mm."""
RIM_PICKS = 9
_KINDS: dict[Shape, str] = {"rectangle": "corners", "round": "circle", "free": "length"}


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


def plane_from(plan: FacePlan, picks_px: Picks, length_mm: float = 0.0) -> Plane:
    """Return the plane that picks on a photograph give a face.

    Parameters
    ----------
    plan : FacePlan
    picks_px : tuple of (x, y)
        Four corners, five or more places on the rim, or two marks, by the plan's shape.
    length_mm : float
        Between the two marks of a free face.

    Raises
    ------
    PlaneError
    """
    if plan.shape == "round":
        return Plane.from_circle(picks_px, plan.width_mm)
    if plan.shape == "free":
        return plane_of_marks(picks_px, length_mm)
    return Plane.from_corners(picks_px, (plan.width_mm, plan.height_mm))


def plane_of_marks(picks_px: Picks, length_mm: float) -> Plane:
    """Return the plane of two marks a known length apart, the camera having looked square on.

    The first mark is the origin and the second lies on the axis it is nearest to, so that what
    was drawn on one print of a face lies at the same place on every other.

    Parameters
    ----------
    picks_px : two (x, y)
    length_mm : float

    Raises
    ------
    PlaneError
        Where the two are the same or the length is not above zero.
    """
    if len(picks_px) != 2:
        raise PlaneError("Pick the two ends of the known length.")
    straight = Plane.from_length(*picks_px, length_mm)
    (px, py), (qx, qy) = picks_px
    turn = math.atan2(qy - py, qx - px)
    turn -= round(turn / (math.pi / 2)) * math.pi / 2
    scale = straight.mm_to_px[0, 0]
    cosine, sine = scale * math.cos(turn), scale * math.sin(turn)
    onto = np.array([[cosine, -sine, px], [sine, cosine, py], [0, 0, 1.0]])
    return Plane("length", onto, 0.0, straight.pick_error_mm)


def earlier_picks(record: Record, face: FaceEntry, sha256: str) -> Earlier | None:
    """Return how the last print of a face was placed; None where that does not help here.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    sha256 : str
        Of the photograph that is to be placed.
    """
    prints = [p for p in record.prints(face.face_id) if sha256 not in p.photo_sha256s]
    if not prints:
        return None
    last = prints[-1]
    plane = record.plane(last.current_reading_id)
    if plane.kind != _KINDS[face.plan.shape]:
        return None
    numbers = {p.pass_id: p.number for p in record.passes(face.face_id)}
    mark = record.setting(MARKS, {}).get(str(face.face_id), (0.0, 0.0))
    picks = picks_of(plane, (float(mark[0]), float(mark[1])))
    if not picks:
        return None
    where = f"pass {numbers[last.pass_id]}"
    return Earlier(where, last.photo_sha256s[0], picks, math.hypot(*mark))


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
