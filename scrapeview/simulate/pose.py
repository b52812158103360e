"""Where the camera stands: a pinhole above the face gives the homography from mm to pixels."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined.solved import Lens
from scrapeview.simulate.scene import Camera


@dataclass(frozen=True)
class Pose:
    """Homography from face mm to photo pixels, and the photo's size (width, height).

    With a lens the homography gives the pixels of an ideal camera, which the lens moves.
    """

    mm_to_px: NDArray[np.float64]
    photo_px: tuple[int, int]
    lens: Lens | None = None

    def to_px(self, xy_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return photo pixels (N, 2) of points (N, 2) on the face."""
        ideal = project(self.mm_to_px, xy_mm)
        return ideal if self.lens is None else self.lens.distorted(ideal, self.photo_px)

    def to_mm(self, xy_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return points (N, 2) on the face of photo pixels (N, 2)."""
        ideal = xy_px if self.lens is None else self.lens.undistorted(xy_px, self.photo_px)
        return project(np.asarray(np.linalg.inv(self.mm_to_px), float), ideal)


def project(homography: NDArray[np.float64], xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Apply a 3 x 3 homography to points (N, 2); kept apart from the code it is there to test."""
    xyw = np.column_stack([np.asarray(xy, float), np.ones(len(xy))]) @ homography.T
    return xyw[:, :2] / xyw[:, 2:]


def place_camera(
    camera: Camera,
    size_mm: tuple[float, float],
    beside_mm: NDArray[np.float64] | None = None,
) -> Pose:
    """Return the pose that shows the whole face with a margin, at the scale asked for.

    Parameters
    ----------
    camera : tilt, roll, distance, margin and scale; the scale is the mean over the face
        (square root of the projected area over the area).
    size_mm : bounding rectangle of the face.
    beside_mm : points (N, 2) off the face that are shown too.
    """
    width, height = size_mm
    distance = camera.distance * float(np.hypot(width, height))
    outward = _outward(camera, (width / 2, height / 2), distance)
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], float)
    flat = project(outward, corners)
    scale = camera.px_per_mm * np.sqrt(width * height / polygon_area(flat))
    if beside_mm is not None:
        flat = np.vstack([flat, project(outward, beside_mm)])
    low, high = flat.min(axis=0) * scale, flat.max(axis=0) * scale
    room = camera.margin * float((high - low).max()) + 6 * camera.px_per_mm
    photo = np.ceil(high - low + 2 * room).astype(int)
    to_photo = np.array([[scale, 0, room - low[0]], [0, scale, room - low[1]], [0, 0, 1]])
    homography = to_photo @ outward
    return Pose(homography / homography[2, 2], (int(photo[0]), int(photo[1])))


def aim_camera(
    camera: Camera,
    at_mm: tuple[float, float],
    photo_px: tuple[int, int],
    lens: Lens | None = None,
) -> Pose:
    """Return the pose whose optical axis, the photo's middle, meets the face at a place.

    Parameters
    ----------
    camera : tilt, roll and scale, which holds on the axis; `distance` is in diagonals of what
        the photo shows.
    at_mm : where the camera looks.
    photo_px : width and height of the photo.
    lens : moves the ideal pixels.
    """
    distance = camera.distance * float(np.hypot(*photo_px)) / camera.px_per_mm
    focal_px = camera.px_per_mm * distance
    middle = (np.array(photo_px) - 1) / 2
    to_photo = np.array([[focal_px, 0, middle[0]], [0, focal_px, middle[1]], [0, 0, 1]])
    homography = to_photo @ _outward(camera, at_mm, distance)
    return Pose(homography / homography[2, 2], photo_px, lens)


def _outward(camera: Camera, at_mm: tuple[float, float], distance: float) -> NDArray[np.float64]:
    """Return the homography from face mm to directions from the lens, (x, y) over depth."""
    to_middle = np.array([[1, 0, -at_mm[0]], [0, 1, -at_mm[1]], [0, 0, 1.0]])
    turn = _turn_z(camera.roll_deg) @ _tilt(camera.tilt_deg, camera.tilt_towards_deg)
    # columns: face x, face y, and the step from lens to the place looked at
    outward: NDArray[np.float64] = (
        np.column_stack([turn[:, 0], turn[:, 1], [0, 0, distance]]) @ to_middle
    )
    return outward


def polygon_area(xy: NDArray[np.float64]) -> float:
    """Return the area of a polygon (N, 2), whichever way round."""
    x, y = np.asarray(xy, float).T
    return 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def _turn_z(degrees: float) -> NDArray[np.float64]:
    cos, sin = np.cos(np.deg2rad(degrees)), np.sin(np.deg2rad(degrees))
    return np.array([[cos, -sin, 0], [sin, cos, 0], [0, 0, 1]])


def _tilt(degrees: float, towards_deg: float) -> NDArray[np.float64]:
    cos, sin = np.cos(np.deg2rad(degrees)), np.sin(np.deg2rad(degrees))
    about_x = np.array([[1, 0, 0], [0, cos, -sin], [0, sin, cos]])
    return _turn_z(towards_deg) @ about_x @ _turn_z(-towards_deg)
