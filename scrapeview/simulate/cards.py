"""Printed cards and tiles on a surface, drawn from `scrapeview.plane.cards` by area coverage."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.cards import (
    GREY_REFLECTANCE,
    MARKER_CELLS,
    TILES,
    Box,
    FrameCard,
    PaperScale,
    Tiles,
    marker_cells,
)
from scrapeview.simulate.fields import Field, generator
from scrapeview.simulate.surface import Surface

PAPER = 0.8
"""Linear reflectance of white office paper; ours, no source."""
INK = 0.04
RAG = (0.13, 0.1, 0.07)
"""Linear reflectance (R, G, B) of what covers a tile or a card in part."""
EXACT = PaperScale(1.0, 0.0)
"""A sheet that was printed as drawn."""


@dataclass(frozen=True)
class LaidTile:
    """A tile on or beside a face.

    Attributes
    ----------
    marker_id : number of its marker, which says its kind too.
    at_mm : where its middle lies.
    turn_deg : from the face's x towards its y.
    shown : share of the tile that is not covered by a rag, from its own left edge.
    """

    marker_id: int
    at_mm: tuple[float, float]
    turn_deg: float = 0.0
    shown: float = 1.0

    @property
    def kind(self) -> Tiles:
        """Its kind."""
        return next(kind for kind in TILES.values() if self.marker_id in kind.ids)

    def corners_mm(self, paper: PaperScale = EXACT) -> NDArray[np.float64]:
        """Return the corners (4, 2) of its marker on the face, clockwise from its own top left."""
        half = self.kind.marker_mm / 2
        own = np.array([(-half, -half), (half, -half), (half, half), (-half, half)])
        return _Sheet(self.at_mm, self.turn_deg, paper.scale).to_mm(own)

    def reach_mm(self, paper: PaperScale = EXACT) -> NDArray[np.float64]:
        """Return the corners (4, 2) of the whole tile on the face."""
        half = self.kind.tile_mm / 2
        own = np.array([(-half, -half), (half, -half), (half, half), (-half, half)])
        return _Sheet(self.at_mm, self.turn_deg, paper.scale).to_mm(own)


def tiles_along(
    size_mm: tuple[float, float],
    *,
    kind: str = "small",
    every_mm: float = 60.0,
    border_mm: float = 4.0,
    on_face: bool = False,
    sides: Sequence[str] = ("far", "near"),
    seed: int = 0,
) -> tuple[LaidTile, ...]:
    """Return tiles laid by hand along the long edges of a face, at irregular places and turns.

    Parameters
    ----------
    size_mm : the face.
    kind : "small" or "large".
    every_mm : mean distance from tile to tile along one edge.
    border_mm : metal beyond the face, which tiles beside the face keep off.
    on_face : whether they lie on the face instead of beside it.
    sides : "far" (y = 0), "near" or both.
    seed : of places, turns and numbers.
    """
    tiles, rng = TILES[kind], generator(seed, "tiles")
    numbers = rng.permutation(np.array(tiles.ids))
    laid: list[LaidTile] = []
    for side in sides:
        count = max(int(size_mm[0] / every_mm), 1)
        step = size_mm[0] / count
        # a tile turned by 45 degrees is its diagonal wide: never one on another
        free = float(np.clip((step - 2**0.5 * tiles.tile_mm) / 2, 0, 0.25 * step))
        middles = (np.arange(count) + 0.5) * step + rng.uniform(-free, free, count)
        for x in middles:
            turn = float(rng.uniform(-30, 30))
            half = tiles.tile_mm / 2 * float(np.abs(_turn(turn)[0]).sum())
            off = half + float(rng.uniform(1.0, 4.0))
            in_mm = off if on_face else -border_mm - off
            y = in_mm if side == "far" else size_mm[1] - in_mm
            laid.append(LaidTile(int(numbers[len(laid)]), (float(x), y), turn))
    return tuple(laid)


def paint_tile(
    surface: Surface,
    marker_id: int,
    tiles: Tiles,
    at_mm: tuple[float, float],
    turn_deg: float = 0.0,
    shown: float = 1.0,
    *,
    paper: PaperScale = EXACT,
) -> None:
    """Lay one tile on a surface, in place.

    Parameters
    ----------
    surface : rasters that reach over the tile; see `Surface.widened`.
    marker_id : its marker.
    tiles : its kind.
    at_mm, turn_deg : its middle, and its turn from x towards y.
    shown : share that no rag covers, from its own left edge.
    paper : how long the paper makes what is drawn.
    """
    sheet, half = _Sheet(at_mm, turn_deg, paper.scale), tiles.tile_mm / 2
    whole = (-half, -half, half, half)
    under = _Under(surface, sheet, whole)
    under.cover(under.share(whole), PAPER)
    under.print_marker(marker_id, (-tiles.marker_mm / 2, -tiles.marker_mm / 2), tiles.marker_mm)
    if shown < 1:
        under.cover(under.share((half - 2 * half * (1 - shown), -half, half, half)), RAG)


def paint_card(
    surface: Surface,
    card: FrameCard,
    at_mm: tuple[float, float],
    turn_deg: float = 0.0,
    *,
    paper: PaperScale = EXACT,
) -> None:
    """Lay a frame card on a surface, in place; what lies in its window is left as it is.

    Parameters
    ----------
    surface : rasters that reach over the card; see `Surface.widened`.
    card : which card.
    at_mm, turn_deg : its window's middle, and its turn from x towards y.
    paper : how long the paper makes what is drawn.
    """
    middle = card.window_mm / 2
    under = _Under(surface, _card_sheet(card, at_mm, turn_deg, paper), card.outer_mm)
    window = under.share((0.0, 0.0, 2 * middle, 2 * middle))
    under.cover(under.share(card.outer_mm) * (1 - window), PAPER)
    for patch in card.patches:
        if patch.kind == "grey":
            under.cover(under.share(patch.box_mm), PAPER * GREY_REFLECTANCE)
    for marker_id, corners in card.markers_mm.items():
        under.print_marker(marker_id, (corners[0, 0], corners[0, 1]), card.marker_mm)


def card_to_mm(
    card: FrameCard,
    at_mm: tuple[float, float],
    turn_deg: float,
    own_mm: NDArray[np.float64],
    paper: PaperScale = EXACT,
) -> NDArray[np.float64]:
    """Return where points (N, 2) of a card, in its own millimetres, lie on the face."""
    return _card_sheet(card, at_mm, turn_deg, paper).to_mm(own_mm)


def cover_up(surface: Surface, polygon_mm: NDArray[np.float64], colour: Sequence[float]) -> None:
    """Lay something of an even colour (R, G, B linear) over a polygon (N, 2), in place."""
    mask = np.zeros(surface.grid.shape, np.uint8)
    corners = np.round(surface.grid.to_px(polygon_mm) * 16).astype(np.int32)
    cv2.fillPoly(mask, [corners], 255, cv2.LINE_AA, shift=4)
    _blend(surface, np.s_[:, :], mask.astype(np.float32) / 255, colour)


@dataclass(frozen=True)
class _Sheet:
    """Where a sheet's own origin lies on the face, its turn, and its true size over the drawn."""

    at_mm: tuple[float, float]
    turn_deg: float
    scale: float

    def to_mm(self, own: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(own @ _turn(self.turn_deg).T * self.scale + self.at_mm)

    def to_own(self, xy_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray((xy_mm - self.at_mm) @ _turn(self.turn_deg) / self.scale)


class _Under:
    """The part of a surface beneath a sheet, with the sheet's own coordinates of its pixels."""

    def __init__(self, surface: Surface, sheet: _Sheet, box: Box) -> None:
        grid = surface.grid
        x0, y0, x1, y1 = box
        corners = grid.to_px(sheet.to_mm(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])))
        left, top = np.maximum(np.floor(corners.min(axis=0)).astype(int) - 1, 0)
        right, foot = np.ceil(corners.max(axis=0)).astype(int) + 2
        self.here = np.s_[top:foot, left:right]
        self.surface = surface
        rows, columns = surface.body[self.here].shape
        y, x = np.mgrid[top : top + rows, left : left + columns]
        xy_mm = np.stack([x, y], axis=-1) / grid.px_per_mm + grid.origin_mm
        self.own = sheet.to_own(xy_mm)
        self.px_per_own_mm = grid.px_per_mm * sheet.scale

    def share(self, box: Box) -> Field:
        """Return the share of every pixel in a box; a pixel is a square turned with the sheet."""
        x0, y0, x1, y1 = box
        return (
            self._between(0, np.array([x0, x1]))[..., 0]
            * self._between(1, np.array([y0, y1]))[..., 0]
        )

    def cover(self, share: Field, colour: float | Sequence[float]) -> None:
        _blend(self.surface, self.here, share, colour)

    def print_marker(self, marker_id: int, corner: tuple[float, float], side: float) -> None:
        """Print a marker's black cells."""
        edges = np.linspace(0, side, MARKER_CELLS + 1)
        black = marker_cells(marker_id).astype(np.float32)
        down = self._between(1, corner[1] + edges) @ black
        self.cover((down * self._between(0, corner[0] + edges)).sum(axis=-1), INK)

    def _between(self, axis: int, edges: NDArray[np.float64]) -> Field:
        """Return the share of each pixel between neighbouring edges, (H, W, edges - 1)."""
        past = (self.own[..., axis, None] - edges) * self.px_per_own_mm + 0.5
        return -np.diff(np.clip(past, 0, 1)).astype(np.float32)


def _card_sheet(
    card: FrameCard, at_mm: tuple[float, float], turn_deg: float, paper: PaperScale
) -> _Sheet:
    middle = np.full(2, card.window_mm / 2)
    origin = np.array(at_mm) - _turn(turn_deg) @ middle * paper.scale
    return _Sheet((float(origin[0]), float(origin[1])), turn_deg, paper.scale)


def _blend(
    surface: Surface, here: tuple[slice, slice], share: Field, colour: float | Sequence[float]
) -> None:
    reflectance, body = surface.reflectance[here], surface.body[here]
    # what lies beside the part has no light of its own in the raster: paper there hides background
    mixed = reflectance * body[..., None] * (1 - share[..., None])
    mixed += share[..., None] * np.asarray(colour, np.float32)
    np.copyto(body, share + body * (1 - share))
    np.copyto(reflectance, mixed / np.maximum(body, 1e-6)[..., None])
    surface.flash[here] *= 1 - share


def _turn(degrees: float) -> NDArray[np.float64]:
    cos, sin = np.cos(np.deg2rad(degrees)), np.sin(np.deg2rad(degrees))
    return np.array([[cos, -sin], [sin, cos]])
