"""Relief: how high places of a face stand, as far as contact around them tells.

A surface of Gaussian texture that is cut at a level c bears, around a place of mean height m, the
share p = Phi((m - c) / s), with s the standard deviation of its heights: its areal material ratio
(forms as in ISO 25178-2 / ISO 13565-2). Read backwards, the probit of the share of contact is the
height of the place above that level, in units of s: the texture and what the film adds to it.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from scrapeview.bearing.local_share import (
    Mask,
    Shares,
    block_shares,
    local_contact,
    require_masks,
    spot_area_mm2,
    step_for,
    window_sigma_mm,
    window_sums,
)
from scrapeview.units import MM_PER_INCH

Datum = Literal["plane", "mean"]
STEPS_A_LENGTH = 16
LEAST_SPOTS = 3.0
"""Independent spots in contact, and spots without, that a window must hold to say a height."""
NORMAL_95 = 1.959964
LEAST_KNOWN = 0.5
"""Share of the face in a window, and of a square, that must be known."""


@dataclass(frozen=True, eq=False)
class Relief:
    """Relative height of a face, smoothed: an estimate.

    Parameters
    ----------
    height : (h, w) float64
        Above the datum, in standard deviations of texture and film; NaN where nothing can be said.
    error : (h, w) float64
        Standard error of the height; NaN where it is.
    beyond : (h, w) int8
        -1 where contact is too little to say how low a place lies, 1 where it is too much to say
        how high it stands, else 0.
    length_mm : float
        Over which it is smoothed: side of the square that averages as many marks as the window.
    px_per_mm : float
        Scale of this grid, coarser than that of the contact.
    origin_mm : (x, y)
        Centre of square (0, 0), from the centre of the contact's pixel (0, 0).
    spot_mm2 : float
        Area of one independent spot, derived from the marks.
    datum : {"plane", "mean"}
        What was taken out.
    """

    height: NDArray[np.float64]
    error: NDArray[np.float64]
    beyond: NDArray[np.int8]
    length_mm: float
    px_per_mm: float
    origin_mm: tuple[float, float]
    spot_mm2: float
    datum: Datum

    @property
    def told(self) -> Mask:
        """Where a height is said."""
        return np.isfinite(self.height)

    @property
    def standing_off_percent(self) -> float:
        """Share of the places told that stand off the datum beyond the 95 % of their error."""
        off = np.abs(self.height[self.told]) > NORMAL_95 * self.error[self.told]
        return 100 * float(off.mean()) if off.size else 0.0


def relief_of(
    contact: Mask,
    known: Mask,
    px_per_mm: float,
    *,
    length_mm: float = MM_PER_INCH,
    face: Mask | None = None,
    datum: Datum = "plane",
) -> Relief:
    """Estimate the relief of a face from its contact.

    Parameters
    ----------
    contact, known : (h, w) bool
        Contact, and where the print shows the face.
    px_per_mm : float
    length_mm : float
        Over which contact is averaged.
    face : (h, w) bool, optional
        The face with what is not known of it; else what is known is all there is.
    datum : {"plane", "mean"}
        The reference leans on the face by the hand that presses it until its load is balanced, so
        that a tilt of the relief says nothing about the face's form: the best plane is taken out.

    Raises
    ------
    SettingsError
        Where the masks do not fit each other, or the scale or the length is not above 0.
    """
    metal = known if face is None else face | known
    require_masks(px_per_mm, length_mm, contact, known, metal)
    step = step_for(contact, length_mm * px_per_mm / STEPS_A_LENGTH)
    scale = px_per_mm / step
    sigma_px = window_sigma_mm(length_mm) * scale
    held, seen = block_shares(contact & known, step), block_shares(known, step)
    whole = block_shares(metal, step)
    spot_mm2 = spot_area_mm2(contact, known, px_per_mm, length_mm)
    share = local_contact(held, seen, sigma_px)
    spots = _spots(seen, sigma_px) / (spot_mm2 * scale**2)
    enough = window_sums(seen, sigma_px) >= LEAST_KNOWN * window_sums(whole, sigma_px)
    here = enough & (seen >= LEAST_KNOWN * np.maximum(whole, 1e-9)) & (seen > 0)
    beyond = _beyond(share, spots, here)
    told = here & (beyond == 0)
    height, error = _height(share, spots, told)
    middle = (step - 1) / 2 / px_per_mm
    return Relief(
        height=height - _datum(height, datum),
        error=error,
        beyond=beyond,
        length_mm=length_mm,
        px_per_mm=scale,
        origin_mm=(middle, middle),
        spot_mm2=spot_mm2,
        datum=datum,
    )


def _spots(seen: Shares, sigma_px: float) -> Shares:
    """Squares that the window's mean rests on: its sum squared over its sum of squares."""
    summed = window_sums(seen, sigma_px)
    squares = window_sums(seen, sigma_px / np.sqrt(2)) / (4 * np.pi * sigma_px**2)
    return np.asarray(summed**2 / np.maximum(squares, 1e-12))


def _beyond(share: Shares, spots: Shares, here: Mask) -> NDArray[np.int8]:
    beyond = np.zeros(share.shape, dtype=np.int8)
    beyond[here & (spots * (1 - share) < LEAST_SPOTS)] = 1
    # a window too small for either says least where it bears least
    beyond[here & (spots * share < LEAST_SPOTS)] = -1
    return beyond


def _height(share: Shares, spots: Shares, told: Mask) -> tuple[Shares, Shares]:
    height, error = np.full(share.shape, np.nan), np.full(share.shape, np.nan)
    p = share[told]
    height[told] = ndtri(p)
    density = np.exp(-(height[told] ** 2) / 2) / np.sqrt(2 * np.pi)
    error[told] = np.sqrt(p * (1 - p) / spots[told]) / density
    return height, error


def _datum(height: Shares, datum: Datum) -> Shares:
    told = np.isfinite(height)
    if not told.any():
        return np.zeros(height.shape)
    if datum == "mean":
        return np.full(height.shape, height[told].mean())
    x, y = np.meshgrid(*(np.arange(count, dtype=np.float64) for count in height.shape[::-1]))
    sides = np.stack([np.ones(height.shape), x - x[told].mean(), y - y[told].mean()])
    fitted = np.asarray(np.linalg.lstsq(sides[:, told].T, height[told], rcond=1e-9)[0])
    return np.asarray(np.tensordot(fitted, sides, axes=1))
