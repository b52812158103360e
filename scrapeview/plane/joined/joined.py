"""Several photographs joined to one map: what it shows, and what is known of how it was made."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.columns import columns_of, table
from scrapeview.errors import ReadingError
from scrapeview.photo import load_photo
from scrapeview.plane.joined.solved import Lens, SolvedPhotos
from scrapeview.plane.plane import Plane
from scrapeview.provenance import versions

FORMAT = 1
"""Number of the layout of `Joined.as_dict`; it goes up when an older version could not read it."""


@dataclass(frozen=True, eq=False)
class Joined:
    """One map of a face in mm, made of several photographs; to be read like a photograph.

    Attributes
    ----------
    picture : bytes
        The map as a PNG that knows its scale.
    plane : Plane
        Of kind "map": its millimetres, what it does not show, its residual and its errors. Lay
        the face on it with `plane.placed(corners_px, size_mm)`.
    solved : SolvedPhotos
        Where each photograph lies on the plane.
    seams, gaps, photos : DataFrame
        Tables "seams", "gaps" and "joined" of `columns.COLUMNS`.
    slopes : tuple of ((float, float), ...)
        Log light taken out of each photograph from its middle to its right end and to its foot,
        channel by channel.
    notes : tuple of str
        What is worth knowing, in plain sentences.
    px_per_mm : float
        Scale of the map.
    """

    picture: bytes
    plane: Plane
    solved: SolvedPhotos
    seams: pd.DataFrame
    gaps: pd.DataFrame
    photos: pd.DataFrame
    slopes: tuple[tuple[tuple[float, float], ...], ...]
    notes: tuple[str, ...]
    px_per_mm: float

    @cached_property
    def rgb(self) -> NDArray[np.uint8]:
        """The map's pixels, (h, w, 3) sRGB."""
        return load_photo(self.picture).rgb

    def as_dict(self) -> dict[str, Any]:
        """Plain lists, numbers and texts that survive JSON without loss; all but the picture."""
        return {
            "kind": "scrapeview joined",
            "format": FORMAT,
            "picture_sha256": hashlib.sha256(self.picture).hexdigest(),
            "px_per_mm": self.px_per_mm,
            "plane": self.plane.as_dict(),
            "solved": _solved_out(self.solved),
            "seams": _table_out(self.seams),
            "gaps": _table_out(self.gaps),
            "photos": _table_out(self.photos),
            "slopes": [[list(slope) for slope in photo] for photo in self.slopes],
            "notes": list(self.notes),
            "versions": versions(),
        }


def joined_from_dict(stored: Mapping[str, Any], picture: bytes) -> Joined:
    """Return what `Joined.as_dict` described, with its picture.

    Parameters
    ----------
    stored : mapping
    picture : bytes
        The map it was written with.

    Raises
    ------
    ReadingError
        Where it cannot be understood, or the picture is another one.
    """
    described = isinstance(stored, Mapping) and stored.get("kind") == "scrapeview joined"
    if not described or stored.get("format") != FORMAT:
        raise ReadingError(
            "What is stored of the joined photographs cannot be understood: it is damaged, or a "
            "newer version of scrapeview wrote it."
        )
    if hashlib.sha256(picture).hexdigest() != stored.get("picture_sha256"):
        raise ReadingError("The picture is not the map that these photographs were joined to.")
    try:
        joined = Joined(
            picture=picture,
            plane=Plane.from_dict(stored["plane"]),
            solved=_solved_in(stored["solved"]),
            seams=_table_in(stored["seams"], "seams"),
            gaps=_table_in(stored["gaps"], "gaps"),
            photos=_table_in(stored["photos"], "joined"),
            slopes=tuple(
                tuple((float(x), float(y)) for x, y in photo) for photo in stored["slopes"]
            ),
            notes=tuple(str(note) for note in stored["notes"]),
            px_per_mm=float(stored["px_per_mm"]),
        )
        _require_whole(joined)
        return joined
    except (KeyError, TypeError, ValueError, AttributeError, np.linalg.LinAlgError) as error:
        raise ReadingError(
            f"What is stored of the joined photographs is damaged: {error!r}."
        ) from error


def _require_whole(joined: Joined) -> None:
    """Refuse what is of another kind or scale, or tells of one photograph and not of the next."""
    solved = joined.solved
    if joined.plane.kind != "map" or not 0 < joined.px_per_mm < np.inf:
        raise ValueError("its plane is not that of a map")
    count = len(solved.mm_to_px)
    each = solved.photo_sizes_px, joined.photos, joined.slopes, solved.lenses or solved.mm_to_px
    if not count or any(len(one) != count for one in each):
        raise ValueError("not as many photographs everywhere")


def _table_out(frame: pd.DataFrame) -> dict[str, list[Any]]:
    # a distance that could not be measured is no number, which JSON does not know
    return {
        str(name): [None if value != value else value for value in column.tolist()]
        for name, column in frame.items()
    }


def _table_in(stored: Mapping[str, list[Any]], name: str) -> pd.DataFrame:
    return table(
        name,
        {
            column.name: [
                np.nan if value is None and column.dtype == "float64" else value
                for value in stored[column.name]
            ]
            for column in columns_of(name)
        },
    )


def _solved_out(solved: SolvedPhotos) -> dict[str, Any]:
    return {
        "mm_to_px": [homography.tolist() for homography in solved.mm_to_px],
        "photo_sizes_px": [list(size) for size in solved.photo_sizes_px],
        "lens": _lens_out(solved.lens),
        "lenses": [_lens_out(lens) for lens in solved.lenses],
        "tiles_mm": {str(number): corners.tolist() for number, corners in solved.tiles_mm.items()},
        "residual_mm": solved.residual_mm,
        "photo_residuals_mm": list(solved.photo_residuals_mm),
        "position_error_mm": solved.position_error_mm,
        "scale_error": solved.scale_error,
        "left_out": [list(pair) for pair in solved.left_out],
        "lying_twice": list(solved.lying_twice),
        "by_one_tile": [list(pair) for pair in solved.by_one_tile],
        "set_aside_mm": [[number, corners.tolist()] for number, corners in solved.set_aside_mm],
    }


def _solved_in(stored: Mapping[str, Any]) -> SolvedPhotos:
    return SolvedPhotos(
        mm_to_px=tuple(np.array(h, dtype=float).reshape(3, 3) for h in stored["mm_to_px"]),
        photo_sizes_px=tuple((int(w), int(h)) for w, h in stored["photo_sizes_px"]),
        lens=_lens_in(stored["lens"]),
        tiles_mm={
            int(number): np.array(corners, dtype=float).reshape(4, 2)
            for number, corners in stored["tiles_mm"].items()
        },
        residual_mm=float(stored["residual_mm"]),
        photo_residuals_mm=tuple(float(value) for value in stored["photo_residuals_mm"]),
        position_error_mm=float(stored["position_error_mm"]),
        scale_error=float(stored["scale_error"]),
        left_out=tuple((int(photo), int(number)) for photo, number in stored["left_out"]),
        lenses=tuple(_lens_in(lens) for lens in stored["lenses"]),
        lying_twice=tuple(int(number) for number in stored["lying_twice"]),
        by_one_tile=tuple((int(first), int(second)) for first, second in stored["by_one_tile"]),
        set_aside_mm=tuple(
            (int(number), np.array(corners, dtype=float).reshape(4, 2))
            for number, corners in stored["set_aside_mm"]
        ),
    )


def _lens_out(lens: Lens) -> list[float]:
    return [lens.k1, lens.k2]


def _lens_in(stored: Sequence[float]) -> Lens:
    k1, k2 = stored
    return Lens(float(k1), float(k2))
