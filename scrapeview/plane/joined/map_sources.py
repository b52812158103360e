"""The photographs a map is made of: what is told of each."""

from collections.abc import Sequence
from typing import NamedTuple

import cv2
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.columns import table
from scrapeview.errors import PhotoError
from scrapeview.photo.measures import edge_width_mm
from scrapeview.plane.cards import TILES
from scrapeview.plane.joined.levels import Levels
from scrapeview.plane.joined.map_grid import MapGrid, shown_by
from scrapeview.plane.joined.solved import SolvedPhotos
from scrapeview.plane.joined.warped import Warped

_SMALLEST_POINT_MM = 0.8
_GREY = 3
"""Steps by which the channels of a photograph without colour differ at most."""
_DOUBLED_MM = 0.5
"""Where two photographs lie this far apart, a mark on the seam is cut or doubled."""


class MapSource(NamedTuple):
    """A photograph that was laid onto the map.

    Attributes
    ----------
    name, sha256 : str
    notes : tuple of str
        What was changed on the way in.
    warped : Warped
    """

    name: str
    sha256: str
    notes: tuple[str, ...]
    warped: Warped


def require_colour_alike(sources: Sequence[MapSource]) -> None:
    """Refuse grey photographs among coloured ones: no levelling gives marking its colour back.

    Raises
    ------
    PhotoError
    """
    grey = [source.name for source in sources if _is_grey(source.warped)]
    if grey and len(grey) < len(sources):
        verb = "is" if len(grey) == 1 else "are"
        raise PhotoError(
            f"{', '.join(grey)} {verb} grey and the others show colours, so that the marking "
            "cannot be told alike in all: photograph that stretch again in colour, or leave it out."
        )


def _is_grey(warped: Warped) -> bool:
    red, green, blue = (warped.rgb[..., channel] for channel in range(3))
    return all(int(cv2.absdiff(green, other).max()) <= _GREY for other in (red, blue))


def sources_table(
    sources: Sequence[MapSource],
    solved: SolvedPhotos,
    labels: NDArray[np.int16],
    levels: Levels,
    grid: MapGrid,
) -> pd.DataFrame:
    """Return the table "joined", one row a photograph, in their order.

    Parameters
    ----------
    sources : sequence of MapSource
    solved : SolvedPhotos
    labels : (h, w) int16 array
        Which photograph each cell of the map comes from.
    levels : Levels
    grid : MapGrid
    """
    count = len(sources)
    used = np.bincount(labels[labels >= 0], minlength=count) / max(1, int((labels >= 0).sum()))
    residuals = solved.photo_residuals_mm or (solved.residual_mm,) * count
    gain = levels.gain
    values: dict[str, object] = {
        "photo": np.arange(1, count + 1),
        "name": [source.name for source in sources],
        "sha256": [source.sha256 for source in sources],
        "residual_mm": residuals,
        "share_percent": 100 * used,
        "scale": [np.median(shown_by(solved, n)[1]) for n in range(count)],
        "edge_mm": [_edge_mm(source.warped, grid) for source in sources],
        "red_gain": gain[:, 0],
        "green_gain": gain[:, 1],
        "blue_gain": gain[:, 2],
        "contrast": levels.contrast.mean(axis=1),
    }
    return table("joined", values)


def notes_on(
    sources: Sequence[MapSource], solved: SolvedPhotos, seams: pd.DataFrame
) -> tuple[str, ...]:
    """Return what is worth knowing of a map, in plain sentences."""
    notes = [f"{source.name}: {note}" for source in sources for note in source.notes]
    left_out = sorted({photo for photo, _ in solved.left_out})
    if left_out:
        named = ", ".join(sources[photo].name for photo in left_out)
        notes.append(f"Tiles that do not fit the others were left out in {named}.")
    if solved.lying_twice:
        twice = ", ".join(str(_printed_number(marker)) for marker in solved.lying_twice)
        notes.append(f"Lying there more than once, and so left out: tile {twice}.")
    notes += [
        f"{sources[first].name} and {sources[second].name} hang together by one tile only, so how "
        "they lie to each other is unsure: lay more tiles."
        for first, second in solved.by_one_tile
    ]
    notes += [
        f"{sources[row['first'] - 1].name} and {sources[row['second'] - 1].name} lie "
        f"{row['apart_mm']:.1f} mm apart where they meet: marks there may be cut or doubled."
        for row in seams.to_dict("records")
        if row["apart_mm"] > _DOUBLED_MM
    ]
    return tuple(notes)


def _printed_number(marker: int) -> int:
    """Return the number that a person reads on a tile."""
    return next((t.number_of(marker) for t in TILES.values() if marker in t.ids), marker)


def _edge_mm(warped: Warped, grid: MapGrid) -> float:
    grown = cv2.erode(warped.valid.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    return edge_width_mm(warped.rgb, grown, grid.px_per_mm, _SMALLEST_POINT_MM)
