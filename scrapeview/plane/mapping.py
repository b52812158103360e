"""Where a millimetre on the face lies in the photograph, and back: what a plane can be asked."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scrapeview.errors import PlaneError
from scrapeview.photo.patches import Patches
from scrapeview.plane import plane_error, plane_stored
from scrapeview.plane.bounds import grid_over, outside_tolerance_px, pixels_outside
from scrapeview.plane.projective import apply_homography, jacobian, singular_values

_REDUCTIONS = (8, 4, 2)
PICKED = ("corners", "circle", "length")
"""Kinds whose scale comes from picks by hand."""


@dataclass(frozen=True, eq=False)
class FaceMapping:
    """Mapping between millimetres on the face and pixels of the photograph at full size.

    Face coordinates: origin at the face's top left, x to the right, y down, in mm. Pixel
    coordinates: an integer is a pixel's centre.

    Attributes
    ----------
    kind : str
        What the plane was made from: "corners", "circle", "length" (picks by hand), "card",
        "tiles" (printed markers) or "map" (several photographs joined).
    mm_to_px : (3, 3) float array
        Homography from mm to full-size pixels; its third row is positive over the face.
    residual_mm : float
        Root mean square distance of picks or markers from the fitted shape; 0 where the picks
        just fix the plane (four corners, two ends of a length).
    pick_error_mm : float
        What a pick wrong by one pixel moves on the face, where the photo is coarsest.
    face_mm : tuple of (N, 2) float arrays
        The face that is outlined; empty for "length", and for "tiles" and "map" until a face is
        placed on them.
    hidden_mm : tuple of (N, 2) float arrays
        What lies on the face and hides it (card, tiles) and gaps of a map; not to be read.
    patches : Patches or None
        White and grey patches of a card.
    position_error_mm : float
        Standard error of a place on the face that the fit of markers leaves, mm.
    scale_error : float
        Relative standard error of lengths that no fit shows: how well the paper is known.
    covariance : (9, 9) float array or None
        Of the elements of `mm_to_px`, row by row, where markers were fitted.
    placed_residual_mm : float
        Root mean square distance of the picks of `placed` from the face's corners.
    notes : tuple of str
        What is worth knowing of how the plane was found, in plain sentences.
    """

    kind: str
    mm_to_px: NDArray[np.float64]
    residual_mm: float = 0.0
    pick_error_mm: float = 0.0
    face_mm: tuple[NDArray[np.float64], ...] = ()
    hidden_mm: tuple[NDArray[np.float64], ...] = ()
    patches: Patches | None = None
    position_error_mm: float = 0.0
    scale_error: float = 0.0
    covariance: NDArray[np.float64] | None = None
    placed_residual_mm: float = 0.0
    notes: tuple[str, ...] = ()
    px_to_mm: NDArray[np.float64] = field(init=False)

    def __post_init__(self) -> None:
        forward = np.array(self.mm_to_px, dtype=float)
        backward = np.linalg.inv(forward)
        forward.setflags(write=False)
        backward.setflags(write=False)
        object.__setattr__(self, "mm_to_px", forward)
        object.__setattr__(self, "px_to_mm", backward)

    def area_error(self, area_mm2: float, bounds_mm: Sequence[float]) -> float:
        """Relative standard error of an area on the face that comes from the plane.

        Parameters
        ----------
        area_mm2 : float
            The area.
        bounds_mm : (x0, y0, x1, y1)
            Where on the face it lies: far from the markers their fit is less sure.

        Returns
        -------
        float
            With picks, twice `pick_error_mm` by the side of a square of that area; else the error
            of the fit, or twice `position_error_mm` by that side for a map, and twice
            `scale_error`.
        """
        side = max(1e-9, area_mm2) ** 0.5
        if self.kind in PICKED:
            return 2 * self.pick_error_mm / side
        if self.covariance is None:
            return math.hypot(2 * self.position_error_mm / side, 2 * self.scale_error)
        fit = plane_error.fitted_area_error(self.mm_to_px, self.covariance, bounds_mm)
        return math.hypot(fit, 2 * self.scale_error)

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
        """Outline of the face as (N, 2) polygons in mm; None where none is known."""
        return self.face_mm or None

    @property
    def tilt_deg(self) -> float:
        """Estimated angle between the camera's look and the face's normal, degrees.

        A camera that is far off at angle t shortens one direction of the face to cos t, so the
        estimate is acos(s2 / s1) with s1 >= s2 the singular values of the mapping's Jacobian at
        the face's centre. Exact from afar; near by, a face off the middle of the photo reads a
        few degrees wrong. Always 0 for "length", which assumes a square-on view, and "map".
        """
        known = self.face_mm or self.hidden_mm
        if not known or self.kind == "map":
            return 0.0
        centre = np.vstack(known).mean(axis=0)
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
        return plane_stored.stored_fields(vars(self))

    def moved(self, dx_mm: float, dy_mm: float) -> Self:
        """Plane of the same photo whose places all lie further right and down, by mm given."""
        return self.with_origin((-dx_mm, -dy_mm))

    def with_origin(self, xy_mm: Sequence[float], turn_rad: float = 0.0) -> Self:
        """Plane of the same photo with its origin at one of its places, its axes turned.

        Parameters
        ----------
        xy_mm : (x, y)
            The new origin, mm as they are now.
        turn_rad : float
            Turn of the new axes, clockwise as the photo is seen.
        """
        (x, y), cosine, sine = xy_mm, math.cos(turn_rad), math.sin(turn_rad)
        return self.renamed(np.array([[cosine, -sine, x], [sine, cosine, y], [0, 0, 1.0]]))

    def renamed(self, new_to_old: NDArray[np.float64]) -> Self:
        """Return the plane of the same photo, its places named anew by a rigid change (3, 3)."""
        old_to_new = np.linalg.inv(new_to_old)
        face, hidden = (
            tuple(apply_homography(old_to_new, polygon) for polygon in polygons)
            for polygons in (self.face_mm, self.hidden_mm)
        )
        covariance = self.covariance
        if covariance is not None:
            covariance = plane_error.covariance_seen_from(covariance, new_to_old)
        return replace(
            self, mm_to_px=self.mm_to_px @ new_to_old, face_mm=face, hidden_mm=hidden,
            covariance=covariance,
        )  # fmt: skip

    def place_error_mm(self, xy_mm: NDArray[np.float64]) -> float:
        """Largest standard error of some places (N, 2) on the face, mm."""
        if self.covariance is None:
            return self.position_error_mm
        errors = plane_error.position_errors_mm(self.mm_to_px, self.covariance, xy_mm)
        return float(errors.max())
