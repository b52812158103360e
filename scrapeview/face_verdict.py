"""The verdict on a face in the record, kept beside it so that a whole shop is listed at once."""

from collections.abc import Callable

from scrapeview.charts.verdict_words import verdict_sentence
from scrapeview.errors import ScrapeviewError
from scrapeview.judge import METHOD, JudgedPrint, Verdict, judge_face
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import KeptVerdict
from scrapeview.record.judged import PASSES_JUDGED
from scrapeview.shown_units import face_units, shop_units

Progress = Callable[[int, int, str], None]
"""Called with the faces judged, the faces there are to judge, and the face it is about."""


def judged_prints(record: Record, face_id: int) -> tuple[JudgedPrint, ...]:
    """Return the current readings of the last passes of a face, which a verdict rests on."""
    numbers = {entry.pass_id: entry.number for entry in record.passes(face_id) if entry.print_ids}
    last = set(sorted(numbers.values())[-PASSES_JUDGED:])
    return tuple(
        JudgedPrint(
            pass_number=numbers[each.pass_id],
            print_id=each.print_id,
            placement=each.placement,
            reading=record.reading(each.current_reading_id),
        )
        for each in record.prints(face_id)
        if numbers.get(each.pass_id) in last
    )


def face_verdict(record: Record, face_id: int) -> Verdict:
    """Judge a face by its last prints, and keep the verdict beside it.

    Parameters
    ----------
    record : Record
    face_id : int

    Returns
    -------
    Verdict

    Raises
    ------
    RecordError
        Where there is no such face.
    ReadingError
        Where it has no print yet.
    """
    face = record.face(face_id)
    units = face_units(record, face)
    # before the readings, so that what changes meanwhile leaves the verdict stale, not wrong
    judged_from = _judged_from(record.judged_from(face_id), units)
    verdict = judge_face(judged_prints(record, face_id), face.plan.target)
    kept = KeptVerdict(
        judged_from=judged_from,
        outcome=verdict.outcome,
        reason=verdict_sentence(verdict, units),
    )
    record.keep_verdict(face_id, kept)
    return verdict


def kept_verdict(record: Record, face_id: int) -> KeptVerdict:
    """Return the verdict kept beside a face, judged anew only where it no longer holds.

    Raises
    ------
    RecordError, ReadingError
        As `face_verdict`.
    """
    kept = record.kept_verdicts().get(face_id)
    units = face_units(record, record.face(face_id))
    if kept is None or kept.judged_from != _judged_from(record.judged_from(face_id), units):
        face_verdict(record, face_id)
        kept = record.kept_verdicts()[face_id]
    return kept


def fresh_verdicts(record: Record) -> tuple[dict[int, KeptVerdict], tuple[FaceEntry, ...]]:
    """Return the verdicts that still hold, by face, and the faces that are yet to be judged."""
    of_shop = shop_units(record)
    rests_on = record.all_judged_from()
    faces = {face.face_id: face for face in record.faces() if face.face_id in rests_on}
    kept = record.kept_verdicts()
    fresh = {
        face_id: kept[face_id]
        for face_id, face in faces.items()
        if face_id in kept
        and kept[face_id].judged_from == _judged_from(rests_on[face_id], face.plan.units or of_shop)
    }
    return fresh, tuple(face for face_id, face in faces.items() if face_id not in fresh)


def shop_verdicts(record: Record, progress: Progress | None = None) -> dict[int, KeptVerdict]:
    """Return the verdicts on all faces that have a print, by face; judges only what changed.

    Parameters
    ----------
    record : Record
    progress : callable, optional
        Called while faces are judged.

    Raises
    ------
    RecordError, ReadingError
        Where a face cannot be judged; by then all others are.
    """
    fresh, stale = fresh_verdicts(record)
    failed: ScrapeviewError | None = None
    for done, face in enumerate(stale):
        if progress is not None:
            progress(done, len(stale), face.title)
        try:
            face_verdict(record, face.face_id)
        except ScrapeviewError as error:
            failed = failed or error
    if failed is not None:
        raise failed
    return fresh_verdicts(record)[0] if stale else fresh


def _judged_from(rests_on: str, units: str) -> str:
    """Fingerprint of a kept verdict: what it rests on, the method, and the units of its words."""
    return f"{rests_on}:{METHOD}:{units}"
