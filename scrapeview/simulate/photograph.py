"""The camera's view of a surface: perspective, lens, background and light, before exposure."""

from collections.abc import Callable

import cv2
import numpy as np

from scrapeview.simulate.fields import Field, Grid
from scrapeview.simulate.light import glare_light, illuminate
from scrapeview.simulate.pose import Pose
from scrapeview.simulate.scene import PrintScene
from scrapeview.simulate.surface import Surface
from scrapeview.simulate.surroundings import background

LENS_STEP = 8
"""Where the lens takes a pixel is worked out on every eighth one and interpolated."""

_Look = Callable[[Field], Field]


def photograph(scene: PrintScene, pose: Pose, surface: Surface) -> Field:
    """Return linear light (H, W, 3): a surface seen by the camera on its background, lit."""
    look = _through_camera(surface.grid, pose, surface.grid.px_per_mm / scene.camera.px_per_mm)
    layers = np.empty((*surface.grid.shape, 4), np.float32)
    np.multiply(surface.reflectance, surface.body[..., None], out=layers[..., :3])
    layers[..., 3] = surface.body
    layers = look(layers)
    ground = background(scene, pose)
    ground *= 1 - layers[..., 3:]
    ground += layers[..., :3]
    illuminate(ground, scene, pose)
    if scene.light.glare > 0 or scene.light.glare_strokes > 0:
        flash = look(surface.flash)
        ground += (glare_light(scene, pose, flash) * layers[..., 3])[..., None]
    return ground


def _through_camera(grid: Grid, pose: Pose, shrink: float) -> _Look:
    """Return what takes a raster to the photograph's pixels; `shrink` is how much coarser."""
    look = _ideal_camera(grid, pose) if pose.lens is None else _real_camera(grid, pose)

    def blurred(layer: Field) -> Field:
        if shrink > 1.2:
            layer = cv2.GaussianBlur(layer, (0, 0), 0.42 * shrink)
        return look(layer)

    return blurred


def _ideal_camera(grid: Grid, pose: Pose) -> _Look:
    to_grid = np.array(
        [
            [grid.px_per_mm, 0, -grid.origin_mm[0] * grid.px_per_mm],
            [0, grid.px_per_mm, -grid.origin_mm[1] * grid.px_per_mm],
            [0, 0, 1],
        ]
    )
    to_photo = pose.mm_to_px @ np.linalg.inv(to_grid)

    def look(layer: Field) -> Field:
        return cv2.warpPerspective(layer, to_photo, pose.photo_px, flags=cv2.INTER_LINEAR)

    return look


def _real_camera(grid: Grid, pose: Pose) -> _Look:
    x, y = cv2.split(_raster_of_photo(grid, pose))

    def look(layer: Field) -> Field:
        return cv2.remap(layer, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)

    return look


def _raster_of_photo(grid: Grid, pose: Pose) -> Field:
    """Return the raster pixel (H, W, 2) that every pixel of the photograph pictures."""
    width, height = pose.photo_px
    columns, rows = (-(-side // LENS_STEP) + 2 for side in (width, height))
    # the outermost nodes lie outside, so that no pixel is extrapolated
    x = (np.arange(columns) - 0.5) * LENS_STEP - 0.5
    y = (np.arange(rows) - 0.5) * LENS_STEP - 0.5
    nodes = np.stack(np.meshgrid(x, y), axis=-1)
    seen = grid.to_px(pose.to_mm(nodes.reshape(-1, 2))).reshape(nodes.shape)
    full_size = (columns * LENS_STEP, rows * LENS_STEP)
    full = cv2.resize(seen.astype(np.float32), full_size, interpolation=cv2.INTER_LINEAR)
    return full[LENS_STEP : LENS_STEP + height, LENS_STEP : LENS_STEP + width]
