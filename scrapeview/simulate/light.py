"""Light on the scene, in photo pixels: gradients, colour, shadows and glare."""

import cv2
import numpy as np

from scrapeview.simulate.fields import Field, Grid, generator, pixel_grid, smooth_field, smoothstep
from scrapeview.simulate.pose import Pose
from scrapeview.simulate.scene import Lighting, PrintScene

COARSE = 8
"""Slow light is made on every eighth pixel and enlarged."""


def illuminate(photo: Field, scene: PrintScene, pose: Pose) -> None:
    """Multiply a photograph (H, W, 3) in linear light by the light on it, in place."""
    light, shape = scene.light, photo.shape[:2]
    x, y, grid = _coarse_axes(pose)
    rng = generator(scene.seed, "light")
    along = _ramp(x, y, light.gradient_deg)
    level = np.exp(np.log(light.gradient) * along)
    level *= 1 + light.uneven * smooth_field(rng, grid, (shape[1] / 2.5, shape[1] / 2.5))
    side = smoothstep(_ramp(x, y, light.side_deg) + 0.5) * light.side_share
    slow = np.empty((*level.shape, 3), np.float32)
    for channel in range(3):
        mixed = light.colour[channel] * (1 - side) + light.side_colour[channel] * side
        slow[..., channel] = level * mixed
    full = cv2.resize(slow, shape[::-1], interpolation=cv2.INTER_LINEAR)
    if light.shadow > 0:
        full *= _shadow(light, scene, pose)[..., None]
    np.multiply(photo, full, out=photo)


def glare_light(scene: PrintScene, pose: Pose, flash: Field) -> Field:
    """Return mirror light (H, W), colourless, to be added on top of film and metal alike.

    Parameters
    ----------
    scene, pose : what is photographed from where.
    flash : how strongly the metal's strokes flash, in photo pixels.
    """
    light = scene.light
    x, y, grid = _coarse_axes(pose)
    rng = generator(scene.seed, "glare")
    broad: Field = np.zeros(x.shape, np.float32)
    for _ in range(light.glare_patches):
        centre = rng.uniform(0.2, 0.8, 2) - 0.5
        turn, long, short = rng.uniform(0, np.pi), rng.uniform(0.12, 0.26), rng.uniform(0.08, 0.15)
        dx, dy = x - centre[0], y - centre[1]
        u, v = dx * np.cos(turn) + dy * np.sin(turn), -dx * np.sin(turn) + dy * np.cos(turn)
        broad += np.exp(-((u / long) ** 2) - (v / short) ** 2).astype(np.float32)
    patchy = 1 + 0.15 * smooth_field(rng, grid, (90.0, 90.0))
    broad = cv2.resize(broad * patchy, flash.shape[::-1], interpolation=cv2.INTER_LINEAR)
    in_strokes = light.glare_strokes * flash * (0.08 + broad)
    return light.glare * broad * (0.75 + 0.35 * flash) + in_strokes


def _coarse_axes(pose: Pose) -> tuple[Field, Field, Grid]:
    """Return x and y from -0.5 to 0.5 over the longer side, and the coarse grid in pixels."""
    width, height = pose.photo_px
    columns, rows = -(-width // COARSE) + 1, -(-height // COARSE) + 1
    longer = max(width, height)
    x = ((np.arange(columns) + 0.5) * width / columns - width / 2) / longer
    y = ((np.arange(rows) + 0.5) * height / rows - height / 2) / longer
    xx, yy = np.meshgrid(x.astype(np.float32), y.astype(np.float32))
    return xx, yy, pixel_grid((rows, columns), columns / width)


def _ramp(x: Field, y: Field, degrees: float) -> Field:
    return x * np.float32(np.cos(np.deg2rad(degrees))) + y * np.float32(np.sin(np.deg2rad(degrees)))


def _shadow(light: Lighting, scene: PrintScene, pose: Pose) -> Field:
    """Return 1 in the light and 1 - shadow behind two edges that cross the face."""
    width, height = pose.photo_px
    rng = generator(scene.seed, "shadow")
    half = (-(-width // 2), -(-height // 2))
    x, y = np.meshgrid(
        np.arange(half[0], dtype=np.float32) * 2 - width / 2,
        np.arange(half[1], dtype=np.float32) * 2 - height / 2,
    )
    penumbra = max(light.shadow_edge_mm * scene.camera.px_per_mm, 1.5)
    lit = np.ones(x.shape, np.float32)
    for _ in range(2):
        turn = rng.uniform(0, 360)
        start = rng.uniform(0.1, 0.3) * min(width, height)
        depth = _ramp(x, y, turn) - start
        band = rng.uniform(0.12, 0.5) * max(width, height)
        inside = smoothstep(depth / penumbra + 0.5) * smoothstep((band - depth) / penumbra + 0.5)
        lit = np.minimum(lit, 1 - light.shadow * inside)
    return cv2.resize(lit, (width, height), interpolation=cv2.INTER_LINEAR)
