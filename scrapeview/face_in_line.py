"""A long face in the record: its stretches, what is joined from them, and whether they lie in line.

From the record and the judgement to what a page or a command shows; nothing here draws.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scrapeview.charts.long_stretches import Stretch, latest_of_each
from scrapeview.charts.long_strip import FEWEST_ROWS, SQUARES, ContactMap
from scrapeview.charts.picture import face_of
from scrapeview.face_stretch import LEAST_MM
from scrapeview.judge.compare.laid import FaceGrid, Mask
from scrapeview.judge.inline.estimates import FilmUnit, InLine, Joint, PlacedPrint, SharedPlane
from scrapeview.judge.inline.joined import JoinedFigures
from scrapeview.judge.inline.micrometres import in_micrometres
from scrapeview.judge.verdict.stretches import JudgedPrint
from scrapeview.placements import Placement
from scrapeview.plane.polygons import polygon_mask
from scrapeview.record import FaceEntry, FacePlan, Record
from scrapeview.record.entries import FilmCalibration, LineCheck
from scrapeview.result import Reading

LONG = 4.0
"""From this length over width on a face is long: it seldom fits one photograph. Ours, no source."""
ELSEWHERE = 0.5
"""Share of a told stretch that its reading must show to be taken as lying there."""
LEAST_SEEN = 0.2
"""Share of a square of the map that prints must show, for its contact to be told."""
LEAST_SHOWN = 0.1
"""Share of a stretch that a print must show, to be offered for it."""
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class LongFace:
    """The stretches of a face in the record.

    Parameters
    ----------
    placed : tuple of Stretch
        Of all passes, those whose place along the face is known.
    unplaced : tuple of Stretch
        Those of which nobody told where they lie.
    """

    placed: tuple[Stretch, ...]
    unplaced: tuple[Stretch, ...]

    @property
    def numbers(self) -> tuple[int, ...]:
        """Numbers of the passes that have a placed stretch."""
        return tuple(sorted({one.pass_number for one in self.placed}))

    def of_pass(self, number: int) -> tuple[Stretch, ...]:
        """Return the placed stretches of a pass from left to right, the latest print of each."""
        return tuple(latest_of_each([one for one in self.placed if one.pass_number == number]))


def long_face_of(record: Record, face: FaceEntry) -> LongFace:
    """Return the stretches of a face, with the figures kept beside their readings.

    Raises
    ------
    RecordError
    """
    where = {entry.print_id: entry.where for entry in record.prints(face.face_id)}
    progress = record.progress(face.face_id)
    alone = progress["number"].value_counts()
    rows: list[Any] = list(progress.itertuples(index=False))
    stretches = [
        Stretch(
            pass_number=int(row.number),
            print_id=int(row.print_id),
            reading_id=int(row.reading_id),
            placement=_placement(where[int(row.print_id)], face.plan, bool(alone[row.number] == 1)),
            is_print=bool(row.is_print),
            count_reliable=bool(row.count_reliable),
            contact_percent=float(row.contact_percent),
            contact_low=float(row.contact_low_percent),
            contact_high=float(row.contact_high_percent),
            ppsi=float(row.points_per_square_inch),
            ppsi_low=float(row.ppsi_low),
            ppsi_high=float(row.ppsi_high),
            area_mm2=float(row.area_mm2),
        )
        for row in rows
    ]
    return LongFace(
        tuple(one for one in stretches if one.placement.is_told),
        tuple(one for one in stretches if not one.placement.is_told),
    )


def _placement(where: Placement, plan: FacePlan, alone: bool) -> Placement:
    """Where a print lies; one that is alone in its pass and has no name shows the whole face."""
    if where.is_told or where.name or not alone or plan.width_mm <= 0:
        return where
    return replace(where, name="whole face", start_mm=0.0, length_mm=plan.width_mm)


def is_long(plan: FacePlan) -> bool:
    """Whether a face is so long that one photograph or one reference seldom covers it."""
    sides = sorted((plan.width_mm, plan.height_mm))
    return sides[0] > 0 and sides[1] >= LONG * sides[0]


def bounds_of(plan: FacePlan, stretches: Sequence[Stretch]) -> Box:
    """Return the box that a strip of the face shows, mm: the face, and what reaches past it."""
    starts, ends = [one.start_mm for one in stretches], [one.end_mm for one in stretches]
    # a round face has its diameter only
    height_mm = plan.width_mm if plan.shape == "round" else plan.height_mm
    return min(0.0, *starts, 0.0), 0.0, max(plan.width_mm, *ends, 1.0), max(height_mm, 1.0)


def placed_print(stretch: Stretch, reading: Reading) -> PlacedPrint:
    """Return a stretch with its reading, as it is judged."""
    judged = JudgedPrint(stretch.pass_number, stretch.print_id, stretch.name, reading)
    # one that nobody named goes by its print, so that what is said of it says of which
    return PlacedPrint(judged, replace(stretch.placement, name=stretch.name))


def lies_elsewhere(stretch: Stretch, reading: Reading) -> bool:
    """Whether a reading's millimetres are not where its placement was told to lie."""
    x0, _, x1, _ = face_of(reading).bounds_mm
    both = min(x1, stretch.end_mm) - max(x0, stretch.start_mm)
    return both < ELSEWHERE * min(x1 - x0, stretch.end_mm - stretch.start_mm)


def contact_map(joined: JoinedFigures, plan: FacePlan, bounds_mm: Box) -> ContactMap:
    """Return the contact of a face in squares, each judged by the prints that show it.

    Parameters
    ----------
    joined : JoinedFigures
    plan : FacePlan
        For what is face at all.
    bounds_mm : (x0, y0, x1, y1)
        Of the face.
    """
    grid, fine = _squares(bounds_mm), joined.grid
    rows, columns = fine.shape
    down, across = (
        np.floor((fine.origin_mm[axis] + np.arange(count) / fine.px_per_mm - bounds_mm[axis])
                 * grid.px_per_mm).astype(int)
        for axis, count in ((1, rows), (0, columns))
    )  # fmt: skip
    on = (down >= 0) & (down < grid.shape[0]), (across >= 0) & (across < grid.shape[1])
    square = (down[on[0]][:, None] * grid.shape[1] + across[on[1]][None, :]).ravel()
    known, contact = (
        np.bincount(square, values[np.ix_(*on)].ravel(), grid.shape[0] * grid.shape[1])
        for values in (joined.known.astype(float), np.nan_to_num(joined.contact))
    )
    seen = known * fine.square_mm2 > LEAST_SEEN * grid.square_mm2
    percent = np.divide(100 * contact, known, out=np.full(known.shape, np.nan), where=seen)
    face = _face_squares(plan, grid) | seen.reshape(grid.shape)
    return ContactMap(percent.reshape(grid.shape), grid.px_per_mm, grid.origin_mm, face)


def _face_squares(plan: FacePlan, grid: FaceGrid) -> Mask:
    """Squares whose middle is face: in its outline, or on its rectangle, and in no opening."""
    face = np.full(grid.shape, not plan.regions_mm)
    for region in plan.regions_mm:
        face |= polygon_mask(grid.to_px(np.array(region)), grid.shape)
    if not plan.regions_mm and plan.width_mm > 0:
        x = grid.origin_mm[0] + np.arange(grid.shape[1]) / grid.px_per_mm
        face &= (x >= 0) & (x <= plan.width_mm)
    for opening in plan.openings_mm:
        face &= ~polygon_mask(grid.to_px(np.array(opening)), grid.shape)
    return face


def _squares(bounds_mm: Box) -> FaceGrid:
    x0, y0, x1, y1 = bounds_mm
    rows = max(FEWEST_ROWS, round(SQUARES * (y1 - y0) / (x1 - x0)))
    side_mm = (y1 - y0) / rows
    columns = max(1, int(np.ceil((x1 - x0) / side_mm - 1e-6)))
    return FaceGrid(1 / side_mm, (x0 + side_mm / 2, y0 + side_mm / 2), (rows, columns))


def covered_percent(contact: ContactMap) -> float:
    """Return how much of the face the map shows."""
    return 100 * (1 - float(contact.unseen.sum() / max(1, contact.face.sum())))


def joined_percent(contact: ContactMap, window_mm: tuple[float, float]) -> float | None:
    """Return the contact of a stretch, joined from all prints; None where none shows it."""
    x = contact.middles(0)
    inside = contact.percent[:, (x >= window_mm[0]) & (x < window_mm[1])]
    seen = inside[np.isfinite(inside)]
    return float(seen.mean()) if seen.size else None


def showing(stretches: Sequence[Stretch], window_mm: tuple[float, float]) -> list[Stretch]:
    """Return the stretches that show a tenth or more of a window, the one that shows most first."""
    length = window_mm[1] - window_mm[0]
    shown = {
        one.print_id: min(one.end_mm, window_mm[1]) - max(one.start_mm, window_mm[0])
        for one in stretches
    }
    least = max(LEAST_MM, LEAST_SHOWN * length)
    rated = [one for one in stretches if shown[one.print_id] >= least]
    return sorted(rated, key=lambda one: -shown[one.print_id])


def unit_of(calibrations: Sequence[FilmCalibration]) -> FilmUnit | None:
    """Return what one film unit is worth by the latest calibration; None without any."""
    if not calibrations:
        return None
    last = calibrations[-1]
    return FilmUnit(last.um, last.low_um, last.high_um, last.how)


def line_in(line: InLine, unit: FilmUnit | None) -> InLine:
    """Return what is said of a line in film units, in micrometres too."""
    joints = tuple(
        replace(
            joint,
            step=joint.step and in_micrometres(joint.step, unit),
            tilt_along=joint.tilt_along and in_micrometres(joint.tilt_along, unit),
            tilt_across=joint.tilt_across and in_micrometres(joint.tilt_across, unit),
        )
        for joint in line.joints
    )
    return replace(line, joints=joints, unit=unit)


def plane_in(shared: SharedPlane, unit: FilmUnit | None) -> SharedPlane:
    """Return what is said of a shared plane in film units, in micrometres too."""
    return replace(
        shared,
        balance=in_micrometres(shared.balance, unit),
        offset=in_micrometres(shared.offset, unit),
        tilt_across=in_micrometres(shared.tilt_across, unit),
        twist=in_micrometres(shared.twist, unit),
    )


def between(joint: Joint) -> str:
    """Return what a check of a joint is kept under: the names of its two stretches."""
    return f"{joint.first} and {joint.second}"


def checks_of(checks: Sequence[LineCheck], named: str, pass_number: int) -> tuple[LineCheck, ...]:
    """Return the checks of a joint or a pair of ways that hold for a pass.

    Parameters
    ----------
    checks : sequence of LineCheck
    named : str
        As from `between`.
    pass_number : int
        What was scraped after a check has changed the face, so only those of the pass count.
    """
    wanted = named.casefold()
    return tuple(
        one for one in checks
        if one.between.casefold() == wanted and one.pass_number == pass_number
    )  # fmt: skip


def in_order(prints: Sequence[PlacedPrint]) -> list[PlacedPrint]:
    """Return prints from left to right."""
    return sorted(prints, key=lambda one: (one.placement.start_mm or 0.0, one.placement.side))
