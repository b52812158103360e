"""Render a scene: marks, metal, film, camera, light, picture, truth; one step a line."""

from dataclasses import replace

import numpy as np

from scrapeview.errors import SettingsError
from scrapeview.simulate.camera import encode_jpeg, expose
from scrapeview.simulate.marks import lay_marks
from scrapeview.simulate.photograph import photograph
from scrapeview.simulate.pose import Pose, place_camera
from scrapeview.simulate.presets import SCENES
from scrapeview.simulate.result import Rendered, Truth
from scrapeview.simulate.scene import PrintScene
from scrapeview.simulate.shape import opening_polygons, outline_polygons, plane_size_mm
from scrapeview.simulate.surface import Layer, Surface, lay_surface, truth_of

LONGEST_MM = 2000.0
"""Longest face of one photograph."""


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
    described = described_scene(scene, seed, px_per_mm, size_mm)
    pose = place_camera(described.camera, plane_size_mm(described.shape))
    surface, marks = lay_surface(described, lay)
    return rendered(described, pose, surface, truth_of(described, surface.grid, marks))


def described_scene(
    scene: str | PrintScene,
    seed: int | None = None,
    px_per_mm: float | None = None,
    size_mm: tuple[float, float] | None = None,
    longest_mm: float = LONGEST_MM,
) -> PrintScene:
    """Return a preset or a scene with what is told beside it.

    Raises
    ------
    SettingsError
        Unknown preset, or a scale or size out of range.
    """
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
    _check(scene, longest_mm)
    return scene


def _check(scene: PrintScene, longest_mm: float) -> None:
    if not 0.5 <= scene.camera.px_per_mm <= 40:
        raise SettingsError(
            f"A scale of {scene.camera.px_per_mm} px/mm cannot be rendered; give 0.5 to 40."
        )
    if not all(10 <= side <= longest_mm for side in scene.shape.size_mm):
        raise SettingsError(
            f"A face of {scene.shape.size_mm} mm cannot be rendered; give sides of 10 to "
            f"{longest_mm:.0f} mm."
        )


def rendered(scene: PrintScene, pose: Pose, surface: Surface, truth: Truth) -> Rendered:
    """Return the photograph of a surface with the picks a person would make on it."""
    rgb = expose(photograph(scene, pose, surface), scene.camera, scene.seed)
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
        marking=marking_told(scene),
        truth=truth,
    )


def marking_told(scene: PrintScene) -> str:
    """Return the marking a person would name: every bluish film is "blue"."""
    if scene.film.rubbed:
        return "rubbed"
    return scene.film.marking if scene.film.marking in ("red", "black") else "blue"
