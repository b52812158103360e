"""The plane of the face, and everything it can be made from."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from scrapeview.errors import PlaneError, ReadingError
from scrapeview.plane import corners, from_picks, placing, plane_stored
from scrapeview.plane.card_found import plane_by_card
from scrapeview.plane.cards import AS_DRAWN, FrameCard, PaperScale, Tiles
from scrapeview.plane.mapping import PICKED, FaceMapping
from scrapeview.plane.markers import PhotoSource, loaded
from scrapeview.plane.tiles_found import plane_by_tiles


@dataclass(frozen=True, eq=False)
class Plane(FaceMapping):
    """The plane of the face in one photograph; attributes as in `FaceMapping`.

    Make one with one of the `from_` methods.
    """

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
        return cls(*from_picks.by_corners(corners_px, size_mm))

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
        return cls(*from_picks.by_circle(rim_px, diameter_mm, centre_px))

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
        return cls(*from_picks.by_length(p_px, q_px, length_mm))

    @classmethod
    def from_card(
        cls,
        photo: PhotoSource,
        *,
        card: str | FrameCard | None = None,
        paper: PaperScale = AS_DRAWN,
    ) -> "Plane":
        """Plane from the printed card that lies on the face.

        The origin is the top left of the card's window and the window is the face; what the card
        covers is `hidden_mm`, for a larger outline. A marker that lies where the others do not
        have it is left out.

        Parameters
        ----------
        photo : path, bytes, (H, W, 3) uint8 array or Photo
        card : "inch", "25mm" or FrameCard, keyword-only
            Which card is meant; without it the one that lies there.
        paper : PaperScale, keyword-only
            How long the card's bar is on the paper.

        Returns
        -------
        Plane

        Raises
        ------
        PlaneError
            If no card can be seen, another one lies there, fewer than two of its markers can be
            read, or they do not lie as drawn.
        """
        return cls(**plane_by_card(loaded(photo), card, paper))

    @classmethod
    def from_tiles(
        cls,
        photo: PhotoSource,
        *,
        tiles: str | Tiles | None = None,
        paper: PaperScale = AS_DRAWN,
    ) -> "Plane":
        """Plane from printed tiles of known size that lie anywhere on the face.

        One tile is enough for a rough scale near it. The origin is the middle of the tile with the
        lowest number, x runs to the photo's right, along the tiles where they lie in a row. There
        is no outline of its own: give one, or lay the face on this plane with `placed`. A tile
        that does not fit the others is left out.

        Parameters
        ----------
        photo : path, bytes, (H, W, 3) uint8 array or Photo
        tiles : "small", "large" or Tiles, keyword-only
            Which tiles count; without it all.
        paper : PaperScale, keyword-only
            How long the bar on the tiles' sheet is on the paper.

        Returns
        -------
        Plane

        Raises
        ------
        PlaneError
            If no tile can be seen, or they agree on no plane.
        """
        return cls(**plane_by_tiles(loaded(photo), tiles, paper))

    @classmethod
    def from_map(
        cls,
        px_per_mm: float,
        origin_mm: Sequence[float],
        *,
        hidden_mm: Sequence[ArrayLike] = (),
        residual_mm: float = 0.0,
        position_error_mm: float = 0.0,
        scale_error: float = 0.0,
    ) -> "Plane":
        """Plane of a map: a picture of the face square on, at a scale that is known.

        Parameters
        ----------
        px_per_mm : float
            Scale of the map.
        origin_mm : (float, float)
            Where the centre of its pixel (0, 0) lies on the face.
        hidden_mm : sequence of (N, 2) array_like, keyword-only
            Gaps, and what hides the face.
        residual_mm, position_error_mm, scale_error : float, keyword-only
            As the attributes.

        Returns
        -------
        Plane

        Raises
        ------
        PlaneError
            If the scale is not above zero.
        """
        if not (math.isfinite(px_per_mm) and px_per_mm > 0):
            raise PlaneError(f"A map needs a scale above zero, not {px_per_mm:g} px/mm.")
        x, y = (-px_per_mm * float(v) for v in origin_mm)
        homography = np.array([[px_per_mm, 0, x], [0, px_per_mm, y], [0, 0, 1.0]])
        return cls(
            "map", homography, residual_mm, 1 / px_per_mm,
            hidden_mm=tuple(np.array(polygon, dtype=float) for polygon in hidden_mm),
            position_error_mm=position_error_mm, scale_error=scale_error,
        )  # fmt: skip

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> "Plane":
        """Plane from what `as_dict` gave.

        Raises
        ------
        ReadingError
            If a key is missing or its value is not what `as_dict` writes.
        """
        try:
            return cls(**plane_stored.fields_from(stored))
        except (KeyError, TypeError, ValueError, np.linalg.LinAlgError) as error:
            raise ReadingError(f"The stored plane cannot be understood: {error!r}.") from error

    def placed(self, corners_px: ArrayLike, size_mm: Sequence[float]) -> "Plane":
        """Plane of a face of known size that lies on this one: its top left is the new origin.

        The scale stays that of the card, the tiles or the map; the four picks only say where the
        face lies and how it is turned (rigid least squares).

        Parameters
        ----------
        corners_px : (4, 2) array_like
            Corners in full-size photo pixels, clockwise from the face's own top left.
        size_mm : (float, float)
            Width (first to second corner) and height, mm.

        Raises
        ------
        PlaneError
            If this plane was itself made from picks, the corners are not four clockwise round a
            convex outline, or they outline no face of that size.
        """
        if self.kind in PICKED:
            raise PlaneError(
                "Only a photograph with a card or tiles, or a map, knows its own scale: make the "
                "plane from the four corners and the size."
            )
        picks = corners.checked_corners(corners_px)
        place_error = self.place_error_mm(self.to_mm(picks))
        laid = placing.lay_face(self.mm_to_px, picks, size_mm, place_error, self.scale_error)
        plane = self.renamed(laid.face_to_plane)
        return replace(
            plane, face_mm=(laid.outline_mm,), placed_residual_mm=laid.residual_mm,
            position_error_mm=place_error,
        )  # fmt: skip
