"""Colour of film over metal, in linear light.

A film of thickness t over a ground of reflectance R sends back R exp(-a t) + b (1 - exp(-s t)):
light goes through the layer (Beer-Lambert absorption, a per channel for both ways), and the
pigment itself scatters a little (body colour b, strength s).
"""

from dataclasses import dataclass

import cv2
import numpy as np

from scrapeview.simulate.fields import Field, Grid, generator, smooth_field, smoothstep
from scrapeview.simulate.marks import MarkField
from scrapeview.simulate.scene import FilmLayer, PrintScene


@dataclass(frozen=True)
class Pigment:
    """A film of thickness 1: absorbance and body colour per channel (R, G, B), scattering."""

    absorbance: tuple[float, float, float]
    body: tuple[float, float, float]
    scatter: float


MARKINGS = {
    "blue": Pigment((2.9, 1.45, 0.28), (0.01, 0.05, 0.28), 0.55),
    "teal": Pigment((2.4, 0.72, 0.62), (0.01, 0.13, 0.16), 0.5),
    "navy": Pigment((2.7, 2.1, 1.05), (0.01, 0.02, 0.07), 0.4),
    "violet": Pigment((1.35, 2.2, 0.45), (0.06, 0.02, 0.2), 0.5),
    "cyan": Pigment((1.15, 0.32, 0.1), (0.1, 0.32, 0.42), 0.5),
    "red": Pigment((0.3, 2.6, 2.8), (0.3, 0.02, 0.015), 0.6),
    "black": Pigment((2.3, 2.3, 2.25), (0.012, 0.012, 0.013), 0.5),
}
"""Markings by name; "cyan" is a washed-out blue."""

UNDERCOATS = {
    "red": Pigment((0.25, 1.7, 2.0), (0.33, 0.035, 0.02), 0.9),
    "orange": Pigment((0.1, 0.95, 2.4), (0.42, 0.14, 0.02), 0.9),
    "yellow": Pigment((0.06, 0.3, 2.2), (0.5, 0.36, 0.04), 0.9),
}


def layer_over(ground: Field, pigment: Pigment, thickness: Field) -> Field:
    """Return the reflectance (H, W, 3) of a film of given thickness (H, W) over a ground."""
    scattered = 1 - cv2.exp(thickness * np.float32(-pigment.scatter))
    # plane by plane: OpenCV is several times faster on them than on interleaved channels
    planes = list(cv2.split(ground))
    for channel, plane in enumerate(planes):
        through = cv2.exp(thickness * np.float32(-pigment.absorbance[channel]))
        lit = cv2.multiply(plane, through, dst=through)
        planes[channel] = cv2.scaleAdd(scattered, pigment.body[channel], lit)
    return cv2.merge(planes)


def coat(scene: PrintScene, grid: Grid, metal: Field, marks: MarkField) -> Field:
    """Return the reflectance of the face with undercoat and marking on it."""
    film = scene.film
    surface = metal
    if film.undercoat:
        surface = layer_over(surface, UNDERCOATS[film.undercoat], _undercoat_thickness(scene, grid))
    if film.rubbed:
        return _rubbed_through(scene, grid, surface, marks)
    return layer_over(surface, MARKINGS[film.marking], _film_thickness(scene, grid, marks))


def _film_thickness(scene: PrintScene, grid: Grid, marks: MarkField) -> Field:
    film = scene.film
    rng = generator(scene.seed, "film")
    thickness = marks.thickness * np.float32(film.thickness)
    if film.haze > 0:
        patch = smooth_field(rng, grid, (film.haze_patch_mm, film.haze_patch_mm))
        fine = smooth_field(rng, grid, (2.5, 2.5))
        haze = np.float32(film.haze) * np.clip(1 + 0.7 * patch + 0.25 * fine, 0, 3)
        # the reference wipes the film off where it bears
        haze[marks.thickness > 0.5] *= 0.2
        thickness = np.maximum(thickness, haze)
    if film.smear > 0 and marks.thickness.any():
        thickness = np.maximum(thickness, film.smear * _dragged(marks.thickness, film, grid))
    return thickness


def _dragged(thickness: Field, film: FilmLayer, grid: Grid) -> Field:
    """Return the film drawn out of the points one way, thinning with distance."""
    length = max(int(film.smear_mm * grid.px_per_mm), 3)
    kernel = np.zeros((2 * length + 1, 2 * length + 1), np.float32)
    angle = np.deg2rad(film.smear_deg)
    tip = np.round(length + length * np.array([np.cos(angle), np.sin(angle)])).astype(int)
    cv2.line(kernel, (length, length), (int(tip[0]), int(tip[1])), 1.0)
    rows, columns = np.nonzero(kernel)
    kernel[rows, columns] = 1 - np.hypot(rows - length, columns - length) / (1.2 * length)
    kernel /= kernel.sum()
    # filter2D correlates: turn the kernel so that film moves towards the tip
    return cv2.filter2D(thickness, -1, cv2.flip(kernel, -1))


def _undercoat_thickness(scene: PrintScene, grid: Grid) -> Field:
    rng = generator(scene.seed, "undercoat")
    slow = smooth_field(rng, grid, (14.0, 14.0)) + 0.5 * smooth_field(rng, grid, (4.0, 4.0))
    wiped = smooth_field(rng, grid, (20.0, 1.2), 15.0)
    thickness = 1.0 + 0.35 * slow + 0.15 * wiped
    bare = (
        np.quantile(slow[::7, ::7], scene.film.undercoat_bare) if scene.film.undercoat_bare else -9
    )
    return (
        scene.film.undercoat_thickness
        * np.clip(thickness, 0.15, 2.2)
        * (0.06 + 0.94 * smoothstep((slow - bare) / 0.5 + 0.5))
    )


def _rubbed_through(scene: PrintScene, grid: Grid, surface: Field, marks: MarkField) -> Field:
    film = scene.film
    rng = generator(scene.seed, "film")
    slow = smooth_field(rng, grid, (18.0, 18.0)) + 0.6 * smooth_field(rng, grid, (2.0, 2.0))
    coating = np.float32(film.thickness) * np.clip(1 + 0.18 * slow, 0.35, 2)
    bright = np.minimum(marks.thickness, 1)
    burnish = 1 + 0.2 * bright
    left = coating * (1 - (1 - film.hollow_rest) * bright)
    return layer_over(surface * burnish[..., None], MARKINGS[film.marking], left)
