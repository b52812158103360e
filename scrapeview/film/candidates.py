"""What the film could be: each kind of marking tried on the face, and the likeliest of them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.film.axis import axis_of_picks, sharpened_axis
from scrapeview.film.coarse import Coarse
from scrapeview.film.levels import (
    ROUGH_STEPS,
    START_STEPS,
    Levels,
    above_metal,
    local_levels,
)
from scrapeview.film.light import project
from scrapeview.film.markings import AUTO_ORDER, LEAST_TINT, Marking, marking_named
from scrapeview.film.separability import Separability, judge_separability
from scrapeview.film.undercoat import NO_UNDERCOAT, Undercoat, find_undercoat

CLEAR_FIGURE = 0.5
"""Separability from which a marking found first is not tried against the others."""

MOST_KEPT_LOSS = 0.7
"""Black takes all channels alike; blue and red take at most this share from their own."""


@dataclass(frozen=True, eq=False)
class Candidate:
    """One marking tried on a face.

    Parameters
    ----------
    name : str
    axis : (3,) float
        Colour axis along which the film shows best, log light.
    clear_channel : int or None
        Channel that film and undercoat change least; None where film shows by lightness.
    undercoat : Undercoat
    levels : Levels
    separability : Separability
    """

    name: str
    axis: NDArray[np.float64]
    clear_channel: int | None
    undercoat: Undercoat
    levels: Levels
    separability: Separability

    @property
    def by_colour(self) -> bool:
        """Whether the axis is blind to lightness (its weights cancel)."""
        return abs(float(self.axis.sum())) < 1e-6


def try_marking(marking: Marking, coarse: Coarse, film_share: float) -> Candidate:
    """Find levels along the marking's own axis, then along the one that suits this print."""
    by_colour = marking.kept is not None
    levels = _levels(marking.axis, coarse, film_share, START_STEPS if by_colour else ROUGH_STEPS)
    undercoat = NO_UNDERCOAT
    if marking.takes_light:
        bare = coarse.inside & (levels.contrast < film_share * levels.film)
        undercoat = find_undercoat(coarse.log_rgb, bare, coarse.px_per_mm)
    found = _sharpened(marking, levels, undercoat, coarse, film_share)
    if found.separability.is_print or marking.kept is None:
        return found
    # clean metal between undercoat may have passed for the film: look for what is darker than both
    undercoat = find_undercoat(coarse.log_rgb, coarse.inside, coarse.px_per_mm)
    if not undercoat.colour:
        return found
    levels = _levels(_darkening_axis(marking, undercoat), coarse, film_share)
    again = _sharpened(marking, levels, undercoat, coarse, film_share)
    is_its_colour = _keeps_its_channel(marking.kept, again, coarse)
    return again if again.separability.is_print and is_its_colour else found


def _sharpened(
    marking: Marking, levels: Levels, undercoat: Undercoat, coarse: Coarse, film_share: float
) -> Candidate:
    axis = sharpened_axis(
        coarse.log_rgb, coarse.inside, levels, marking, coarse.px_per_mm, undercoat.shift
    )
    if marking.kept is not None or not np.array_equal(axis, marking.axis):
        levels = _levels(axis, coarse, film_share)
    clear = marking.kept
    if clear is not None and undercoat.colour:
        clear = int(np.argmin(np.abs(undercoat.shift)))
    taken = _light_taken(axis, levels, coarse) if marking.takes_light else float("inf")
    separability = judge_separability(levels, coarse.inside, taken, marking.least_contrast)
    return Candidate(marking.name, axis, clear, undercoat, levels, separability)


def _keeps_its_channel(kept: int, found: Candidate, coarse: Coarse) -> bool:
    """Whether the film takes plainly less of the channel it should let through than of others."""
    kept_alone = np.zeros(3)
    kept_alone[kept] = -1.0
    kept_loss = _light_taken(kept_alone, found.levels, coarse)
    return kept_loss < MOST_KEPT_LOSS * _light_taken(found.axis, found.levels, coarse)


def _darkening_axis(marking: Marking, undercoat: Undercoat) -> NDArray[np.float64]:
    """The light the marking takes away, blind to what the undercoat takes."""
    darker = np.minimum(marking.axis, 0)
    direction = undercoat.shift / np.linalg.norm(undercoat.shift)
    return np.asarray(darker - (darker @ direction) * direction)


def try_picks(
    marking_log_rgb: NDArray[np.float32],
    metal_log_rgb: NDArray[np.float32],
    coarse: Coarse,
    film_share: float,
) -> Candidate:
    """Find levels along the axis from sample picks of metal to sample picks of marking."""
    axis = axis_of_picks(marking_log_rgb, metal_log_rgb)
    levels = _levels(axis, coarse, film_share)
    # what was picked as marking may be lighter than the metal
    separability = judge_separability(levels, coarse.inside, float("inf"), LEAST_TINT)
    return Candidate("picked", axis, None, NO_UNDERCOAT, levels, separability)


def likeliest_marking(coarse: Coarse, film_share: float) -> Candidate:
    """Try the markings in turn and return the one told apart from metal most surely."""
    tried: list[Candidate] = []
    for name in AUTO_ORDER:
        marking = marking_named(name)
        candidate = try_marking(marking, coarse, film_share)
        separability = candidate.separability
        if separability.is_print and separability.contrast < marking.least_unasked:
            continue
        tried.append(candidate)
        if candidate.separability.figure >= CLEAR_FIGURE:
            break
    return max(tried, key=lambda candidate: candidate.separability.figure)


def _levels(
    axis: NDArray[np.float64], coarse: Coarse, film_share: float, steps: int = ROUGH_STEPS
) -> Levels:
    values = project(coarse.log_rgb, axis)
    return local_levels(values, coarse.inside, coarse.px_per_mm, film_share, steps)


def _light_taken(axis: NDArray[np.float64], levels: Levels, coarse: Coarse) -> float:
    """Log light the film takes in the channels its axis weighs down, against metal around it."""
    down = np.minimum(axis, 0)
    if not down.any():
        return 0.0
    light = project(coarse.log_rgb, down / down.sum())
    film, bare = levels.plainly_film(coarse.inside), levels.plainly_bare(coarse.inside)
    if not film.any() or not bare.any():
        return 0.0
    return -float(np.median(above_metal(light, bare, coarse.px_per_mm)[film]))
