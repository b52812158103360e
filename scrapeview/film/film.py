"""From the square-on view to the film of marking on it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.candidates import Candidate, likeliest_marking, try_marking, try_picks
from scrapeview.film.coarse import Coarse, coarse_picture
from scrapeview.film.edge import edge_share
from scrapeview.film.glare import contrast_left, washed_out_mask
from scrapeview.film.heaviness import Heaviness, measure_heaviness
from scrapeview.film.levels import Levels, refined_levels
from scrapeview.film.light import FloatImage, floor_for, log_light, project
from scrapeview.film.local import grow
from scrapeview.film.markings import marking_named
from scrapeview.film.separability import Separability

ROUGH_PX_PER_MM = 1.0
"""Kinds of marking are tried on a picture of this resolution: fine enough to show points."""
FINE_PX_PER_MM = 2.0
"""The levels of the marking that was found are settled on a picture of this resolution."""
FEWEST_BLOCKS = 20
"""Pixels of the shrunk pictures below which there is nothing to tell apart."""
GRAIN_MM = 0.15
"""Smoothing along the axis: less than the smallest point, more than the grain of chroma."""


@dataclass(frozen=True, eq=False)
class Film:
    """The film of marking on a face.

    Parameters
    ----------
    marking : str
        What was read: "blue", "red", "black", "rubbed" or "picked".
    undercoat : str
        Colour under the marking, "" where there is none.
    share : (h, w) float32
        Film thickness as a share of the full film around it: 0 bare, 1 full.
    begins_at : float
        Share of full film from which it is contact in this photograph.
    marked : (h, w) bool
        Where the film is thick enough to be contact, whole view.
    washed_out : (h, w) bool
        Where glare leaves nothing to judge by.
    separability : Separability
    heaviness : Heaviness
    """

    marking: str
    undercoat: str
    share: FloatImage
    begins_at: float
    marked: NDArray[np.bool_]
    washed_out: NDArray[np.bool_]
    separability: Separability
    heaviness: Heaviness


def read_film(
    rgb: NDArray[np.uint8],
    inside: NDArray[np.bool_],
    px_per_mm: float,
    *,
    marking: str = "auto",
    film_share: float = 0.5,
    marking_picks: NDArray[np.float64] | None = None,
    metal_picks: NDArray[np.float64] | None = None,
) -> Film:
    """Find the film of marking on a face seen square-on.

    Parameters
    ----------
    rgb : (h, w, 3) uint8
        The view.
    inside : (h, w) bool
        Pixels of the face, openings left out.
    px_per_mm : float
    marking : str
        "auto" or a name in `MARKINGS`.
    film_share : float
        Film of at least this share of its full local thickness is contact.
    marking_picks, metal_picks : (n, 2) float, optional
        View pixels known to be marking and bare metal; they overrule `marking`.

    Raises
    ------
    SettingsError
        For an unknown marking or picks that look alike.
    """
    log_rgb = log_light(rgb, floor_for(rgb, inside))
    washed_out = washed_out_mask(rgb, px_per_mm) & inside
    readable = inside & ~washed_out
    rough = coarse_picture(log_rgb, readable, px_per_mm, ROUGH_PX_PER_MM)
    fine = coarse_picture(log_rgb, readable, px_per_mm, FINE_PX_PER_MM)
    if min(rough.inside.sum(), fine.inside.sum()) < FEWEST_BLOCKS:
        return _nothing_left(marking, washed_out)
    if marking_picks is not None and metal_picks is not None:
        picked, metal = _at(log_rgb, marking_picks), _at(log_rgb, metal_picks)
        found = try_picks(picked, metal, rough, film_share)
    elif marking == "auto":
        found = likeliest_marking(rough, film_share)
    else:
        found = try_marking(marking_named(marking), rough, film_share)
    is_print = found.separability.is_print
    levels = _refined(found, rough, fine, film_share)
    share = _film_share(log_rgb, found.axis, levels, fine.factor, px_per_mm)
    begins_at = edge_share(share, readable, film_share, px_per_mm)
    marked = (share > begins_at) & ~washed_out if is_print else np.zeros_like(inside)
    fine_marked = (levels.contrast > film_share * levels.film) & is_print
    return Film(
        marking=found.name,
        undercoat=found.undercoat.colour if is_print else "",
        share=share,
        begins_at=begins_at,
        marked=marked,
        washed_out=washed_out,
        separability=found.separability,
        heaviness=measure_heaviness(
            levels, fine.inside, fine_marked, fine.px_per_mm, by_colour=found.by_colour
        ),
    )


def _nothing_left(marking: str, washed_out: NDArray[np.bool_]) -> Film:
    reason = "Too little of the face can be read: glare washes it out, or it is too small."
    return Film(
        marking=marking,
        undercoat="",
        share=np.zeros(washed_out.shape, np.float32),
        begins_at=1.0,
        marked=np.zeros_like(washed_out),
        washed_out=washed_out,
        separability=Separability(0.0, 0.0, 0.0, False, reason),
        heaviness=Heaviness(0.0, 0.0, 0.0),
    )


def _refined(found: Candidate, rough: Coarse, fine: Coarse, film_share: float) -> Levels:
    """Levels on the finer picture, with regard to glare."""
    left = np.ones_like(rough.inside, dtype=np.float32)
    if found.clear_channel is not None:
        light = rough.log_rgb[..., found.clear_channel]
        left = contrast_left(light, rough.inside, found.levels, rough.px_per_mm)
    values = project(fine.log_rgb, found.axis)
    left = np.asarray(cv2.resize(left, values.shape[::-1], interpolation=cv2.INTER_LINEAR))
    return refined_levels(found.levels, values, fine.inside, left, fine.px_per_mm, film_share)


def _film_share(
    log_rgb: FloatImage,
    axis: NDArray[np.float64],
    levels: Levels,
    factor: int,
    px_per_mm: float,
) -> FloatImage:
    values = cv2.GaussianBlur(project(log_rgb, axis), (0, 0), GRAIN_MM * px_per_mm)
    shape = (values.shape[0], values.shape[1])
    metal, film = grow(levels.metal, shape, factor), grow(levels.film, shape, factor)
    return np.asarray((values - metal) / np.maximum(film, 1e-3), dtype=np.float32)


def _at(log_rgb: FloatImage, picks: NDArray[np.float64]) -> NDArray[np.float32]:
    smooth = cv2.blur(log_rgb, (3, 3))
    x, y = np.round(picks).astype(int).T
    return np.asarray(smooth[y, x], dtype=np.float32)
