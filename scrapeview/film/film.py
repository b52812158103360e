"""From the square-on view to the film of marking on it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.film.axis import axis_of_picks, sharpened_axis
from scrapeview.film.glare import contrast_left, washed_out_mask
from scrapeview.film.heaviness import Heaviness, measure_heaviness
from scrapeview.film.levels import BARE_BELOW, METAL_REACH_MM, Levels, local_levels, veiled_levels
from scrapeview.film.light import FloatImage, log_light, project
from scrapeview.film.local import grow, local_mean, shrink
from scrapeview.film.markings import AUTO_ORDER, Marking, marking_named
from scrapeview.film.separability import Separability, judge_separability
from scrapeview.film.undercoat import NO_UNDERCOAT, Undercoat, find_undercoat

COARSE_PX_PER_MM = 2.0
"""Levels vary slowly: they are found on a picture of this resolution."""
GRAIN_MM = 0.15
"""Smoothing along the axis: less than the smallest point, more than the grain of chroma."""
CLEAR_FIGURE = 0.5
"""Separability from which a marking found first is not tried against the others."""


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
    marked: NDArray[np.bool_]
    washed_out: NDArray[np.bool_]
    separability: Separability
    heaviness: Heaviness


@dataclass(frozen=True, eq=False)
class _Coarse:
    log_rgb: FloatImage
    inside: NDArray[np.bool_]
    factor: int
    px_per_mm: float


@dataclass(frozen=True, eq=False)
class _Candidate:
    name: str
    axis: NDArray[np.float64]
    levels: Levels
    separability: Separability
    undercoat: Undercoat


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
    log_rgb = log_light(rgb)
    washed_out = washed_out_mask(rgb, px_per_mm) & inside
    coarse = _coarse(log_rgb, inside & ~washed_out, px_per_mm)
    if marking_picks is not None and metal_picks is not None:
        axis = axis_of_picks(_at(log_rgb, marking_picks), _at(log_rgb, metal_picks))
        found = _picked(axis, coarse, film_share)
    elif marking == "auto":
        found = _likeliest(coarse, film_share)
    else:
        found = _tried(marking_named(marking), coarse, film_share)
    share = _film_share(log_rgb, found, coarse.factor, px_per_mm)
    is_print = found.separability.is_print
    marked = (share > film_share) & ~washed_out if is_print else np.zeros_like(inside)
    coarse_marked = found.levels.contrast > film_share * found.levels.film
    return Film(
        marking=found.name,
        undercoat=found.undercoat.colour if is_print else "",
        share=share,
        marked=marked,
        washed_out=washed_out,
        separability=found.separability,
        heaviness=measure_heaviness(
            found.levels, coarse.inside, coarse_marked & is_print, coarse.px_per_mm
        ),
    )


def _coarse(log_rgb: FloatImage, inside: NDArray[np.bool_], px_per_mm: float) -> _Coarse:
    factor = max(1, int(px_per_mm / COARSE_PX_PER_MM))
    wholly_inside = shrink(inside.astype(np.float32), factor) > 0.99
    return _Coarse(shrink(log_rgb, factor), wholly_inside, factor, px_per_mm / factor)


def _tried(marking: Marking, coarse: _Coarse, film_share: float) -> _Candidate:
    """Levels along the marking's own axis, then along the one that suits this print."""
    levels = _levels(marking.axis, coarse, film_share)
    bare = coarse.inside & (levels.contrast < film_share * levels.film)
    undercoat = (
        find_undercoat(coarse.log_rgb, bare, coarse.px_per_mm)
        if marking.name != "rubbed"
        else NO_UNDERCOAT
    )
    axis = sharpened_axis(
        coarse.log_rgb, coarse.inside, levels, marking, coarse.px_per_mm, undercoat.shift
    )
    if marking.kept is not None:
        levels = _levels(axis, coarse, film_share)
        levels = _under_veil(levels, axis, marking, undercoat, coarse, film_share)
    return _candidate(marking.name, axis, levels, undercoat, coarse)


def _picked(axis: NDArray[np.float64], coarse: _Coarse, film_share: float) -> _Candidate:
    return _candidate("picked", axis, _levels(axis, coarse, film_share), NO_UNDERCOAT, coarse)


def _levels(axis: NDArray[np.float64], coarse: _Coarse, film_share: float) -> Levels:
    values = project(coarse.log_rgb, axis)
    return local_levels(values, coarse.inside, coarse.px_per_mm, film_share)


def _under_veil(
    levels: Levels,
    axis: NDArray[np.float64],
    marking: Marking,
    undercoat: Undercoat,
    coarse: _Coarse,
    film_share: float,
) -> Levels:
    """Levels again where reflected light lies over the film; the same where there is none."""
    unchanged = int(np.argmin(np.abs(undercoat.shift))) if undercoat.colour else marking.kept
    light = coarse.log_rgb[..., unchanged]
    left = contrast_left(light, coarse.inside, levels, coarse.px_per_mm)
    if (left == 1).all():
        return levels
    values = project(coarse.log_rgb, axis)
    return veiled_levels(levels, values, coarse.inside, left, coarse.px_per_mm, film_share)


def _candidate(
    name: str,
    axis: NDArray[np.float64],
    levels: Levels,
    undercoat: Undercoat,
    coarse: _Coarse,
) -> _Candidate:
    taken = _light_taken(axis, levels, coarse)
    separability = judge_separability(levels, coarse.inside, taken)
    return _Candidate(name, axis, levels, separability, undercoat)


def _light_taken(axis: NDArray[np.float64], levels: Levels, coarse: _Coarse) -> float:
    """Log light the film takes in the channels its axis weighs down, against metal around it."""
    down = np.minimum(axis, 0)
    if not down.any():
        return np.inf
    light = project(coarse.log_rgb, down / down.sum())
    film = coarse.inside & (levels.contrast > 0.75 * levels.film)
    bare = coarse.inside & (levels.contrast < BARE_BELOW * levels.film)
    if not film.any() or not bare.any():
        return 0.0
    metal = local_mean(
        light, bare.astype(np.float32), METAL_REACH_MM * coarse.px_per_mm, 0.02,
        float(light[bare].mean()),
    )  # fmt: skip
    return float(np.median((metal - light)[film]))


def _likeliest(coarse: _Coarse, film_share: float) -> _Candidate:
    tried: list[_Candidate] = []
    for name in AUTO_ORDER:
        tried.append(_tried(marking_named(name), coarse, film_share))
        if tried[-1].separability.figure >= CLEAR_FIGURE:
            break
    return max(tried, key=lambda candidate: candidate.separability.figure)


def _film_share(
    log_rgb: FloatImage, found: _Candidate, factor: int, px_per_mm: float
) -> FloatImage:
    values = cv2.GaussianBlur(project(log_rgb, found.axis), (0, 0), GRAIN_MM * px_per_mm)
    shape = (values.shape[0], values.shape[1])
    metal = grow(found.levels.metal, shape, factor)
    film = grow(found.levels.film, shape, factor)
    return np.asarray((values - metal) / np.maximum(film, 1e-3), dtype=np.float32)


def _at(log_rgb: FloatImage, picks: NDArray[np.float64]) -> NDArray[np.float32]:
    smooth = cv2.blur(log_rgb, (3, 3))
    x, y = np.round(picks).astype(int).T
    h, w = smooth.shape[:2]
    return np.asarray(smooth[np.clip(y, 0, h - 1), np.clip(x, 0, w - 1)], dtype=np.float32)
