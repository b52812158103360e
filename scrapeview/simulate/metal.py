"""Bare metal: strokes, grain, machining lines, stains, pores and scratches."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.simulate.coating import MARKINGS
from scrapeview.simulate.fields import Field, Grid, generator, noise_image, smooth_field, smoothstep
from scrapeview.simulate.scene import Metal, PrintScene

STAMPS = 28
"""Different strokes cut; each is laid many times."""


def bare_metal(scene: PrintScene, grid: Grid) -> tuple[Field, Field]:
    """Return the metal's linear reflectance (H, W, 3) and how strongly its strokes flash (H, W)."""
    metal = scene.metal
    rng = generator(scene.seed, "metal")
    bright, flash = _strokes(metal, grid, rng)
    bright += metal.grain * _grain(metal, grid, generator(scene.seed, "grain"))
    if metal.lay > 0:
        bright += metal.lay * smooth_field(rng, grid, (40.0, 0.35), 8.0)
    slow = 0.7 * smooth_field(rng, grid, (35.0, 35.0)) + 0.7 * smooth_field(rng, grid, (9.0, 9.0))
    shade = np.clip(1 + bright + metal.stain * slow, 0.08, 3.0)
    _scratch(shade, metal, grid, rng)
    # a stroke that mirrors the lamp is seen through the film on it, and takes its colour
    shade *= 1 + 1.6 * scene.light.glare_strokes * flash
    surface = shade[..., None] * np.array(metal.reflectance, np.float32)
    if metal.rust > 0:
        rusty = smoothstep((smooth_field(rng, grid, (16.0, 12.0)) - 0.4) / 1.2) * metal.rust
        surface *= 1 - rusty[..., None] * np.array([0.1, 0.4, 0.65], np.float32)
    _dot_pores(surface, scene, grid, rng)
    return surface, flash


def _grain(metal: Metal, grid: Grid, rng: np.random.Generator) -> Field:
    fine = noise_image(rng, grid.shape)
    coarse = smooth_field(rng, grid, (metal.grain_mm * 3, metal.grain_mm * 3))
    sigma = metal.grain_mm / 2 * grid.px_per_mm
    if sigma > 0.3:
        fine = cv2.GaussianBlur(fine, (0, 0), sigma)
        fine = fine / fine.std()
    return 0.75 * fine + 0.5 * coarse


def _strokes(metal: Metal, grid: Grid, rng: np.random.Generator) -> tuple[Field, Field]:
    """Lay strokes in two crossing directions, later over earlier."""
    bright = np.zeros(grid.shape, np.float32)
    flash = np.zeros(grid.shape, np.float32)
    if metal.strokes <= 0:
        return bright, flash
    length, width = metal.stroke_mm
    masks = [_stroke_stamp(metal, grid, rng) for _ in range(STAMPS)]
    area = 0.6 * length * width
    count = int(metal.stroke_cover * grid.size_mm[0] * grid.size_mm[1] / area)
    half = masks[0][0].shape[0] // 2
    tops = np.round(rng.random(count) * grid.shape[0]).astype(int) - half
    lefts = np.round(rng.random(count) * grid.shape[1]).astype(int) - half
    which = rng.integers(0, STAMPS, count)
    level = metal.strokes * rng.standard_normal(count)
    flashing = rng.random(count) < metal.flash_share
    level = np.where(flashing, 2.2 * metal.strokes * rng.uniform(0.8, 1.6, count), level)
    for n in range(count):
        mask, texture = masks[which[n]]
        _blend(
            bright,
            mask,
            texture * np.float32(metal.strokes) + np.float32(level[n]),
            tops[n],
            lefts[n],
        )
        _blend(flash, mask, np.clip(texture + 1, 0, 3) * np.float32(flashing[n]), tops[n], lefts[n])
    return bright, flash


def _stroke_stamp(metal: Metal, grid: Grid, rng: np.random.Generator) -> tuple[Field, Field]:
    """Return one stroke's soft mask and the fine lines the scraper's edge leaves along it."""
    px = grid.px_per_mm
    length = metal.stroke_mm[0] * px * rng.uniform(0.6, 1.3)
    width = metal.stroke_mm[1] * px * rng.uniform(0.6, 1.3)
    half = int(metal.stroke_mm[0] * px * 0.7) + 2
    y, x = np.mgrid[-half : half + 1, -half : half + 1].astype(np.float32)
    angle = np.deg2rad(rng.normal(40, 14) if rng.random() < 0.5 else rng.normal(-50, 14))
    along, across = x * np.cos(angle) + y * np.sin(angle), -x * np.sin(angle) + y * np.cos(angle)
    across = across + 0.25 * along**2 / length * rng.uniform(-1, 1)
    taper = 1 - 0.5 * np.clip(along / length + 0.5, 0, 1)
    inside = 1 - np.maximum(np.abs(2 * along / length) ** 3, (2 * across / (width * taper)) ** 2)
    lines = np.interp(across / (0.22 * px), np.arange(-60, 60), rng.normal(0, 0.55, 120))
    return smoothstep(inside.astype(np.float32) * 1.4), lines.astype(np.float32)


def _blend(into: Field, mask: Field, value: Field, top: int, left: int) -> None:
    rows = slice(max(top, 0), min(top + mask.shape[0], into.shape[0]))
    columns = slice(max(left, 0), min(left + mask.shape[1], into.shape[1]))
    if rows.start >= rows.stop or columns.start >= columns.stop:
        return
    cut = np.s_[rows.start - top : rows.stop - top, columns.start - left : columns.stop - left]
    into[rows, columns] += mask[cut] * (value[cut] - into[rows, columns])


def _scratch(shade: Field, metal: Metal, grid: Grid, rng: np.random.Generator) -> None:
    height, width = grid.shape
    for _ in range(metal.scratches):
        start = rng.random(2) * (width, height)
        way = rng.uniform(0, 2 * np.pi)
        end = start + rng.uniform(10, 60) * grid.px_per_mm * np.array([np.cos(way), np.sin(way)])
        value = float(rng.choice([0.5, 1.6]))
        ends = [tuple(int(v * 16) for v in point) for point in (start, end)]
        cv2.line(shade, ends[0], ends[1], value, 1, cv2.LINE_AA, shift=4)


def _dot_pores(surface: Field, scene: PrintScene, grid: Grid, rng: np.random.Generator) -> None:
    metal = scene.metal
    count = int(rng.poisson(metal.pores_per_cm2 * grid.size_mm[0] * grid.size_mm[1] / 100))
    black = np.array(metal.reflectance, np.float32) * 0.12
    pigment = MARKINGS[scene.film.marking]
    old = np.array(metal.reflectance) * np.exp(-1.1 * np.array(pigment.absorbance))
    for _ in range(count):
        at = rng.random(2) * grid.shape[::-1]
        stained = rng.random() < metal.stained_pores
        radius = rng.uniform(0.06, 0.3) if not stained else rng.uniform(0.08, 0.26)
        _dot(surface, at, radius * grid.px_per_mm, old if stained else black)


def _dot(surface: Field, at: NDArray[np.float64], radius_px: float, colour: NDArray) -> None:
    reach = int(radius_px + 2)
    left, top = int(at[0]) - reach, int(at[1]) - reach
    patch = surface[max(top, 0) : top + 2 * reach + 1, max(left, 0) : left + 2 * reach + 1]
    if patch.size == 0:
        return
    y, x = np.mgrid[0 : patch.shape[0], 0 : patch.shape[1]]
    far = np.hypot(x - (at[0] - max(left, 0)), y - (at[1] - max(top, 0)))
    cover = np.clip(radius_px - far + 0.5, 0, 1)[..., None]
    # below one pixel the dot only tints
    cover = cover * min(1.0, np.pi * radius_px**2)
    patch += (cover * (colour - patch)).astype(np.float32)
