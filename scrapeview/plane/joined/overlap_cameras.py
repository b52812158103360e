"""Cameras over a plane as unknowns: where each looks, from how far, how tilted, through what lens.

Eight numbers of a homography each would let a chain of photographs bend and stretch; a camera
whose focal length hardly changes from photograph to photograph has six (R. Hartley and
A. Zisserman, 2004, section 8.1.1).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
OWN = 7
"""Unknowns of each photograph: see `Cameras`."""
SHARED = 2
"""Unknowns of all: the logarithm of the focal length, and the lens's k1."""


@dataclass(frozen=True, eq=False)
class Cameras:
    """Cameras of P photographs, lengths in mm or in halves of the photograph's diagonal.

    Attributes
    ----------
    own : (P, 7) float array
        Where the axis meets the plane (x, y), logarithm of the scale there, turn in the picture,
        tilt about x and about y, and logarithm of the focal length over the common one.
    shared : (2,) float array
        Logarithm of the common focal length, and k1 of the lens.
    """

    own: Floats
    shared: Floats

    @property
    def packed(self) -> Floats:
        """All unknowns in one row."""
        return np.concatenate((self.own.ravel(), self.shared))

    def ideal(self, seen: Floats) -> Floats:
        """Return where an ideal lens would picture points (N, 2); inverse by fixed point."""
        k1 = float(self.shared[1])
        ideal = seen
        for _ in range(6):
            ideal = seen / (1 + k1 * (ideal**2).sum(axis=1, keepdims=True))
        return ideal

    def homographies(self) -> Floats:
        """Return (P, 3, 3) homographies from mm on the plane to ideal points."""
        x, y, log_scale, turn, about_x, about_y, own_focal = self.own.T
        focal = np.exp(self.shared[0] + own_focal)
        columns = _turned(turn, about_x, about_y)[:, :, :2]
        away = focal / np.exp(log_scale)
        middle = np.einsum("pij,pj->pi", columns, np.column_stack((x, y)))
        step = np.column_stack((np.zeros_like(away), np.zeros_like(away), away)) - middle
        outward = np.concatenate((columns, step[:, :, None]), axis=2)
        outward[:, :2] *= focal[:, None, None]
        return np.asarray(outward / outward[:, 2:, 2:])


def unpacked(packed: Floats) -> Cameras:
    """Return the cameras of all unknowns in one row."""
    return Cameras(packed[:-SHARED].reshape(-1, OWN), packed[-SHARED:])


def through(homographies: Floats, points: Floats) -> Floats:
    """Map points (N, 2), each by a homography (N, 3, 3) of its own."""
    mapped = np.einsum("nij,nj->ni", homographies[:, :, :2], points) + homographies[:, :, 2]
    return np.asarray(mapped[:, :2] / mapped[:, 2:])


def _turned(turn: Floats, about_x: Floats, about_y: Floats) -> Floats:
    """Return rotations (P, 3, 3): first the tilt about an axis in the plane, then the turn."""
    angle = np.hypot(about_x, about_y)
    sine = np.sinc(angle / np.pi)
    rest = 0.5 * np.sinc(angle / (2 * np.pi)) ** 2
    a, b, zero = about_x, about_y, np.zeros_like(angle)
    cross = np.array([[zero, zero, b], [zero, zero, -a], [-b, a, zero]]).transpose(2, 0, 1)
    tilt = np.eye(3) + sine[:, None, None] * cross + rest[:, None, None] * (cross @ cross)
    cos, sin, one = np.cos(turn), np.sin(turn), np.ones_like(turn)
    about_z = np.array([[cos, -sin, zero], [sin, cos, zero], [zero, zero, one]])
    return np.asarray(about_z.transpose(2, 0, 1) @ tilt)
