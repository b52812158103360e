"""A face scraped pass by pass: rough strokes over everything, then spacing out, then finishing.

Between two photographed prints the face is printed and scraped several rounds, strokes crossing
from round to round. A stroke goes where a mark is still larger than a bearing point should be in
that pass, or where the face stands proud enough to rub the film off; small sound points are left.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.simulate.contact import (
    HeightMap,
    Print,
    Strokes,
    cut,
    ground_face,
    stone,
    take_print,
)
from scrapeview.simulate.fields import Field, Grid, generator, grid_over
from scrapeview.simulate.marks import MarkField, field_marks, mottled
from scrapeview.simulate.scene import FaceShape, PrintScene
from scrapeview.simulate.shape import metal_cover, plane_size_mm
from scrapeview.simulate.surface import Layer

HEIGHTS_PX_PER_MM = 4.0
KEEP_UM = 0.9
"""Height above the plane that the stone leaves before each print."""

PROUD_SHARE = 0.15
"""Marks that penetrate by this share of the film are scraped whatever their size."""


@dataclass(frozen=True, kw_only=True)
class Pass:
    """One photographed pass.

    Attributes
    ----------
    film_um : film on the reference, thick early and thin late (Whitworth, 1840).
    load_um : mean penetration of the support.
    stroke_mm : (length, width) of strokes; depth_um, pitch_mm : see `Strokes`.
    rounds : of printing and scraping before the photographed print; 0 scrapes everything once
        in each of two directions.
    largest_mm2 : marks larger than this are cut through.
    """

    film_um: float
    load_um: float
    stroke_mm: tuple[float, float]
    depth_um: float
    pitch_mm: tuple[float, float]
    rounds: int
    largest_mm2: float = np.inf


def _pass(
    film: float,
    load: float,
    stroke: tuple[float, float],
    depth: float,
    pitch: tuple[float, float],
    rounds: int,
    largest: float = np.inf,
) -> Pass:
    return Pass(
        film_um=film,
        load_um=load,
        stroke_mm=stroke,
        depth_um=depth,
        pitch_mm=pitch,
        rounds=rounds,
        largest_mm2=largest,
    )


PASSES = (
    _pass(7.0, 0.15, (22.0, 9.0), 6.0, (18.0, 10.0), 0),
    _pass(6.0, 0.14, (17.0, 7.0), 5.5, (14.0, 9.0), 3, 120.0),
    _pass(5.0, 0.12, (13.0, 5.5), 5.0, (11.0, 7.5), 4, 60.0),
    _pass(4.2, 0.11, (10.0, 4.5), 4.4, (9.0, 6.2), 4, 36.0),
    _pass(3.6, 0.10, (8.5, 3.6), 4.0, (8.0, 5.4), 5, 22.0),
    _pass(3.1, 0.09, (7.0, 3.0), 3.6, (7.0, 4.8), 6, 14.0),
    _pass(2.8, 0.085, (6.0, 2.6), 3.4, (6.0, 4.4), 7, 10.0),
    _pass(2.6, 0.08, (5.2, 2.4), 3.3, (5.4, 4.2), 9, 8.0),
)
"""From first rough print to nearly done."""


def scrape_series(
    shape: FaceShape,
    *,
    seed: int,
    passes: tuple[Pass, ...] = PASSES,
    px_per_mm: float = HEIGHTS_PX_PER_MM,
) -> Iterator[Print]:
    """Yield the print of a face after every pass, first rough print first.

    Parameters
    ----------
    shape : the face with its openings.
    seed : fixes the ground face and every stroke.
    passes : what is done before each print.
    px_per_mm : scale of the height map.
    """
    rng = generator(seed, "heights")
    grid = grid_over(plane_size_mm(shape), shape.border_mm + 1.5, px_per_mm)
    metal = metal_cover(shape, grid) >= 0.5
    face = ground_face(grid, metal, form_um=9.0, waviness_um=3.0, rng=rng)
    direction = 45.0
    for now in passes:
        if now.rounds == 0:
            face = cut(cut(face, _strokes(now, -45.0), rng), _strokes(now, 45.0), rng)
        for _ in range(now.rounds):
            direction = -direction
            marks = to_be_scraped(_printed(face, now), now.largest_mm2)
            face = cut(face, _strokes(now, direction), rng, marks)
        face = stone(face, load_um=now.load_um, keep_um=KEEP_UM)
        yield _printed(face, now)


def to_be_scraped(taken: Print, largest_mm2: float) -> NDArray[np.bool_]:
    """Return where a print says to scrape: too large marks, and proud ones."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(
        taken.contact.astype(np.uint8), connectivity=8
    )
    large = stats[:, cv2.CC_STAT_AREA] > largest_mm2 * taken.face.grid.px_per_mm**2
    large[0] = False
    proud = (taken.gap_um < -PROUD_SHARE * taken.film_um) & taken.face.metal
    marks: NDArray[np.bool_] = large[labels] | proud
    return marks


def patch_areas_mm2(taken: Print) -> NDArray[np.float64]:
    """Return the areas of the 8-connected contact patches of a print."""
    _, _, stats, _ = cv2.connectedComponentsWithStats(
        taken.contact.astype(np.uint8), connectivity=8
    )
    return stats[1:, cv2.CC_STAT_AREA].astype(float) / taken.face.grid.px_per_mm**2


def printed_layer(taken: Print) -> Layer:
    """Return what `render(..., lay=...)` needs to photograph a print of the contact model."""

    def lay(scene: PrintScene, grid: Grid, metal: Field) -> MarkField:
        half_film = np.float32(taken.film_um / 2)
        depth = half_film - _onto(taken.gap_um, taken.face.grid, grid)
        thickness = _onto(taken.thickness, taken.face.grid, grid)
        steep = cv2.magnitude(
            cv2.Sobel(depth, cv2.CV_32F, 1, 0, scale=0.125),
            cv2.Sobel(depth, cv2.CV_32F, 0, 1, scale=0.125),
        )
        contact = np.clip(depth / np.maximum(steep, 1e-3) + 0.5, 0, 1)
        rng = generator(scene.seed, "mottle")
        thickness = mottled(thickness, scene.film, grid, rng)
        return field_marks(contact, thickness, grid, metal)

    return lay


def _printed(face: HeightMap, now: Pass) -> Print:
    return take_print(face, film_um=now.film_um, load_um=now.load_um, rub_um=0.5 + now.film_um / 2)


def _strokes(now: Pass, direction_deg: float) -> Strokes:
    return Strokes(
        length_mm=now.stroke_mm[0],
        width_mm=now.stroke_mm[1],
        depth_um=now.depth_um,
        direction_deg=direction_deg,
        pitch_mm=now.pitch_mm,
        jitter=0.22,
    )


def _onto(values: NDArray, coarse: Grid, fine: Grid) -> Field:
    """Return a field of one raster resampled (cubic) onto another over the same face."""
    scale = coarse.px_per_mm / fine.px_per_mm
    shift = (np.array(fine.origin_mm) - coarse.origin_mm) * coarse.px_per_mm
    to_coarse = np.array([[scale, 0, shift[0]], [0, scale, shift[1]]])
    return cv2.warpAffine(
        values.astype(np.float32),
        to_coarse,
        fine.shape[::-1],
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
