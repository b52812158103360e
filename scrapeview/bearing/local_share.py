"""Contact around a place, and how many independent spots that rests on."""

import numpy as np
from numpy.typing import NDArray
from scipy import fft
from scipy.ndimage import gaussian_filter

from scrapeview.errors import SettingsError

Mask = NDArray[np.bool_]
Shares = NDArray[np.float64]

SPOT_STEP_MM = 1.0
"""Squares on which marks are weighed against their neighbours; what a square holds is exact."""
MOST_SQUARES = 60_000
"""Large faces are parted into coarser squares, so that none takes long."""
MOST_TAKEN = 0.5
"""Share of a spot that is given back at most: larger ones are not told from the face's form."""


def require_masks(px_per_mm: float, length_mm: float, *masks: Mask) -> None:
    """Refuse masks of different shapes, and scales or lengths that are none.

    Raises
    ------
    SettingsError
    """
    if any(mask.ndim != 2 or mask.shape != masks[0].shape for mask in masks):
        raise SettingsError("Contact and what is known must be pictures of the same size.")
    if not (np.isfinite(px_per_mm) and px_per_mm > 0):
        raise SettingsError(f"The scale must be above 0 px/mm, not {px_per_mm:g}.")
    if not (np.isfinite(length_mm) and length_mm > 0):
        raise SettingsError(f"The smoothing length must be above 0 mm, not {length_mm:g}.")


def step_for(mask: Mask, wished_px: float) -> int:
    """Return the side in pixels of the squares a mask is parted into: that wished, or coarser."""
    return max(1, int(wished_px), int(np.ceil(np.sqrt(mask.size / MOST_SQUARES))))


def block_shares(mask: Mask, step: int) -> Shares:
    """Return the share, 0-1, of each square of `step` pixels that a mask covers.

    What lies past the mask's right and lower edge counts as empty.
    """
    rows, columns = (-(-side // step) for side in mask.shape)
    padded = np.zeros((rows * step, columns * step), dtype=np.uint8)
    padded[: mask.shape[0], : mask.shape[1]] = mask
    lines = padded.reshape(rows, step, -1).sum(axis=1, dtype=np.uint32)
    return np.asarray(lines.reshape(rows, columns, step).sum(axis=2) / step**2)


def window_sigma_mm(length_mm: float) -> float:
    """Return the standard deviation of the Gaussian window of an equivalent length.

    The window averages as many independent marks as a square of that side: its sum over its sum of
    squares, 2 sqrt(pi) sigma in each direction, is the length.
    """
    return length_mm / (2 * np.sqrt(np.pi))


def window_sums(shares: Shares, sigma_px: float) -> Shares:
    """Return Gaussian-weighted sums around each square; past the borders nothing is added."""
    summed: Shares = gaussian_filter(shares, sigma_px, mode="constant", truncate=4.0)
    return summed


def local_contact(contact: Shares, known: Shares, sigma_px: float) -> Shares:
    """Return the share of contact in what is known around each square; NaN where nothing is."""
    seen = window_sums(known, sigma_px)
    held = window_sums(contact, sigma_px)
    found = np.full(seen.shape, np.nan)
    np.divide(held, seen, out=found, where=seen > 1e-6)
    return np.clip(found, 0.0, 1.0)


def spot_area_mm2(contact: Mask, known: Mask, px_per_mm: float, length_mm: float) -> float:
    """Return the area over which contact is one decision: that of one independent spot.

    The mean contact of an area A varies as that of A / spot area coins. The spot is the integral
    over distance of the correlation of contact, less the contact around each place, up to where it
    first vanishes. That marks spaced evenly vary less is left out, which errs to the safe side.

    Parameters
    ----------
    contact, known : (h, w) bool
    px_per_mm : float
    length_mm : float
        Window, see `window_sigma_mm`.
    """
    step = step_for(contact, round(SPOT_STEP_MM * px_per_mm))
    side_mm = step / px_per_mm
    held, seen = block_shares(contact & known, step), block_shares(known, step)
    trend_px = window_sigma_mm(length_mm) / side_mm
    share = np.nan_to_num(local_contact(held, seen, trend_px))
    coin = float((share * (1 - share) * seen).sum() / max(seen.sum(), 1e-9))
    if coin <= 0:
        return side_mm**2
    covariance = _radial_covariance(held - share * seen, seen, length_mm / side_mm)
    ends = np.flatnonzero(covariance <= 0)
    # rings of whole squares: the ring of distance 0 is one square
    rings = _ring_sizes(len(covariance))
    reach = int(ends[0]) if len(ends) else len(covariance)
    kept = 1 - _taken_by_trend(reach, trend_px)
    return side_mm**2 * max(float((covariance * rings)[:reach].sum()) / coin / kept, 1e-3)


def _taken_by_trend(reach: float, trend_px: float) -> float:
    """Share of a spot within reach that goes with the trend: that of 2 w - w * w, w its window."""
    near, wider = (1 - np.exp(-(reach**2) / (k * trend_px**2)) for k in (2, 4))
    return float(min(2 * near - wider, MOST_TAKEN))


def _radial_covariance(rest: Shares, seen: Shares, reach: float) -> Shares:
    """Mean product of what is left at two squares of a distance, for distances 0, 1, 2 ..."""
    far = max(1, int(reach))
    size = [fft.next_fast_len(side + far, real=True) for side in rest.shape]
    products = _autocorrelation(rest, size)
    pairs = _autocorrelation(seen, size)
    y, x = (np.minimum(np.arange(side), side - np.arange(side)) for side in size)
    ring = np.rint(np.hypot(y[:, None], x[None, : size[1]])).astype(int)
    near = ring <= far
    summed = np.bincount(ring[near], products[near], minlength=far + 1)
    counted = np.bincount(ring[near], pairs[near], minlength=far + 1)
    return np.asarray(summed / np.maximum(counted, 1e-9))


def _autocorrelation(values: Shares, size: list[int]) -> Shares:
    found: Shares = fft.irfft2(np.abs(fft.rfft2(values, size)) ** 2, size)
    return found


def _ring_sizes(count: int) -> Shares:
    """How many squares lie at each whole distance from one square."""
    steps = np.arange(-count, count + 1)
    ring = np.rint(np.hypot(steps[:, None], steps[None, :])).astype(int)
    return np.bincount(ring.ravel())[:count].astype(np.float64)
