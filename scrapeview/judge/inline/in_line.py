"""Whether the stretches of a long face lie in one line."""

from collections.abc import Sequence

import numpy as np

from scrapeview.judge.inline.blocks import FITTED_AT_ONCE, Blocks, blocks_of, tells
from scrapeview.judge.inline.chains import (
    LEAST_OVERLAP_MM,
    Meeting,
    Stretch,
    chains_of,
    in_a_row,
    last_pass,
    meetings_of,
)
from scrapeview.judge.inline.estimates import FilmUnit, InLine, Joint, Overlap, PlacedPrint
from scrapeview.judge.inline.micrometres import estimate_of
from scrapeview.judge.inline.overlaps import Compared, compared, elsewhere, overlap_of, too_little
from scrapeview.judge.inline.rocked import rocks
from scrapeview.judge.inline.spread import Fitted
from scrapeview.judge.inline.stitched import PER_MM, Laid, design_of, fit, off_joints

PER_M = 1000.0
LEAST_TELLING = 12
"""Blocks that each placement must have telling in what both covered."""


def in_line(prints: Sequence[PlacedPrint], *, unit: FilmUnit | None = None) -> InLine:
    """Estimate whether the stretches of a face lie in one line.

    Every placement of the reference is a plane of its own, every stretch of the face another;
    where neighbouring placements overlap, one face was printed twice, which ties the two planes of
    the reference together. The method, its assumptions and how often it is right: docs/in-line.md.

    Parameters
    ----------
    prints : sequence of PlacedPrint
        Of one face; of several passes the last is taken, of several prints of one stretch the
        last; one that lies within another makes no joint, nor does one that shows no print. Where
        a face has several regions (ways), each may lie in a plane of its own, and a joint tells of
        all of them together.
    unit : FilmUnit, optional, keyword-only
        What a film unit is worth, to give micrometres too.

    Returns
    -------
    InLine
        A joint a pair of neighbours, from left to right, those of the far and the near side after
        each other.

    Raises
    ------
    ReadingError
        Where there is no print.
    """
    last = last_pass(prints)
    joints: list[Joint] = []
    overlaps: list[Overlap] = []
    for chain in chains_of(last):
        found = _chain(in_a_row(chain), unit)
        joints += found[0]
        overlaps += found[1]
    return InLine(last[0].printed.pass_number, tuple(joints), tuple(overlaps), unit)


def compare_overlaps(prints: Sequence[PlacedPrint]) -> tuple[Overlap, ...]:
    """Compare what neighbouring placements of the last pass show of the stretch both covered.

    Parameters
    ----------
    prints : sequence of PlacedPrint

    Raises
    ------
    ReadingError
        Where there is no print.
    """
    return in_line(prints).overlaps


def _chain(chain: Sequence[Stretch], unit: FilmUnit | None) -> tuple[list[Joint], list[Overlap]]:
    meetings = meetings_of(chain)
    if not meetings:
        return [], []
    spans = [(one.from_mm, one.to_mm) for one in chain]
    blocks = blocks_of([one.reading for one in chain], spans)
    laid = [compared(meeting) for meeting in meetings]
    open_ = [_why_not(meeting, laid[i], blocks, (i, i + 1)) for i, meeting in enumerate(meetings)]
    joints = [_open_joint(meeting, why) for meeting, why in zip(meetings, open_, strict=True)]
    rocked: list[str] = []
    for run in _runs(open_):
        for window, kept in _windows(run):
            found, names = _joints(chain, meetings, blocks, window, unit)
            rocked += names
            for i in kept:
                joints[i] = found[i - window[0]]
    overlaps = [
        overlap_of(meeting, laid[i], blocks, (i, i + 1), joints[i], rocked)
        for i, meeting in enumerate(meetings)
    ]
    return joints, overlaps


def _runs(why_not: Sequence[str]) -> list[range]:
    """Placements that hang together: a joint that cannot be told parts them."""
    runs, first = [], 0
    for i, why in enumerate((*why_not, "the end")):
        if why:
            if i > first:
                runs.append(range(first, i + 1))
            first = i + 1
    return runs


def _windows(run: range) -> list[tuple[range, range]]:
    """What is fitted at once, and the joints taken from each: all, or one with its neighbours."""
    if len(run) <= FITTED_AT_ONCE:
        return [(run, run[:-1])]
    return [(run[max(0, k - 1) : k + 3], run[k : k + 1]) for k in range(len(run) - 1)]


def _joints(
    chain: Sequence[Stretch],
    meetings: Sequence[Meeting],
    blocks: Blocks,
    run: range,
    unit: FilmUnit | None,
) -> tuple[list[Joint], tuple[str, ...]]:
    """Joints between the placements of a run, all fitted together, and who rocked."""
    at = tuple(meetings[i].at_mm for i in run[:-1])
    # beyond the joints at both ends other stretches begin, which this fit knows nothing of
    left = meetings[run[0] - 1].at_mm if run[0] > 0 else -np.inf
    right = meetings[run[-1]].at_mm if run[-1] < len(meetings) else np.inf
    here = np.isin(blocks.placement, run) & (blocks.x_mm > left) & (blocks.x_mm < right)
    fitted = off_joints(blocks.chosen(here), (left, *at, right))
    middle_y = (float(fitted.y_mm.min()) + float(fitted.y_mm.max())) / 2
    laid = Laid(at, tuple(run), tuple(chain[i].middle_mm for i in run), middle_y)
    design = design_of(fitted, laid)
    found = fit(fitted, design)
    rocked = rocks(fitted, design, laid, [chain[i] for i in run])
    joints = [_joint(meetings[i], found, k, unit, rocked) for k, i in enumerate(run[:-1])]
    return joints, rocked


def _joint(
    meeting: Meeting, found: Fitted, number: int, unit: FilmUnit | None, rocked: Sequence[str]
) -> Joint:
    for name in (meeting.first.name, meeting.second.name):
        if name in rocked:
            return _open_joint(
                meeting,
                f"{name} has more contact than its neighbours, and most at both of its ends: the "
                "reference seems to have rocked there. Print it once more, pressed at its middle.",
            )
    ways = np.eye(len(found.mean))[3 * number : 3 * number + 3]
    slope = PER_M * PER_MM
    return Joint(
        meeting.first.name, meeting.second.name, meeting.at_mm, meeting.overlap_mm,
        step=estimate_of(found, ways[0], "height", unit),
        tilt_along=estimate_of(found, ways[1], "tilt", unit, slope),
        tilt_across=estimate_of(found, ways[2], "tilt", unit, slope),
    )  # fmt: skip


def _open_joint(meeting: Meeting, why_not: str) -> Joint:
    return Joint(
        meeting.first.name, meeting.second.name, meeting.at_mm, meeting.overlap_mm,
        None, None, None, why_not,
    )  # fmt: skip


def _why_not(meeting: Meeting, laid: Compared, blocks: Blocks, numbers: tuple[int, int]) -> str:
    """Why a joint cannot be told, "" where it can."""
    one, two = meeting.first.name, meeting.second.name
    if meeting.overlap_mm < LEAST_OVERLAP_MM:
        return (
            f"{one} and {two} overlap by less than {LEAST_OVERLAP_MM:.0f} mm: lay the reference so "
            "that a quarter of it lies on what the placement before has printed."
        )
    if too_little(meeting, laid):
        return (
            f"{one} and {two} show too few marks, or too little of the face, where they overlap: "
            "print both again with that stretch in the photographs."
        )
    if elsewhere(laid):
        return (
            f"The marks of {one} and {two} do not fall on each other where they overlap: check "
            "where along the face each was laid, and print both without scraping in between."
        )
    for i, name in zip(numbers, (one, two), strict=True):
        if not _tells(meeting, blocks, i):
            return (
                f"{name} is nearly bare or nearly covered on one side of the joint, beyond what "
                "contact can tell of a height: scrape the stretch that bears, and print again."
            )
    return ""


def _tells(meeting: Meeting, blocks: Blocks, placement: int) -> bool:
    """Whether a placement tells heights on both sides of a joint, and in all of its stretch."""
    here = blocks.placement == placement
    both = (blocks.x_mm > meeting.from_mm) & (blocks.x_mm < meeting.to_mm)
    left = blocks.x_mm < meeting.at_mm
    parts = (here & both & left, here & both & ~left, here & ~both)
    return all(tells(blocks.share[part], LEAST_TELLING // 2) for part in parts)
