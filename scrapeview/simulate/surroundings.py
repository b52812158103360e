"""What lies round the face: bench, wood, cloth, and the part's own recesses and edges."""

import cv2
import numpy as np

from scrapeview.simulate.fields import Field, Grid, generator, noise_image, pixel_grid, smooth_field
from scrapeview.simulate.pose import Pose
from scrapeview.simulate.scene import PrintScene

COLOURS = {
    "wood": (0.27, 0.15, 0.075),
    "bench": (0.11, 0.125, 0.095),
    "cloth": (0.06, 0.075, 0.13),
    "dark": (0.02, 0.02, 0.024),
    "clutter": (0.2, 0.19, 0.17),
}
"""Linear reflectance (R, G, B) of what the part lies on."""


def background(scene: PrintScene, pose: Pose) -> Field:
    """Return what the part lies on, linear reflectance (H, W, 3) in photo pixels."""
    rng = generator(scene.seed, "background")
    width, height = pose.photo_px
    half = pixel_grid((-(-height // 2), -(-width // 2)), 0.5)
    kind = scene.shape.background
    shade = np.ones(half.shape, np.float32)
    if kind == "wood":
        shade += 0.12 * smooth_field(rng, half, (width / 2, width / 150), 4.0)
    shade += 0.08 * smooth_field(rng, half, (width / 3, width / 3))
    shade += 0.06 * noise_image(rng, half.shape)
    picture = shade[..., None] * np.array(COLOURS[kind], np.float32)
    if kind == "clutter":
        _drop_things(picture, rng)
    return cv2.resize(picture, (width, height), interpolation=cv2.INTER_LINEAR)


def _drop_things(picture: Field, rng: np.random.Generator) -> None:
    """Scatter out-of-focus blocks of any colour, blue ones too."""
    height, width = picture.shape[:2]
    for _ in range(24):
        centre = rng.random(2) * (width, height)
        box = (tuple(centre), tuple(rng.uniform(0.03, 0.22, 2) * width), rng.uniform(0, 180))
        colour = rng.uniform(0.01, 0.5) * rng.uniform(0.3, 1.0, 3)
        corners = np.round(cv2.boxPoints(box)).astype(np.int32)
        cv2.fillConvexPoly(picture, corners, tuple(float(c) for c in colour))
    picture[:] = cv2.GaussianBlur(picture, (0, 0), width / 250)


def add_edges(surface: Field, metal: Field, body: Field, grid: Grid) -> None:
    """Darken recesses and brighten a thin chamfer where the metal ends, in place."""
    recess = np.array([0.014, 0.014, 0.016], np.float32)
    surface *= metal[..., None]
    off_metal = metal < 1
    surface[off_metal] += recess * (1 - metal[off_metal])[:, None]
    sigma = max(0.25 * grid.px_per_mm, 0.5)
    inner = cv2.GaussianBlur(metal, (0, 0), sigma) * body
    chamfer = np.clip(4 * inner * (1 - inner) - 0.5, 0, 0.5) * 0.14 * metal
    at_edge = chamfer > 0
    surface[at_edge] += chamfer[at_edge][:, None]
