"""Which prints of the last pass are judged, and with which print before each is compared."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scrapeview.judge.compare.laid import FaceGrid, Mask, shares
from scrapeview.judge.verdict.agreement import same_frame
from scrapeview.judge.verdict.parts import Ground, ground_of
from scrapeview.judge.verdict.usable import can_confirm
from scrapeview.result import Reading
from scrapeview.targets import Target

SAME_PART = 0.75
"""Share of what one print shows that another must show too, to be a print of the same part."""
COARSE_PX_PER_MM = 1.0
MOST_SQUARES = 400_000


@dataclass(frozen=True, eq=False)
class JudgedPrint:
    """A print to judge a face by.

    Parameters
    ----------
    pass_number, print_id : int
    placement : str
        Where the reference lay; "" where it was not told.
    reading : Reading
        Its current reading.
    """

    pass_number: int
    print_id: int
    placement: str
    reading: Reading


@dataclass(frozen=True, eq=False)
class Laid:
    """A print with what it knows of its face, made once."""

    printed: JudgedPrint
    ground: Ground


def in_order(prints: Sequence[JudgedPrint]) -> tuple[Laid, ...]:
    """Return prints with their grounds, by pass and print, whatever order they came in."""
    ordered = sorted(prints, key=lambda one: (one.pass_number, one.print_id))
    return tuple(Laid(one, ground_of(one.reading)) for one in ordered)


def stretches_of(laid: Sequence[Laid]) -> tuple[Laid, ...]:
    """Return the prints of the last pass but those a later one of it shows again."""
    number = laid[-1].printed.pass_number
    last = [one for one in laid if one.printed.pass_number == number]
    return tuple(
        one
        for i, one in enumerate(last)
        if not any(shown_too(one, later) >= SAME_PART for later in last[i + 1 :])
    )


def before(one: Laid, laid: Sequence[Laid], target: Target) -> Laid | None:
    """Return the print to compare with: the latest before it of the same part that can confirm it.

    Of its own pass, or of the nearest pass before that shows the same part; where none of them can
    confirm it, the latest. A photograph kept twice is one print, and confirms nothing of itself.
    """
    known: list[Laid] = []
    for other in reversed(laid[: laid.index(one)]):
        number = other.printed.pass_number
        nearest = next((k.printed.pass_number for k in known if _other_pass(k, one)), number)
        if _other_pass(other, one) and number != nearest:
            break
        if not _same_photograph(one, other) and shown_too(one, other) >= SAME_PART:
            known.append(other)
    usable = (other for other in known if can_confirm(other.printed.reading, target))
    return next(usable, known[0] if known else None)


def label(one: Laid, stretches: Sequence[Laid]) -> str:
    """Return the name of a stretch, "" where it is all there is."""
    if len(stretches) == 1:
        return ""
    placement = one.printed.placement
    alike = sum(other.printed.placement == placement for other in stretches)
    if placement and alike == 1:
        return placement
    return f"{placement} (print {one.printed.print_id})".strip()


def shown_too(one: Laid, other: Laid) -> float:
    """Return the share, 0-1, of what one print shows that the other shows too.

    Where one of them has no place on the face, as a free outline has none, prints of one placement
    count as of the same part, as far as they are as large.
    """
    if not same_frame(one.ground, other.ground):
        if one.printed.placement != other.printed.placement:
            return 0.0
        areas = one.printed.reading.area_mm2, other.printed.reading.area_mm2
        return min(areas) / max(1e-9, *areas)
    grid = _coarse_grid((one, other))
    seen, too = _seen(one, grid), _seen(other, grid)
    return float((seen & too).sum() / seen.sum()) if seen.any() else 1.0


def missing_percent(laid: Sequence[Laid]) -> float:
    """Return the share of what the pass before the last showed that the last one does not."""
    number = laid[-1].printed.pass_number
    last = [one for one in laid if one.printed.pass_number == number]
    earlier = [one for one in laid if one.printed.pass_number != number]
    earlier = [one for one in earlier if not _other_pass(one, earlier[-1])]
    if not earlier or not all(same_frame(one.ground, last[0].ground) for one in (*earlier, *last)):
        return 0.0
    grid = _coarse_grid((*earlier, *last))
    shown = np.any([_seen(one, grid) for one in last], axis=0)
    known = np.any([_seen(one, grid) for one in earlier], axis=0)
    return 100 * float((known & ~shown).sum() / max(1, known.sum()))


def _same_photograph(one: Laid, other: Laid) -> bool:
    photo = one.printed.reading.photo_sha256
    return bool(photo) and photo == other.printed.reading.photo_sha256


def _other_pass(one: Laid, other: Laid) -> bool:
    return one.printed.pass_number != other.printed.pass_number


def _seen(one: Laid, grid: FaceGrid) -> Mask:
    reading = one.printed.reading
    seen = shares(one.ground.known, reading.px_per_mm, reading.origin_mm, grid)
    return np.asarray(seen >= 0.5)


def _coarse_grid(prints: Sequence[Laid]) -> FaceGrid:
    bounds = np.array([one.ground.bounds_mm for one in prints])
    x0, y0 = bounds[:, :2].min(axis=0)
    width, height = bounds[:, 2:].max(axis=0) - (x0, y0)
    scale = min(COARSE_PX_PER_MM, float(np.sqrt(MOST_SQUARES / max(1e-9, width * height))))
    shape = max(1, int(np.ceil(height * scale))), max(1, int(np.ceil(width * scale)))
    return FaceGrid(scale, (float(x0) + 0.5 / scale, float(y0) + 0.5 / scale), shape)
