"""What is said beside the verdict on a face: shape, reference, progress, counts by eye."""

from scrapeview.charts import forecast_words, shape_words
from scrapeview.charts.compare_pictures import washed_out_of
from scrapeview.charts.inline_words import CHECK_IT, joint_sentences
from scrapeview.charts.shown import Units
from scrapeview.charts.verdict_words import waiting_sentence
from scrapeview.face_in_line import between, checks_of, long_face_of, placed_print, unit_of
from scrapeview.judge.eye import agreement_of
from scrapeview.judge.forecast.forecast import forecast
from scrapeview.judge.forecast.stall import stall_of
from scrapeview.judge.inline import in_line
from scrapeview.judge.shape import Shape, shape_of
from scrapeview.record import FaceEntry, Record


def beside_sentences(record: Record, face: FaceEntry, units: Units) -> tuple[str, ...]:
    """Return the sentences that stand beside the verdict on a face that has a print.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    units : {"metric", "inch"}
    """
    progress = record.progress(face.face_id)
    target = face.plan.target
    found = forecast(progress, target)
    last = progress.iloc[-1]
    # one stretch of several does not show the shape of the face
    starts = progress.loc[progress["number"] == last["number"], "placement_start_mm"]
    shape = None if starts.nunique() > 1 else _shape(record, int(last["reading_id"]))
    # a test of an earlier pass says nothing of what was scraped since
    swings = [s for s in record.swing_tests(face.face_id) if s.pass_number == last["number"]]
    counts = record.eye_counts(face.face_id)
    waiting = [each.number for each in record.passes(face.face_id) if not each.print_ids]
    sentences = (
        *(waiting_sentence(number) for number in waiting),
        *((shape_words.shape_sentence(shape),) if shape else ()),
        *(shape_words.swing_sentence(shape, swing) for swing in swings[-1:] if shape),
        *_line_sentences(record, face, int(last["number"]), units),
        *shape_words.reference_sentences(face.plan.flatness, face.plan.reference, units),
        forecast_words.forecast_sentence(found, units),
        forecast_words.hours_sentence(found),
        forecast_words.stall_sentence(stall_of(progress, target)),
        *(forecast_words.agreement_sentences(agreement_of(counts), units) if counts else ()),
    )
    return tuple(sentence for sentence in sentences if sentence)


def _line_sentences(record: Record, face: FaceEntry, number: int, units: Units) -> tuple[str, ...]:
    """What the placements of a pass say of the line of the face, joint by joint: estimates."""
    stretches = long_face_of(record, face).of_pass(number)
    if len(stretches) < 2:
        return ()
    prints = [placed_print(one, record.reading(one.reading_id)) for one in stretches]
    line = in_line(prints, unit=unit_of(record.film_calibrations(face.face_id)))
    checks = record.line_checks(face.face_id)
    told = [
        f"{between(joint)[:1].upper()}{between(joint)[1:]}: {sentence}"
        for joint in line.joints
        for sentence in joint_sentences(joint, units, checks_of(checks, between(joint), number))
        if sentence != CHECK_IT
    ]
    return (*told, CHECK_IT) if told else ()


def _shape(record: Record, reading_id: int) -> Shape:
    """What a reading says of shape, without what glare took: that only its photograph tells."""
    reading = record.reading(reading_id)
    glary = reading.washed_out_percent > 0
    washed_out = washed_out_of(reading, record.photo(reading.photo_sha256)) if glary else None
    return shape_of(reading, washed_out=washed_out)
