"""Where the camera stands: a pinhole above the face gives the homography from mm to pixels."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.simulate.scene import Camera


@dataclass(frozen=True)
class Pose:
    """Homography from face mm to photo pixels, and the photo's size (width, height)."""

    mm_to_px: NDArray[np.float64]
    photo_px: tuple[int, int]

    def to_px(self, xy_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return photo pixels (N, 2) of points (N, 2) on the face."""
        return project(self.mm_to_px, xy_mm)


def project(homography: NDArray[np.float64], xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Apply a 3 x 3 homography to points (N, 2); kept apart from the code it is there to test."""
    xyw = np.column_stack([np.asarray(xy, float), np.ones(len(xy))]) @ homography.T
    return xyw[:, :2] / xyw[:, 2:]


def place_camera(camera: Camera, size_mm: tuple[float, float]) -> Pose:
    """Return the pose that shows the whole face with a margin, at the scale asked for.

    Parameters
    ----------
    camera : tilt, roll, distance, margin and scale; the scale is the mean over the face
        (square root of the projected area over the area).
    size_mm : bounding rectangle of the face.
    """
    width, height = size_mm
    to_middle = np.array([[1, 0, -width / 2], [0, 1, -height / 2], [0, 0, 1.0]])
    turn = _turn_z(camera.roll_deg) @ _tilt(camera.tilt_deg, camera.tilt_towards_deg)
    distance = camera.distance * float(np.hypot(width, height))
    # columns: face x, face y, and the step from lens to the middle of the face
    outward = np.column_stack([turn[:, 0], turn[:, 1], [0, 0, distance]]) @ to_middle
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], float)
    flat = project(outward, corners)
    scale = camera.px_per_mm * np.sqrt(width * height / polygon_area(flat))
    low, high = flat.min(axis=0) * scale, flat.max(axis=0) * scale
    room = camera.margin * float((high - low).max()) + 6 * camera.px_per_mm
    photo = np.ceil(high - low + 2 * room).astype(int)
    to_photo = np.array([[scale, 0, room - low[0]], [0, scale, room - low[1]], [0, 0, 1]])
    homography = to_photo @ outward
    return Pose(homography / homography[2, 2], (int(photo[0]), int(photo[1])))


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
