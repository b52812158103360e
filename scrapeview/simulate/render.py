"""Render a scene: marks, metal, film, camera, light, picture, truth; one step a line."""

from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import SettingsError
from scrapeview.simulate.camera import encode_jpeg, expose
from scrapeview.simulate.coating import coat
from scrapeview.simulate.fields import Field, Grid, grid_over
from scrapeview.simulate.light import glare_light, illuminate
from scrapeview.simulate.marks import MarkField, lay_marks
from scrapeview.simulate.metal import bare_metal
from scrapeview.simulate.pose import Pose, place_camera
from scrapeview.simulate.presets import SCENES
from scrapeview.simulate.result import Rendered, Truth
from scrapeview.simulate.scene import PrintScene
from scrapeview.simulate.shape import (
    body_cover,
    face_area_mm2,
    face_cover,
    metal_cover,
    opening_polygons,
    outline_polygons,
    plane_size_mm,
)
from scrapeview.simulate.surroundings import add_edges, background
from scrapeview.units import per_square_inch

LEAST_TEXTURE_PX_PER_MM = 6.0
"""Marks are laid at this scale or finer, whatever the photograph holds."""

Layer = Callable[[PrintScene, Grid, Field], MarkField]


def render(
    scene: str | PrintScene,
    *,
    seed: int | None = None,
    px_per_mm: float | None = None,
    size_mm: tuple[float, float] | None = None,
    lay: Layer = lay_marks,
) -> Rendered:
    """Compute the photograph of a print and what is true of it.

    Parameters
    ----------
    scene : name of a preset in `SCENES`, or a scene.
    seed : fixes everything random; the scene's own where None. Marks, metal, light and noise draw
        from generators of their own, so the same seed keeps the same print when only light or
        camera differ.
    px_per_mm : mean scale of the photograph on the face (0.5 to 40).
    size_mm : bounding rectangle of the face, width and height (10 to 2000 mm).
    lay : gives the marks on the raster; other than the default for prints of a height map.

    Returns
    -------
    Rendered
        Photograph, picks and truth.

    Raises
    ------
    SettingsError
        Unknown preset, or a scale or size out of range.
    """
    described = _described(scene, seed, px_per_mm, size_mm)
    _check(described)
    return _render(described, lay)


def _described(
    scene: str | PrintScene,
    seed: int | None,
    px_per_mm: float | None,
    size_mm: tuple[float, float] | None,
) -> PrintScene:
    if isinstance(scene, str):
        if scene not in SCENES:
            raise SettingsError(f"No scene is called {scene!r}; known are {', '.join(SCENES)}.")
        scene = SCENES[scene]
    if seed is not None:
        scene = replace(scene, seed=seed)
    if px_per_mm is not None:
        scene = scene.with_(camera={"px_per_mm": float(px_per_mm)})
    if size_mm is not None:
        scene = scene.with_(shape={"size_mm": (float(size_mm[0]), float(size_mm[1]))})
    return scene


def _check(scene: PrintScene) -> None:
    if not 0.5 <= scene.camera.px_per_mm <= 40:
        raise SettingsError(
            f"A scale of {scene.camera.px_per_mm} px/mm cannot be rendered; give 0.5 to 40."
        )
    if not all(10 <= side <= 2000 for side in scene.shape.size_mm):
        raise SettingsError(
            f"A face of {scene.shape.size_mm} mm cannot be rendered; give sides of 10 to 2000 mm."
        )


def _render(scene: PrintScene, lay: Layer) -> Rendered:
    shape, size_mm = scene.shape, plane_size_mm(scene.shape)
    pose = place_camera(scene.camera, size_mm)
    texture_px_per_mm = max(scene.camera.px_per_mm, LEAST_TEXTURE_PX_PER_MM)
    grid = grid_over(size_mm, shape.border_mm + 1.5, texture_px_per_mm)
    metal = metal_cover(shape, grid)
    marks = lay(scene, grid, metal)
    surface, flash = bare_metal(scene, grid)
    surface = coat(scene, grid, surface, marks)
    body = body_cover(shape, grid)
    add_edges(surface, metal, body, grid)
    photo = _photograph(scene, pose, grid, surface, body, flash * metal)
    rgb = expose(photo, scene.camera, scene.seed)
    return _result(scene, pose, rgb, _truth(scene, grid, marks))


def _photograph(
    scene: PrintScene, pose: Pose, grid: Grid, surface: Field, body: Field, flash: Field
) -> Field:
    """Return linear light (H, W, 3): the part seen by the camera on its background, lit."""
    to_grid = np.array(
        [
            [grid.px_per_mm, 0, -grid.origin_mm[0] * grid.px_per_mm],
            [0, grid.px_per_mm, -grid.origin_mm[1] * grid.px_per_mm],
            [0, 0, 1],
        ]
    )
    to_photo = pose.mm_to_px @ np.linalg.inv(to_grid)
    shrink = grid.px_per_mm / scene.camera.px_per_mm
    layers = np.empty((*grid.shape, 4), np.float32)
    np.multiply(surface, body[..., None], out=layers[..., :3])
    layers[..., 3] = body
    layers = _through_camera(layers, to_photo, pose.photo_px, shrink)
    ground = background(scene, pose)
    ground *= 1 - layers[..., 3:]
    ground += layers[..., :3]
    illuminate(ground, scene, pose)
    if scene.light.glare > 0 or scene.light.glare_strokes > 0:
        flash = _through_camera(flash, to_photo, pose.photo_px, shrink)
        ground += (glare_light(scene, pose, flash) * layers[..., 3])[..., None]
    return ground


def _through_camera(
    layer: Field, to_photo: NDArray[np.float64], photo_px: tuple[int, int], shrink: float
) -> Field:
    if shrink > 1.2:
        layer = cv2.GaussianBlur(layer, (0, 0), 0.42 * shrink)
    return cv2.warpPerspective(layer, to_photo, photo_px, flags=cv2.INTER_LINEAR)


def _truth(scene: PrintScene, grid: Grid, marks: MarkField) -> Truth:
    face = face_cover(scene.shape, grid)
    area_mm2 = face_area_mm2(scene.shape)
    in_contact = float((marks.contact * face).sum(dtype=np.float64))
    at = np.round(grid.to_px(marks.points[["x_mm", "y_mm"]].to_numpy(float))).astype(int)
    at = np.clip(at, 0, np.array(grid.shape[::-1]) - 1)
    points = marks.points[face[at[:, 1], at[:, 0]] >= 0.5].reset_index(drop=True)
    return Truth(
        points=points,
        contact_percent=100 * in_contact / float(face.sum(dtype=np.float64)),
        points_per_square_inch=per_square_inch(len(points), area_mm2),
        area_mm2=area_mm2,
        countable=marks.countable,
        contact_mask=(marks.contact > 0.5) & (face > 0.5),
        mask_px_per_mm=grid.px_per_mm,
        mask_origin_mm=grid.origin_mm,
    )


def _result(scene: PrintScene, pose: Pose, rgb: NDArray[np.uint8], truth: Truth) -> Rendered:
    width, height = plane_size_mm(scene.shape)
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], float)
    outline, openings = outline_polygons(scene.shape), opening_polygons(scene.shape)
    disc = scene.shape.kind == "disc"
    turn = np.arange(24 if disc else 0) * (2 * np.pi / 24)
    rim = np.column_stack([np.cos(turn) + 1, np.sin(turn) + 1]) * width / 2
    centre = pose.to_px(np.array([[width / 2, height / 2]]))[0]
    return Rendered(
        scene=scene,
        rgb=rgb,
        jpeg=encode_jpeg(rgb, scene.camera),
        corners_px=pose.to_px(corners),
        size_mm=(width, height),
        mm_to_px=pose.mm_to_px,
        rim_px=pose.to_px(rim),
        diameter_mm=width if disc else 0.0,
        centre_px=(float(centre[0]), float(centre[1])),
        outline_px=tuple(pose.to_px(polygon) for polygon in outline),
        outline_mm=tuple(outline),
        openings_px=tuple(pose.to_px(polygon) for polygon in openings),
        openings_mm=tuple(openings),
        marking=_told(scene),
        truth=truth,
    )


def _told(scene: PrintScene) -> str:
    """Return the marking a person would name: every bluish film is "blue"."""
    if scene.film.rubbed:
        return "rubbed"
    return scene.film.marking if scene.film.marking in ("red", "black") else "blue"
