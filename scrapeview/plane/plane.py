"""The plane of the face: where a millimetre on the face lies in the photograph, and back."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import PlaneError, ReadingError
from scrapeview.plane import corners, rim
from scrapeview.plane.polygons import circle_polygon
from scrapeview.plane.projective import apply_homography, jacobian, singular_values

_RIM_VERTICES = 180
_REDUCTIONS = (8, 4, 2)


@dataclass(frozen=True, eq=False)
class Plane:
    """Mapping between millimetres on the face and pixels of the photograph at full size.

    Face coordinates: origin at the face's top left, x to the right, y down, in mm. Pixel
    coordinates: an integer is a pixel's centre. Make one with `from_corners`, `from_circle` or
    `from_length`.

    Attributes
    ----------
    kind : str
        "corners", "circle" or "length": what the plane was made from.
    mm_to_px : (3, 3) float array
        Homography from mm to full-size pixels; its third row is positive over the face.
    residual_mm : float
        Root mean square distance of the picks from the fitted shape; 0 where the picks just fix
        the plane (four corners, two ends of a length).
    pick_error_mm : float
        What a pick wrong by one pixel moves on the face, where the photo is coarsest.
    face_mm : tuple of (N, 2) float arrays
        The face the picks outline; empty for "length".
    """

    kind: str
    mm_to_px: NDArray[np.float64]
    residual_mm: float = 0.0
    pick_error_mm: float = 0.0
    face_mm: tuple[NDArray[np.float64], ...] = ()
    px_to_mm: NDArray[np.float64] = field(init=False)

    def __post_init__(self) -> None:
        forward = np.array(self.mm_to_px, dtype=float)
        backward = np.linalg.inv(forward)
        forward.setflags(write=False)
        backward.setflags(write=False)
        object.__setattr__(self, "mm_to_px", forward)
        object.__setattr__(self, "px_to_mm", backward)

    @classmethod
    def from_corners(cls, corners_px: ArrayLike, size_mm: Sequence[float]) -> "Plane":
        """Plane from the four corners of a rectangle of known size, in true perspective.

        Parameters
        ----------
        corners_px : (4, 2) array_like
            Corners in full-size photo pixels, clockwise from the face's own top left. The face
            may lie turned in the photo, so its top left need not be the photo's.
        size_mm : (float, float)
            Width (first to second corner) and height (second to third), mm.

        Returns
        -------
        Plane

        Raises
        ------
        PlaneError
            If the corners are not four finite points clockwise round a convex outline, or the
            size is not positive, or outline and size disagree beyond any tilt worth reading.
        """
        picks = corners.checked_corners(corners_px)
        size = corners.checked_size(size_mm)
        homography = corners.rectangle_homography(picks, size)
        corners.require_credible_aspect(homography, size)
        outline = corners.rectangle(size)
        pick_error = _pick_error_mm(homography, outline)
        return cls("corners", homography, 0.0, pick_error, (outline,))

    @classmethod
    def from_circle(
        cls, rim_px: ArrayLike, diameter_mm: float, centre_px: ArrayLike | None = None
    ) -> "Plane":
        """Plane from five or more picks on the rim of a round face of known diameter.

        Without `centre_px` the rim's ellipse is taken as a circle seen from far away (an affine
        view); a circle alone does not fix the perspective. With the place of the disc's true
        centre, a bore for instance, the perspective is exact. Either way the photo's up stays
        up: the mapping has no turn in it at the centre. The origin is the top left of the square
        round the disc.

        Parameters
        ----------
        rim_px : (N, 2) array_like, N >= 5
            Picks on the rim in full-size photo pixels, in any order, spread round the rim.
        diameter_mm : float
            Diameter of the rim, mm.
        centre_px : (2,) array_like, optional
            The disc's true centre in full-size photo pixels.

        Returns
        -------
        Plane

        Raises
        ------
        PlaneError
            If there are fewer than five different picks, they lie on a line, cover too little of
            the rim or are not near any ellipse, or the centre or the diameter cannot be.
        """
        picks = rim.checked_rim(rim_px)
        diameter = rim.checked_diameter(diameter_mm)
        ellipse = rim.fit_ellipse(picks)
        homography = rim.disc_homography(ellipse, diameter, rim.checked_centre(centre_px, ellipse))
        residual = rim.rim_residual_mm(homography, picks, diameter)
        centre = (diameter / 2, diameter / 2)
        outline = circle_polygon(centre, diameter / 2, vertices=_RIM_VERTICES)
        pick_error = _pick_error_mm(homography, outline)
        return cls("circle", homography, residual, pick_error, (outline,))

    @classmethod
    def from_length(cls, p_px: ArrayLike, q_px: ArrayLike, length_mm: float) -> "Plane":
        """Plane from two picks a known length apart, the camera having looked square on.

        The origin is the outer corner of the photo's top left pixel; there is no outline of its
        own, so the whole photo is the face unless an outline is given.

        Parameters
        ----------
        p_px, q_px : (2,) array_like
            The two picks in full-size photo pixels.
        length_mm : float
            Distance between them on the face, mm.

        Returns
        -------
        Plane

        Raises
        ------
        PlaneError
            If the picks are not two finite points apart or the length is not positive.
        """
        scale = corners.checked_scale(p_px, q_px, length_mm)
        homography = np.array([[scale, 0, -0.5], [0, scale, -0.5], [0, 0, 1.0]])
        return cls("length", homography, 0.0, 1 / scale)

    def to_px(self, xy_mm: ArrayLike) -> NDArray[np.float64]:
        """Full-size photo pixels (N, 2) of face points (N, 2) in mm."""
        return apply_homography(self.mm_to_px, xy_mm)

    def to_mm(self, xy_px: ArrayLike) -> NDArray[np.float64]:
        """Face points (N, 2) in mm of full-size photo pixels (N, 2)."""
        return apply_homography(self.px_to_mm, xy_px)

    def px_per_mm_at(self, xy_mm: ArrayLike) -> NDArray[np.float64]:
        """Local scale of the photo at face points: pixels per mm along the coarser direction.

        Parameters
        ----------
        xy_mm : (N, 2) array_like
            Face points, mm.

        Returns
        -------
        (N,) float array
            Smaller singular value of the Jacobian of the mm-to-pixel mapping, px/mm.
        """
        return singular_values(jacobian(self.mm_to_px, xy_mm))[1]

    def outline_mm(self) -> tuple[NDArray[np.float64], ...] | None:
        """Outline of the face the picks give, as (N, 2) polygons in mm; None for "length"."""
        return self.face_mm or None

    @property
    def tilt_deg(self) -> float:
        """Estimated angle between the camera's look and the face's normal, degrees.

        A camera that is far off at angle t shortens one direction of the face to cos t, so the
        estimate is acos(s2 / s1) with s1 >= s2 the singular values of the mapping's Jacobian at
        the face's centre. Exact from afar; near by, a face off the middle of the photo reads a
        few degrees wrong. Always 0 for "length", which assumes a square-on view.
        """
        if not self.face_mm:
            return 0.0
        centre = np.vstack(self.face_mm).mean(axis=0)
        larger, smaller = singular_values(jacobian(self.mm_to_px, centre[None]))
        return math.degrees(math.acos(min(1.0, float(smaller[0] / larger[0]))))

    def reduction_for(self, px_per_mm: float, bounds_mm: Sequence[float]) -> int:
        """Largest JPEG reduction at which the photo still holds `px_per_mm` all over `bounds_mm`.

        Parameters
        ----------
        px_per_mm : float
            Pixels per mm wanted, in the coarser direction, everywhere.
        bounds_mm : (x0, y0, x1, y1)
            The part of the face that matters, mm.

        Returns
        -------
        int
            1, 2, 4 or 8; 1 also where even the full size holds less than wanted.
        """
        held = self.px_per_mm_at(grid_over(bounds_mm)).min()
        for reduction in _REDUCTIONS:
            if held / reduction >= px_per_mm:
                return reduction
        return 1

    def require_inside(self, photo_size_px: tuple[int, int]) -> None:
        """Refuse a plane whose own outline leaves the photo.

        Parameters
        ----------
        photo_size_px : (int, int)
            Width and height of the photo at full size.

        Raises
        ------
        PlaneError
            If the outline leaves the photo by more than 0.5 % of its longer side, at least 2 px.
        """
        for outline in self.face_mm:
            beyond = pixels_outside(self.to_px(outline), photo_size_px)
            worst = int(beyond.argmax())
            if beyond[worst] > outside_tolerance_px(photo_size_px):
                x, y = self.to_px(outline[worst][None])[0]
                raise PlaneError(
                    f"The face reaches {beyond[worst]:.0f} px outside the photo, at "
                    f"({x:.0f}, {y:.0f}) of {photo_size_px[0]} x {photo_size_px[1]}: pick on the "
                    "photo at its full size, and give an outline if only part of the face shows."
                )

    def as_dict(self) -> dict[str, Any]:
        """Plain lists and numbers that survive JSON without loss."""
        return {
            "kind": self.kind,
            "mm_to_px": self.mm_to_px.tolist(),
            "residual_mm": self.residual_mm,
            "pick_error_mm": self.pick_error_mm,
            "face_mm": [outline.tolist() for outline in self.face_mm],
        }

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> "Plane":
        """Plane from what `as_dict` gave.

        Raises
        ------
        ReadingError
            If a key is missing or its value is not what `as_dict` writes.
        """
        try:
            homography = np.array(stored["mm_to_px"], dtype=float).reshape(3, 3)
            face = tuple(np.array(o, dtype=float).reshape(-1, 2) for o in stored["face_mm"])
            return cls(
                str(stored["kind"]),
                homography,
                float(stored["residual_mm"]),
                float(stored["pick_error_mm"]),
                face,
            )
        except (KeyError, TypeError, ValueError, np.linalg.LinAlgError) as error:
            raise ReadingError(f"The stored plane cannot be understood: {error!r}.") from error


def grid_over(bounds_mm: Sequence[float], steps: int = 5) -> NDArray[np.float64]:
    """Return a `steps` x `steps` grid of points over (x0, y0, x1, y1), its corners included."""
    x0, y0, x1, y1 = bounds_mm
    x, y = np.meshgrid(np.linspace(x0, x1, steps), np.linspace(y0, y1, steps))
    return np.column_stack((x.ravel(), y.ravel()))


def pixels_outside(
    xy_px: NDArray[np.float64], photo_size_px: tuple[int, int]
) -> NDArray[np.float64]:
    """Distance (N,) by which points lie outside the photo, px; 0 inside it."""
    low = -0.5 - xy_px
    high = xy_px - (np.array(photo_size_px) - 0.5)
    return np.maximum(0, np.maximum(low, high)).max(axis=1)


def outside_tolerance_px(photo_size_px: tuple[int, int]) -> float:
    """How far a pick may lie outside the photo: a hand's slip at the photo's border."""
    return max(2.0, 0.005 * max(photo_size_px))


def _pick_error_mm(homography: NDArray[np.float64], outline: NDArray[np.float64]) -> float:
    return float(1 / singular_values(jacobian(homography, outline))[1].min())
