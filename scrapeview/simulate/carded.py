"""One photograph of a print with a scale card or tiles on it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.cards import CARDS, FrameCard, PaperScale
from scrapeview.plane.joined.solved import Lens
from scrapeview.simulate.cards import (
    EXACT,
    RAG,
    LaidTile,
    card_to_mm,
    cover_up,
    paint_card,
    paint_tile,
)
from scrapeview.simulate.marks import lay_marks
from scrapeview.simulate.pose import Pose, place_camera
from scrapeview.simulate.render import described_scene, rendered
from scrapeview.simulate.result import Rendered, Truth
from scrapeview.simulate.scene import PrintScene
from scrapeview.simulate.shape import plane_size_mm
from scrapeview.simulate.surface import Layer, lay_surface, truth_of


@dataclass(frozen=True, eq=False)
class Carded:
    """A photograph with a card or tiles in it, and where they truly are.

    Attributes
    ----------
    shot : the photograph and the truth of the whole face, also of what paper hides.
    pose : from face mm to photo pixels.
    markers_mm : corners (4, 2) of every marker on the face, clockwise from its own top left, by
        number; true lengths, as the paper has them.
    window_mm : corners (4, 2) of the card's window on the face, clockwise from its own top left;
        (0, 2) without a card.
    """

    shot: Rendered
    pose: Pose
    markers_mm: dict[int, NDArray[np.float64]]
    window_mm: NDArray[np.float64]

    @property
    def rgb(self) -> NDArray[np.uint8]:
        """The picture (H, W, 3) before compression."""
        return self.shot.rgb

    @property
    def jpeg(self) -> bytes:
        """The photograph as a file."""
        return self.shot.jpeg

    @property
    def truth(self) -> Truth:
        """What is true of the whole face."""
        return self.shot.truth

    @property
    def window_px(self) -> NDArray[np.float64]:
        """Corners (4, 2) of the card's window in the photograph."""
        return self.pose.to_px(self.window_mm)

    @property
    def markers_px(self) -> dict[int, NDArray[np.float64]]:
        """Corners (4, 2) of every marker in the photograph, by number."""
        return {number: self.pose.to_px(corners) for number, corners in self.markers_mm.items()}


def render_carded(
    scene: str | PrintScene,
    *,
    card: str | FrameCard | None = None,
    card_at_mm: tuple[float, float] = (0.0, 0.0),
    card_turn_deg: float = 0.0,
    tiles: Sequence[LaidTile] = (),
    covers_mm: Sequence[NDArray[np.float64]] = (),
    paper: PaperScale = EXACT,
    lens: Lens | None = None,
    seed: int | None = None,
    px_per_mm: float | None = None,
    size_mm: tuple[float, float] | None = None,
    lay: Layer = lay_marks,
) -> Carded:
    """Compute the photograph of a print with a card or tiles on or beside the face.

    Parameters
    ----------
    scene, seed, px_per_mm, size_mm, lay : see `render`; the print is the same as without paper.
    card : a name in `CARDS` or a card.
    card_at_mm, card_turn_deg : the window's middle on the face, and the card's turn from x to y.
    tiles : tiles, anywhere; the photograph shows all of them.
    covers_mm : polygons (N, 2) of something brown laid over everything.
    paper : how long the paper makes what is drawn.
    lens : distortion of the camera's lens.
    """
    described = described_scene(scene, seed, px_per_mm, size_mm)
    size = plane_size_mm(described.shape)
    kind = CARDS[card] if isinstance(card, str) else card
    outlines = [tile.reach_mm(paper) for tile in tiles]
    markers = {tile.marker_id: tile.corners_mm(paper) for tile in tiles}
    window = np.zeros((0, 2))
    if kind is not None:

        def on_face(own: NDArray[np.float64]) -> NDArray[np.float64]:
            return card_to_mm(kind, card_at_mm, card_turn_deg, own, paper)

        outlines.append(on_face(_box_corners(kind.outer_mm)))
        window = on_face(_box_corners((0.0, 0.0, kind.window_mm, kind.window_mm)))
        markers |= {number: on_face(own) for number, own in kind.markers_mm.items()}
    beside = np.vstack(outlines) if outlines else None
    pose = replace(place_camera(described.camera, size, beside), lens=lens)
    surface, marks = lay_surface(described, lay)
    truth = truth_of(described, surface.grid, marks)
    if beside is not None:
        low, high = beside.min(axis=0) - 1, beside.max(axis=0) + 1
        surface = surface.widened((low[0], low[1], high[0], high[1]))
    for tile in tiles:
        at, turn = tile.at_mm, tile.turn_deg
        paint_tile(surface, tile.marker_id, tile.kind, at, turn, tile.shown, paper=paper)
    if kind is not None:
        paint_card(surface, kind, card_at_mm, card_turn_deg, paper=paper)
    for polygon in covers_mm:
        cover_up(surface, polygon, RAG)
    return Carded(rendered(described, pose, surface, truth), pose, markers, window)


def _box_corners(box: tuple[float, float, float, float]) -> NDArray[np.float64]:
    x0, y0, x1, y1 = box
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
