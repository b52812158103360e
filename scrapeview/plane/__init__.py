"""The plane of the face: millimetres to photo pixels and back, and the face seen square-on."""

from scrapeview.plane.face import Face, face_from
from scrapeview.plane.plane import Plane
from scrapeview.plane.polygons import circle_polygon
from scrapeview.plane.readable import require_readable
from scrapeview.plane.view import View, view_square_on

__all__ = [
    "Face",
    "Plane",
    "View",
    "circle_polygon",
    "face_from",
    "require_readable",
    "view_square_on",
]
