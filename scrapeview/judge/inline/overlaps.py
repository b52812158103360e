"""What two placements show of the stretch that both covered."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from scrapeview.judge.compare.chance import Chance, areas_by_chance
from scrapeview.judge.compare.laid import FaceGrid, LaidPrint, lay
from scrapeview.judge.inline.blocks import Blocks
from scrapeview.judge.inline.chains import LEAST_OVERLAP_MM, Meeting, Stretch
from scrapeview.judge.inline.estimates import Joint, Overlap, OverlapReason
from scrapeview.judge.inline.heights import bell

PX_PER_MM = 2.0
LEAST_CONTACT = 0.02
"""Share of contact in both below which marks are too few to be compared."""
MOST_CONTACT = 0.98
"""Share of contact in either above which marks fall on each other whatever they do."""
LEAST_KNOWN = 0.5
"""Share of the common area that both must show."""
FILM_POINTS = 4.0
"""Percent points of contact by which one print must exceed the other, there and as a whole."""
OFF_CENTRE = 0.15
"""Of half the reference's length: how far off its middle it may bear and still count as settled."""
LEAST_SHARE, MOST_SHARE = 0.005, 0.995


@dataclass(frozen=True, eq=False)
class Compared:
    """Two prints laid onto the grid of what both covered, and what would coincide by chance."""

    one: LaidPrint
    two: LaidPrint
    chance_mm2: Chance

    @property
    def common(self) -> int:
        """Squares that both show."""
        return int((self.one.known & self.two.known).sum())


def compared(meeting: Meeting) -> Compared:
    """Lay two placements onto the grid of what both covered."""
    one, two = meeting.first.reading, meeting.second.reading
    corners = np.concatenate((*one.regions_mm, *two.regions_mm))
    top, foot = float(corners[:, 1].min()), float(corners[:, 1].max())
    rows, columns = (
        max(1, int(side * PX_PER_MM)) for side in (foot - top, max(0.0, meeting.overlap_mm))
    )
    half = 0.5 / PX_PER_MM
    grid = FaceGrid(PX_PER_MM, (meeting.from_mm + half, top + half), (rows, columns))
    laid = lay(one, grid), lay(two, grid)
    return Compared(*laid, areas_by_chance(*laid))


def too_little(meeting: Meeting, laid: Compared) -> bool:
    """Whether two placements have too little in common to be compared."""
    if meeting.overlap_mm < LEAST_OVERLAP_MM or not laid.common:
        return True
    both = laid.one.known & laid.two.known
    seen = both.sum() / max(1, min(laid.one.known.sum(), laid.two.known.sum()))
    least = min(float(print_.contact[both].mean()) for print_ in (laid.one, laid.two))
    return bool(seen < LEAST_KNOWN or least < LEAST_CONTACT)


def elsewhere(laid: Compared) -> bool:
    """Whether marks of two prints coincide no more than those of unrelated prints would."""
    both = laid.one.known & laid.two.known
    if max(float(print_.contact[both].mean()) for print_ in (laid.one, laid.two)) > MOST_CONTACT:
        return False
    area_mm2 = float((laid.one.contact & laid.two.contact & both).sum()) * laid.one.grid.square_mm2
    return area_mm2 <= laid.chance_mm2.high


def overlap_of(
    meeting: Meeting,
    laid: Compared,
    blocks: Blocks,
    numbers: tuple[int, int],
    joint: Joint,
    rocked: Sequence[str] = (),
) -> Overlap:
    """Return what an overlap says.

    Parameters
    ----------
    meeting : Meeting
    laid : Compared
    blocks : Blocks
    numbers : (int, int)
        Of the two placements in the blocks.
    joint : Joint
        What was estimated there.
    rocked : sequence of str
        Names of placements whose reference rocked.
    """
    both = laid.one.known & laid.two.known
    area = max(1, laid.common)
    one, two = laid.one.contact & both, laid.two.contact & both
    chance = laid.chance_mm2.expected / laid.one.grid.square_mm2
    percents = [100 * float(mask.sum()) / area for mask in (one, two)]
    return Overlap(
        first=meeting.first.name,
        second=meeting.second.name,
        from_mm=min(meeting.from_mm, meeting.to_mm),
        to_mm=max(meeting.from_mm, meeting.to_mm),
        contact_first=percents[0],
        contact_second=percents[1],
        only_first=100 * float((one & ~two).sum()) / area,
        only_second=100 * float((two & ~one).sum()) / area,
        both=100 * float((one & two).sum()) / area,
        both_by_chance=100 * chance / area,
        drift_percent=_drift_percent(laid),
        reason=_reason(meeting, laid, blocks, numbers, joint, rocked),
    )


def _drift_percent(laid: Compared) -> float:
    """How much more the second gains from left to right than the first: a line over columns."""
    both = laid.one.known & laid.two.known
    count = both.sum(axis=0)
    if (count > 0).sum() < 2:
        return 0.0
    more = (laid.two.contact & both).sum(axis=0) - (laid.one.contact & both).sum(axis=0)
    share = more / np.maximum(1, count)
    along = np.linspace(-0.5, 0.5, len(share))
    slope, _ = np.polyfit(along, share, 1, w=np.sqrt(count))
    return 100 * float(slope)


def _reason(
    meeting: Meeting,
    laid: Compared,
    blocks: Blocks,
    numbers: tuple[int, int],
    joint: Joint,
    rocked: Sequence[str],
) -> OverlapReason:
    if too_little(meeting, laid):
        return "too little"
    if elsewhere(laid):
        return "marks elsewhere"
    stretches = meeting.first, meeting.second
    leaned = any(leans(blocks, i, one) for i, one in zip(numbers, stretches, strict=True))
    if leaned or any(one.name in rocked for one in stretches):
        return "rocked"
    if any(each is not None and each.stands_off for each in
           (joint.step, joint.tilt_along, joint.tilt_across)):  # fmt: skip
        return "not in line"
    whole = [100 * float(blocks.share[blocks.placement == i].mean()) for i in numbers]
    both = laid.one.known & laid.two.known
    there = 100 * float(laid.two.contact[both].mean() - laid.one.contact[both].mean())
    altogether = whole[1] - whole[0]
    if min(abs(there), abs(altogether)) >= FILM_POINTS and there * altogether > 0:
        return "film differs"
    return "agree"


def leans(blocks: Blocks, number: int, stretch: Stretch) -> bool:
    """Whether a reference bore off its middle: a settled one is borne about its own middle.

    The load on a block where the face stands z above the reference goes as phi(z) + z Phi(z), the
    mean depth of Gaussian texture beyond a plane.
    """
    here = blocks.placement == number
    share = np.clip(blocks.share[here], LEAST_SHARE, MOST_SHARE)
    height = ndtri(share)
    load = bell(height) + height * share
    centre = float((load * blocks.x_mm[here]).sum() / load.sum())
    return abs(centre - float(blocks.x_mm[here].mean())) > OFF_CENTRE * stretch.half_mm
