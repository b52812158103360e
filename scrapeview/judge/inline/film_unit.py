"""What a film unit is worth in micrometres: from a print with a shim under the reference."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scrapeview.errors import ReadingError, SettingsError
from scrapeview.judge.inline.blocks import TELLING, Blocks, blocks_of
from scrapeview.judge.inline.estimates import FilmUnit
from scrapeview.judge.inline.heights import TEXTURE, parted, scored
from scrapeview.judge.inline.micrometres import TEXTURE_ERROR
from scrapeview.judge.inline.spread import fitted
from scrapeview.judge.inline.stitched import PER_MM, ROUGH_FITS
from scrapeview.result import Reading

AT_SHIM_MM = 20.0
"""Around the shim contact is the shim's."""
SIDE_MM = 10.0
"""Side of a block: contact may fade within 50 mm."""
FADED = -2.0
"""Probit of contact, as fitted, beyond which the tails of the texture decide."""
LEAST_BLOCKS = 24
LEAST_ARM_MM = 100.0
SPARE_MM = 50.0
"""How far beyond what the prints show of the face shim and rest may be told to lie; ours."""
REST_ERROR_MM = 15.0
"""How well the place where the reference rests can be told; half of a 95 % interval, ours."""


def film_unit_from_shim(
    level: Reading,
    shimmed: Reading,
    *,
    shim_um: float,
    shim_at_mm: float,
    rests_at_mm: float,
) -> FilmUnit:
    """Return what a film unit is worth, from two prints of one face.

    A shim under one end turns the reference by a known angle, its thickness over how far it lies
    from where the other end rests. Between the two prints the height of the face above the
    reference falls by that angle, film units by as much a millimetre as the contact fades; texture,
    form and the way the reference lay for the level print fall out of the difference.

    Parameters
    ----------
    level, shimmed : Reading
        Of the same face in the same millimetres, printed with the same film, once without and
        once with the shim.
    shim_um : float, keyword-only
        Thickness of the shim.
    shim_at_mm, rests_at_mm : float, keyword-only
        Along the face: the shim, and where the other end of the reference rested.

    Raises
    ------
    SettingsError
        Where the shim has no thickness, lies too near to where the reference rests, or either does
        not lie on the face that the prints show.
    ReadingError
        Where the prints have too little in common, or contact does not fade towards the shim.
    """
    arm_mm = shim_at_mm - rests_at_mm
    if not (np.isfinite(shim_um) and shim_um > 0):
        raise SettingsError(f"A shim of {shim_um:g} µm tilts nothing: give its thickness in µm.")
    if not abs(arm_mm) >= LEAST_ARM_MM:
        raise SettingsError(
            f"The shim lies {abs(arm_mm):.0f} mm from where the reference rests: lay it at least "
            f"{LEAST_ARM_MM:.0f} mm away, as far as the reference reaches."
        )
    _require_on_face((level, shimmed), (shim_at_mm, rests_at_mm))
    blocks = _in_both(blocks_of([level, shimmed], side_mm=SIDE_MM), shim_at_mm)
    towards = np.sign(arm_mm) * (blocks.x_mm - rests_at_mm)
    slope, low, high = _fading(blocks, towards)
    if not low > 0:
        raise ReadingError(
            "Contact does not fade towards the shim beyond chance: take a thicker shim, or check "
            "where it lay and which print is which."
        )
    um = shim_um / (slope * abs(arm_mm))
    doubt = float(np.hypot(REST_ERROR_MM / abs(arm_mm), TEXTURE_ERROR))
    down = float(np.hypot(1 - slope / high, doubt))
    up = float(np.hypot(slope / low - 1, doubt))
    return FilmUnit(um, um * max(0.0, 1 - down), um * (1 + up), "shim")


def _require_on_face(readings: Sequence[Reading], places_mm: Sequence[float]) -> None:
    """Refuse places beyond the face: the unit goes as their distance, unseen."""
    x = np.concatenate([region[:, 0] for one in readings for region in one.regions_mm])
    start_mm, end_mm = float(x.min()), float(x.max())
    if not all(start_mm - SPARE_MM <= at <= end_mm + SPARE_MM for at in places_mm):
        raise SettingsError(
            f"The prints show the face from {start_mm:.0f} to {end_mm:.0f} mm, and the shim or the "
            "place where the reference rested lies beyond: measure both from the face's left end."
        )


def _in_both(blocks: Blocks, shim_at_mm: float) -> Blocks:
    """Blocks that both prints show, clear of the shim."""
    counts = np.bincount(blocks.block)
    kept = (counts[blocks.block] == 2) & (np.abs(blocks.x_mm - shim_at_mm) > AT_SHIM_MM)
    here = blocks.chosen(kept)
    for number, name in ((0, "level"), (1, "shimmed")):
        share = here.share[here.placement == number]
        if ((share > TELLING[0]) & (share < TELLING[1])).sum() < LEAST_BLOCKS:
            raise ReadingError(
                f"The {name} print has too little contact that the other shows too, to see how "
                "fast it fades: print both again, photographed over the whole reference."
            )
    return here


def _fading(blocks: Blocks, towards_mm: np.ndarray) -> tuple[float, float, float]:
    """By how many film units a millimetre the face falls behind, with its interval."""
    shimmed = (blocks.placement == 1).astype(float)
    x, y = towards_mm * PER_MM, (blocks.y_mm - blocks.y_mm.mean()) * PER_MM
    plane = np.column_stack((np.ones(len(x)), x, y))
    design = np.column_stack((plane, -plane * shimmed[:, None]))
    found = scored(blocks, design)
    near = design @ found[:-TEXTURE] > FADED
    near &= np.isin(blocks.block, blocks.block[near & (blocks.placement == 1)])
    blocks, design, plane = blocks.chosen(near), design[near], plane[near]
    for step in range(ROUGH_FITS + 1):
        _, differences = parted(blocks, design, found)
        # what both prints share is not fitted: a block's own height falls out of its difference
        own = replace(differences, design=differences.design[:, plane.shape[1] :])
        result = fitted((own,), roughly=step < ROUGH_FITS)
        found = np.concatenate((found[: plane.shape[1]], result.mean))
    form = np.zeros(len(result.mean))
    form[1] = PER_MM
    return result.interval(form)
