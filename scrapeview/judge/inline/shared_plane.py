"""Whether two ways that one reference spans lie in one plane."""

from dataclasses import replace

import numpy as np

from scrapeview.judge.inline.blocks import Blocks, Numbers, Values, blocks_of, tells
from scrapeview.judge.inline.estimates import FilmUnit, SharedPlane
from scrapeview.judge.inline.heights import TEXTURE
from scrapeview.judge.inline.in_line import LEAST_TELLING, PER_M
from scrapeview.judge.inline.micrometres import estimate_of, unknown
from scrapeview.judge.inline.spread import Fitted
from scrapeview.judge.inline.stitched import PER_MM, fit
from scrapeview.result import Reading

AWAY = ("far way", "near way")
BESIDE = ("left way", "right way")


def share_a_plane(reading: Reading, *, unit: FilmUnit | None = None) -> SharedPlane:
    """Estimate whether two ways, printed at once by one reference, lie in one plane.

    Each way's contact tells its plane against the reference. The reference is one plane for both,
    so that it falls out of their difference, taken as planes over all of the face: how much more
    one rises across and along than the other, and how far apart they are halfway between. The mean
    heights alone do not tell: a reference that leans from one way to the other hides there. The
    algebra: docs/in-line.md.

    Parameters
    ----------
    reading : Reading
        Of two regions, the ways.
    unit : FilmUnit, optional, keyword-only

    Returns
    -------
    SharedPlane
        With `why_not` where it cannot be told.
    """
    if not reading.is_print:
        return _open(AWAY, "This photograph shows no print: print both ways at once again.")
    if len(reading.regions_mm) != 2:
        count = len(reading.regions_mm)
        return _open(AWAY, f"Two ways are compared, and this print has {count}: outline both ways.")
    middles = np.array([(r.min(axis=0) + r.max(axis=0)) / 2 for r in reading.regions_mm])
    beside = bool(np.ptp(middles[:, 0]) > np.ptp(middles[:, 1]))
    blocks = _across(blocks_of([reading], each_region=True), beside=beside)
    order = np.argsort(middles[:, 0 if beside else 1])
    names = BESIDE if beside else AWAY
    for way, name in zip(order, names, strict=True):
        if not tells(blocks.share[blocks.way == way], LEAST_TELLING):
            return _open(
                names,
                f"The {name} is nearly bare or nearly covered, so that its contact tells no "
                "height: scrape the one that bears, and print again.",
            )
    return _shared(blocks, order, names, unit)


def _across(blocks: Blocks, *, beside: bool) -> Blocks:
    """Blocks with y across both ways: those beside each other are turned."""
    return replace(blocks, x_mm=blocks.y_mm, y_mm=blocks.x_mm) if beside else blocks


def _shared(
    blocks: Blocks, order: Numbers, names: tuple[str, str], unit: FilmUnit | None
) -> SharedPlane:
    along = (float(blocks.x_mm.min()) + float(blocks.x_mm.max())) / 2
    across = [_middle(blocks.y_mm[blocks.way == way]) for way in order]
    found = fit(blocks, _design(blocks, order, along, across))
    half = (across[1] - across[0]) / 2 * PER_MM
    slope = PER_M * PER_MM
    return SharedPlane(
        *names,
        balance=estimate_of(found, _form(found, (-1, 0, 0, 1, 0, 0)), "height", unit),
        offset=estimate_of(found, _form(found, (-1, 0, -half, 1, 0, -half)), "height", unit),
        tilt_across=estimate_of(found, _form(found, (0, 0, -1, 0, 0, 1)), "tilt", unit, slope),
        twist=estimate_of(found, _form(found, (0, -1, 0, 0, 1, 0)), "tilt", unit, slope),
    )


def _design(blocks: Blocks, order: Numbers, along: float, across: list[float]) -> Values:
    """A plane a way, about its own middle line and the middle of both along."""
    columns: list[Values] = []
    for way, middle in zip(order, across, strict=True):
        here = (blocks.way == way).astype(float)
        x, y = (blocks.x_mm - along) * PER_MM, (blocks.y_mm - middle) * PER_MM
        columns += [here, here * x, here * y]
    return np.column_stack(columns)


def _form(found: Fitted, planes: tuple[float, ...]) -> Values:
    form = np.zeros(len(found.mean))
    form[: len(form) - TEXTURE] = planes
    return form


def _middle(places: Values) -> float:
    return (float(places.min()) + float(places.max())) / 2


def _open(names: tuple[str, str], why_not: str) -> SharedPlane:
    height, tilt = unknown("height"), unknown("tilt")
    return SharedPlane(*names, height, height, tilt, tilt, why_not)
