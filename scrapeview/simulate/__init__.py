"""Computed photographs of prints with exact truth; never used by the pipeline.

    from scrapeview.simulate import render, SCENES
    shot = render("touching", seed=3, px_per_mm=8, size_mm=(110, 70))
    shot.rgb, shot.jpeg                     # picture (H, W, 3) uint8, and as a JPEG file
    shot.corners_px, shot.size_mm           # for Plane.from_corners
    shot.rim_px, shot.diameter_mm           # for Plane.from_circle (scene "disc")
    shot.outline_px, shot.openings_px, shot.openings_mm, shot.marking
    shot.truth.points                       # x_mm, y_mm, area_mm2, hollow, touching, cut
    shot.truth.contact_percent, shot.truth.points_per_square_inch, shot.truth.area_mm2
    shot.truth.countable                    # False where marks merge: then do not check a count

`SCENES[name].with_(film={"haze": 0.3}, camera={"tilt_deg": 20.0})` changes a preset; the same seed
keeps the same print under another light or camera. `varied_scene(seed)` draws a scene over the
whole range of conditions. `scrape_series(shape, seed=...)` prints one face pass by pass through
the contact model, and `render(scene, lay=printed_layer(taken))` photographs such a print.

    from scrapeview.simulate import LaidTile, render_carded, render_long
    shot = render_carded("plain", card="inch", card_at_mm=(60, 40), card_turn_deg=8)
    shot.jpeg, shot.window_mm, shot.window_px, shot.markers_px
    long = render_long("plain", photos=7, size_mm=(1200, 120), lens=Lens(0.03), seed=1)
    long.photos, long.solved.mm_to_px, long.solved.tiles_mm, long.truth, long.corners
"""

from scrapeview.simulate.carded import Carded, render_carded
from scrapeview.simulate.cards import LaidTile, tiles_along
from scrapeview.simulate.long_face import Jitter, LongFace, render_long
from scrapeview.simulate.presets import SCENES
from scrapeview.simulate.render import render
from scrapeview.simulate.result import Rendered, Truth
from scrapeview.simulate.scene import (
    Camera,
    FaceShape,
    FilmLayer,
    Lighting,
    Marks,
    Metal,
    PrintScene,
)
from scrapeview.simulate.series import printed_layer, scrape_series
from scrapeview.simulate.variety import varied_scene

__all__ = [
    "SCENES",
    "Camera",
    "Carded",
    "FaceShape",
    "FilmLayer",
    "Jitter",
    "LaidTile",
    "Lighting",
    "LongFace",
    "Marks",
    "Metal",
    "PrintScene",
    "Rendered",
    "Truth",
    "printed_layer",
    "render",
    "render_carded",
    "render_long",
    "scrape_series",
    "tiles_along",
    "varied_scene",
]
