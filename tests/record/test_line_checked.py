"""What film is worth and what instruments showed: kept, taken out again, or refused in words."""

import dataclasses
import math
from datetime import datetime

import pytest

from scrapeview.errors import RecordError
from scrapeview.record import EyeCount, FilmCalibration, LineCheck, Record, SwingTest

WHEN = "2024-03-11T10:00:00+00:00"
FILM = FilmCalibration(
    um=2.5, low_um=1 / 3, high_um=4.0, how="shim", pass_number=1, notes="0.05 mm", made_at_utc=WHEN
)
CHECK = LineCheck(
    pass_number=1, what="tilt across", between="far way and near way", value_um=-12.5,
    error_um=2.0, instrument="level", who="N. N.", notes="warm", made_at_utc=WHEN,
)  # fmt: skip


def keep(record, face, shot, text):
    photo, reading = shot(text)
    return record.keep_print(face.face_id, [photo], reading)


@pytest.fixture
def kept(record, face, shot):
    return [keep(record, face, shot, text) for text in ("one", "two")]


@pytest.fixture(scope="module")
def sound(tmp_path_factory, face_in, shot):
    """A record with a print and a face, that nothing refused may change."""
    opened = Record.open(tmp_path_factory.mktemp("sound"))
    face = face_in(opened)
    keep(opened, face, shot, "one")
    yield opened, face
    opened.close()


def ways_of(record):
    """How each kind is listed, added and taken out again, with the name of its number."""
    return {
        "film": (
            record.film_calibrations, record.add_film_calibration, record.remove_film_calibration,
            "calibration_id",
        ),
        "line": (
            record.line_checks, record.add_line_check, record.remove_line_check, "check_id"
        ),
        "swing": (
            record.swing_tests, record.add_swing_test, record.remove_swing_test, "test_id"
        ),
        "count": (
            record.eye_counts, lambda face_id, count: record.add_eye_counts(face_id, [count]),
            record.remove_eye_count, "count_id",
        ),
    }  # fmt: skip


def three_of(kind, kept):
    """Three of a kind, in the order they are listed in."""
    count = EyeCount(
        print_id=kept[0].print_id, reading_id=kept[0].reading_id, x_mm=1.0, y_mm=2.0,
        side_mm=25.4, by_eye=3, by_tool=4, counted_at_utc=WHEN,
    )  # fmt: skip
    swung = SwingTest(pass_number=1, result="even", made_at_utc=WHEN)
    return {
        "film": [FILM, dataclasses.replace(FILM, how="own figure", pass_number=None), FILM],
        "line": [CHECK, CHECK, dataclasses.replace(CHECK, pass_number=2, error_um=None)],
        "swing": [swung, swung, dataclasses.replace(swung, pass_number=2)],
        "count": [count, dataclasses.replace(count, by_eye=9), count],
    }[kind]


@pytest.mark.parametrize("kind", ["film", "line", "swing", "count"])
def test_what_is_added_comes_back_and_is_taken_out_by_its_number(record, face, kept, kind):
    listed, add, remove, number = ways_of(record)[kind]
    told = three_of(kind, kept)
    for one in told:
        # a number that is told counts for nothing
        add(face.face_id, dataclasses.replace(one, **{number: 77}))
    found = listed(face.face_id)
    assert list(found) == told
    numbers = [getattr(one, number) for one in found]
    assert len(set(numbers)) == 3
    other = record.add_face(face.part.part_id, dataclasses.replace(face.plan, name="other"))
    for face_id, wrong in ((face.face_id, max(numbers) + 1), (other.face_id, numbers[1])):
        with pytest.raises(RecordError, match="not there any more"):
            remove(face_id, wrong)
    remove(face.face_id, numbers[1])
    assert [getattr(one, number) for one in listed(face.face_id)] == [numbers[0], numbers[2]]
    with pytest.raises(RecordError, match="not there any more"):
        remove(face.face_id, numbers[1])
    with pytest.raises(RecordError, match="face is not in the record"):
        remove(other.face_id + 1, numbers[0])


@pytest.mark.usefixtures("kept")
def test_checks_come_in_the_order_of_passes_and_go_with_their_machine(record, face):
    for number in (2, 1):
        record.add_line_check(face.face_id, dataclasses.replace(CHECK, pass_number=number))
    record.add_film_calibration(face.face_id, FILM)
    assert [check.pass_number for check in record.line_checks(face.face_id)] == [1, 2]
    record.remove_machine(face.machine.machine_id)
    for name in ("film_calibrations", "line_checks"):
        with record.looking() as db:
            assert db.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar() == 0
    for gone in (record.film_calibrations, record.line_checks):
        with pytest.raises(RecordError, match="face is not in the record"):
            gone(face.face_id)


@pytest.mark.usefixtures("kept")
def test_what_has_no_time_is_of_now_and_no_verdict_grows_stale(record, face):
    before = record.judged_from(face.face_id)
    record.add_film_calibration(face.face_id, dataclasses.replace(FILM, made_at_utc=""))
    record.add_line_check(face.face_id, dataclasses.replace(CHECK, made_at_utc=""))
    (film,), (check,) = record.film_calibrations(face.face_id), record.line_checks(face.face_id)
    assert all(datetime.fromisoformat(one.made_at_utc).tzinfo for one in (film, check))
    assert record.judged_from(face.face_id) == before


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"um": 0.0, "low_um": 0.0}, "more than 0"), ({"um": -1.0}, "0 to 1,000"),
        ({"um": math.nan}, "film unit"), ({"um": 1001.0, "high_um": 1001.0}, "0 to 1,000"),
        ({"low_um": 2.6}, "inside its interval"), ({"high_um": 2.4}, "inside its interval"),
        ({"low_um": -0.1}, "lower end"), ({"high_um": math.inf}, "upper end"),
        ({"um": True}, "film unit"), ({"how": "guess"}, "shim, own figure, not 'guess'"),
        ({"pass_number": 2}, "no pass 2"), ({"notes": "n" * 20_001}, "too long"),
        ({"made_at_utc": "then"}, "time"),
    ],
)  # fmt: skip
def test_a_calibration_that_cannot_be_is_refused(sound, told, words):
    record, face = sound
    with pytest.raises(RecordError, match=words):
        record.add_film_calibration(face.face_id, dataclasses.replace(FILM, **told))
    assert record.film_calibrations(face.face_id) == ()


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"what": "bend"}, "What is checked is one of step"), ({"what": ""}, "tilt along"),
        ({"instrument": "eye"}, "level, indicator"), ({"value_um": math.nan}, "figure of a check"),
        ({"value_um": math.inf}, "µm/m"), ({"value_um": -100_001.0}, "-100,000 to 100,000"),
        ({"what": "step", "value_um": 100_001.0}, "100,000 µm, not"),
        ({"error_um": -0.1}, "uncertainty"), ({"error_um": math.nan}, "uncertainty"),
        ({"pass_number": 2}, "no pass 2"), ({"between": "b" * 241}, "too long"),
        ({"who": "\0"}, "cannot be stored"),
        ({"made_at_utc": "yesterday"}, "time"),
    ],
)  # fmt: skip
def test_a_check_that_cannot_be_is_refused(sound, told, words):
    record, face = sound
    with pytest.raises(RecordError, match=words):
        record.add_line_check(face.face_id, dataclasses.replace(CHECK, **told))
    assert record.line_checks(face.face_id) == ()
