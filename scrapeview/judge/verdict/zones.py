"""Zones of a face: its regions, its ends and middle along the longer side, its two sides."""

from collections.abc import Sequence

import numpy as np

from scrapeview.judge.verdict.bounds import judged
from scrapeview.judge.verdict.criteria import Criterion, Zone
from scrapeview.judge.verdict.parts import Ground, Part, part
from scrapeview.targets import Target
from scrapeview.units import MM2_PER_SQUARE_INCH

ENDS_ALONG = (("left end", "middle", "right end"), ("top end", "middle", "bottom end"))
SIDES_ACROSS = (("left side", "right side"), ("top side", "bottom side"))


def region_parts(ground: Ground) -> tuple[Part, ...]:
    """Return the regions a person has drawn; none where there is only one."""
    regions = ground.reading.regions_mm
    if len(regions) < 2:
        return ()
    found = []
    for number, outline in enumerate(regions, start=1):
        (x0, y0), (x1, y1) = outline.min(axis=0), outline.max(axis=0)
        box = (float(x0), float(y0), float(x1), float(y1))
        found.append(part(ground, box, name=f"region {number}", kind="regions", region=number))
    return tuple(found)


def end_parts(ground: Ground) -> tuple[Part, ...]:
    """Return the thirds along the longer side: end, middle, end; none of less than an inch2."""
    axis = _longer_axis(ground)
    return _slabs(ground, axis, ENDS_ALONG[axis], ("ends", "middle", "ends"))


def side_parts(ground: Ground) -> tuple[Part, ...]:
    """Return the halves across the longer side; none of less than an inch2."""
    axis = 1 - _longer_axis(ground)
    return _slabs(ground, axis, SIDES_ACROSS[axis], ("sides", "sides"))


def zone_of(one: Part, risk: float) -> Zone:
    """Return the figures of a part with both bounds at the risk."""
    return Zone(
        name=one.name,
        kind=one.kind,
        area_mm2=one.area_mm2,
        points=len(one.points),
        points_per_square_inch=one.points_per_square_inch,
        contact_percent=one.contact_percent,
        ppsi_interval=one.ppsi_bounds(risk),
        contact_interval=one.contact_bounds(risk),
    )


def region_criteria(regions: Sequence[Part], target: Target, risk: float) -> tuple[Criterion, ...]:
    """Return what regions a person has drawn are judged by: each must clear the target itself."""
    return tuple(one for region in regions for one in _against(region, target, risk))


def short_zones(automatic: Sequence[Part], target: Target, risk: float) -> tuple[Criterion, ...]:
    """Return where zones that nobody has drawn plainly fall short.

    Several are looked at, each with few points: the risk is shared between them, so that chance
    does not hold a face up.
    """
    shared = risk / max(1, len(automatic))
    found = (one for zone in automatic for one in _against(zone, target, shared))
    return tuple(one for one in found if one.stands == "falls short")


def _against(one: Part, target: Target, risk: float) -> list[Criterion]:
    found = []
    for name, at_least, figure, unit, bounds in (
        ("ppsi_least", True, one.points_per_square_inch, "1/in2", one.ppsi_bounds),
        ("contact_least_percent", True, one.contact_percent, "%", one.contact_bounds),
        ("contact_most_percent", False, one.contact_percent, "%", one.contact_bounds),
    ):
        asked = getattr(target, name)
        if asked is not None:
            found.append(
                judged(name, figure, unit, bounds(risk), asked, at_least=at_least, zone=one.name)
            )
    return found


def _longer_axis(ground: Ground) -> int:
    x0, y0, x1, y1 = ground.bounds_mm
    return 0 if x1 - x0 >= y1 - y0 else 1


def _slabs(
    ground: Ground, axis: int, names: tuple[str, ...], kinds: tuple[str, ...]
) -> tuple[Part, ...]:
    bounds = ground.bounds_mm
    cuts = np.linspace(bounds[axis], bounds[axis + 2], len(names) + 1)
    cuts[0], cuts[-1] = -np.inf, np.inf
    found = []
    for first, last, name, kind in zip(cuts[:-1], cuts[1:], names, kinds, strict=True):
        along = (float(first), -np.inf, float(last), np.inf)
        across = (-np.inf, float(first), np.inf, float(last))
        found.append(part(ground, across if axis else along, name=name, kind=kind))
    return tuple(found) if min(one.area_mm2 for one in found) >= MM2_PER_SQUARE_INCH else ()
