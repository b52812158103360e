"""A kept print opened to be corrected: its photograph, how it lies and its corrections so far."""

from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.new_print_draft import Draft, kept_draft
from scrapeview.errors import RecordError
from scrapeview.record import FaceEntry, PassEntry, Record
from scrapeview.result import Reading


def asked_print(asked: str | None) -> int | None:
    """Return the number of the print that an address asks for, None where it asks for none.

    Raises
    ------
    RecordError
        Where it is no number.
    """
    if asked is None:
        return None
    if not asked.isdecimal():
        raise RecordError("The address asks for a print that is no number: open it from its face.")
    return int(asked)


def draft_of_kept(
    record: Record, face: FaceEntry, print_id: int
) -> tuple[Draft, Reading, PassEntry]:
    """Return the draft of a kept print, its current reading and its pass.

    Raises
    ------
    RecordError
        Where the print is none of this face's, or its photograph is missing.
    """
    entry = record.print_entry(print_id)
    passes = {one.pass_id: one for one in record.passes(face.face_id)}
    if entry.pass_id not in passes:
        raise RecordError("This print belongs to another face: open it from its own.")
    reading = reading_of(record, entry.current_reading_id)
    sha256 = reading.photo_sha256
    begun = Draft(
        face.face_id, record.photo_name(sha256), record.photo(sha256), sha256,
        plane=reading.plane, corrections=list(reading.corrections),
        marking_px=reading.settings.marking_picks_px, metal_px=reading.settings.metal_picks_px,
        print_id=print_id, reading_id=entry.current_reading_id,
    )  # fmt: skip
    return kept_draft(begun), reading, passes[entry.pass_id]


def is_changed(draft: Draft, reading: Reading) -> bool:
    """Whether a draft asks for something else than the reading there is."""
    before = reading.corrections, reading.settings.marking_picks_px, reading.settings.metal_picks_px
    samples = (draft.marking_px, draft.metal_px)
    # samples of one kind alone do not count yet
    counted = samples if all(samples) else ((), ())
    return before != (tuple(draft.corrections), *counted)
