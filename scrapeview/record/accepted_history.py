"""What the record takes of a machine's history that comes from elsewhere."""

import dataclasses
from collections.abc import Hashable, Sequence

from scrapeview.errors import RecordError
from scrapeview.record import accepted, accepted_line
from scrapeview.record.histories import (
    FaceHistory,
    MachineHistory,
    PartHistory,
    PassHistory,
    PhotographEntry,
    PrintHistory,
)
from scrapeview.result import Reading

LAST_PASS = 1_000_000
LARGEST_PPSI = 100_000.0
LARGEST_AREA_MM2 = 1e10


def accepted_history(history: MachineHistory) -> MachineHistory:
    """Return a history as the record takes it.

    Raises
    ------
    RecordError
        Where a text, a number or a time cannot be, or things do not belong together.
    """
    parts = tuple(_part(part) for part in history.parts)
    _once("part", [part.name for part in parts])
    photographs = tuple(_photograph(each) for each in history.photographs)
    whole = dataclasses.replace(
        history,
        name=accepted.name_of("machine", history.name),
        notes=accepted.text_of("note", history.notes, accepted.LONGEST_NOTES),
        parts=parts,
        photographs=photographs,
    )
    _once("reading", [number for each in whole.prints for number in each.readings])
    _once("photograph", [each.sha256 for each in photographs])
    if {p.sha256 for p in photographs} != {s for each in whole.prints for s in each.photo_sha256s}:
        raise RecordError("The photographs listed are not those of the prints.")
    return whole


def require_readable(reading: Reading) -> None:
    """Refuse a reading whose figures or times cannot be.

    Raises
    ------
    RecordError
    """
    figures = (
        ("contact", reading.contact_percent, 100.0),
        ("share lost to glare", reading.washed_out_percent, 100.0),
        ("share in merged patches", reading.merged_percent, 100.0),
        ("points per in2", reading.points_per_square_inch, LARGEST_PPSI),
        ("area", reading.area_mm2, LARGEST_AREA_MM2),
        ("scale", reading.px_per_mm, 1000.0),
    )
    for what, value, most in figures:
        # written so that what is not a number is refused as well
        if not 0 <= value <= most:
            raise RecordError(f"The {what} of a reading is out of its range: {value:g}.")
    for time in (reading.read_at_utc, reading.taken_at):
        if time is not None:
            accepted.time_of(time)
    accepted.text_of("version of a reading", reading.versions.get("scrapeview", ""))


def _part(part: PartHistory) -> PartHistory:
    faces = tuple(_face(face) for face in part.faces)
    _once("face", [face.plan.name for face in faces])
    return PartHistory(accepted.name_of("part", part.name), faces)


def _face(face: FaceHistory) -> FaceHistory:
    passes = tuple(_pass(each) for each in face.passes)
    numbers = [each.number for each in passes]
    if numbers != sorted(set(numbers)) or not all(1 <= n <= LAST_PASS for n in numbers):
        raise RecordError(f"The passes of the face '{face.plan.name}' are not in order.")
    if sum(not each.prints for each in passes) > 1:
        raise RecordError(f"More than one pass of the face '{face.plan.name}' waits for its print.")
    tests = tuple(accepted.swing_test_of(test) for test in face.swing_tests)
    films = tuple(accepted_line.film_calibration_of(film) for film in face.film_calibrations)
    checks = tuple(accepted_line.line_check_of(check) for check in face.line_checks)
    for what, told in (
        ("swing test", {test.pass_number for test in tests}),
        ("calibrated film", {film.pass_number for film in films} - {None}),
        ("check with an instrument", {check.pass_number for check in checks}),
    ):
        if not told <= set(numbers):
            raise RecordError(f"A {what} is of a pass that the face '{face.plan.name}' lacks.")
    return FaceHistory(accepted.plan_of(face.plan), passes, tests, films, checks)


def _pass(each: PassHistory) -> PassHistory:
    prints = tuple(_print(one) for one in each.prints)
    scrape = accepted.scrape_of(each.scrape)
    return PassHistory(each.number, accepted.time_of(each.begun_at_utc), scrape, prints)


def _print(one: PrintHistory) -> PrintHistory:
    _once("photograph of a print", one.photo_sha256s)
    if not one.photo_sha256s or not one.readings or not one.choices:
        raise RecordError("A print lacks its photograph, its reading or which reading holds.")
    if not {choice.reading for choice in one.choices} <= set(one.readings):
        raise RecordError("A reading was chosen that is none of its print's.")
    counts = tuple(accepted.eye_count_of(count) for count in one.eye_counts)
    if not {(count.print_id, count.reading_id) for count in counts} <= {
        (0, n) for n in one.readings
    }:
        raise RecordError("A square was counted on a reading that is none of its print's.")
    choices = tuple(
        dataclasses.replace(
            choice,
            why=accepted.text_of("reason", choice.why, accepted.LONGEST_NOTES),
            chosen_at_utc=accepted.time_of(choice.chosen_at_utc),
        )
        for choice in one.choices
    )
    return dataclasses.replace(
        one,
        placement=accepted_line.placement_of(one.placement),
        kept_at_utc=accepted.time_of(one.kept_at_utc),
        choices=choices,
        eye_counts=counts,
        joined=accepted_line.joined_in(one.joined, one.photo_sha256s),
    )


def _photograph(each: PhotographEntry) -> PhotographEntry:
    # kept to the letter: blanks around it are part of a file's name
    accepted.text_of("name of a photograph", each.name, accepted.LONGEST_NOTES)
    accepted.time_of(each.added_at_utc)
    return each


def _once(what: str, each: Sequence[Hashable]) -> None:
    if len(set(each)) < len(each):
        raise RecordError(f"The same {what} stands there twice.")
