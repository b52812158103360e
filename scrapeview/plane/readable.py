"""Whether a photograph shows enough of a face to read anything from it."""

from scrapeview.errors import FaceError, PlaneError
from scrapeview.plane.face import Face
from scrapeview.plane.view import View

FEWEST_PIXELS = 1000
FEWEST_PX_PER_POINT = 0.5
"""Below this a point is no more than a shade; the photograph's checks warn long before."""


def require_readable(face: Face, view: View, smallest_point_mm: float) -> None:
    """Refuse a face that the photograph shows too small or too coarsely.

    Raises
    ------
    PlaneError
        Where the smallest point is smaller than half a pixel.
    FaceError
        Where the whole face covers fewer than 1000 pixels of its view.
    """
    across = view.px_per_mm * smallest_point_mm
    if across < FEWEST_PX_PER_POINT:
        raise PlaneError(
            f"A point of {smallest_point_mm:g} mm is only {across:.2g} pixels across in this "
            "photo: check the size that was given, or photograph from nearer by."
        )
    pixels = face.area_mm2 * view.px_per_mm**2
    if pixels < FEWEST_PIXELS:
        raise FaceError(
            f"The face is {face.area_mm2:.3g} mm2 and covers {pixels:.0f} pixels, too few to "
            "read: check the picks and the size that was given."
        )
