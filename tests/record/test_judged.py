"""What is kept for judging: counts by eye, swing tests, verdicts and what they rest on."""

import dataclasses
import hashlib
import json
from datetime import datetime

import pytest

from scrapeview.errors import RecordError
from scrapeview.record import EyeCount, FacePlan, KeptVerdict, Record, Scrape, SwingTest
from scrapeview.settings import Settings
from scrapeview.targets import SHIPPED_TARGETS, Target

WHEN = "2024-03-11T10:00:00+00:00"
SWUNG = SwingTest(pass_number=1, result="convex", pivot_percent=41.5, who="N. N.", notes="oiled")
VERDICT = KeptVerdict(judged_from="a" * 64, outcome="nearly", reason="9.9: 10", judged_at_utc=WHEN)


TABLES = ("eye_counts", "swing_tests", "kept_verdicts")


def rows_of(record, name):
    with record.looking() as db:
        return db.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar()


def keep(record, face, shot, text, **told):
    photo, reading = shot(text)
    return record.keep_print(face.face_id, [photo], reading, **told)


def counted(kept, **told):
    place = {"x_mm": 12.7, "y_mm": 1 / 3, "side_mm": 25.4}
    whole = {"print_id": kept.print_id, "reading_id": kept.reading_id, "by_eye": 11, "by_tool": 12}
    return EyeCount(**whole | place | {"who": "N. N.", "counted_at_utc": WHEN} | told)


@pytest.fixture
def kept(record, face, shot):
    return keep(record, face, shot, "one")


@pytest.fixture(scope="module")
def sound(tmp_path_factory, face_in, shot):
    """A record that nothing refused may change, its face, and the one print of it."""
    opened = Record.open(tmp_path_factory.mktemp("sound"))
    face = face_in(opened)
    yield opened, face, keep(opened, face, shot, "one")
    opened.close()


def test_counts_by_eye_come_back_in_the_order_of_prints(record, face, shot, kept):
    second = keep(record, face, shot, "two")
    told = counted(second), counted(kept), counted(kept, by_eye=0, by_tool=1000, x_mm=-2.0)
    record.add_eye_counts(face.face_id, told)
    assert record.eye_counts(face.face_id) == (told[1], told[2], told[0])
    record.add_eye_counts(face.face_id, ())
    assert len(record.eye_counts(face.face_id)) == 3


@pytest.mark.usefixtures("kept")
def test_swing_tests_come_back_in_the_order_of_passes(record, face, shot):
    keep(record, face, shot, "two")
    told = [dataclasses.replace(SWUNG, pass_number=n, made_at_utc=WHEN) for n in (2, 1)]
    told.append(dataclasses.replace(told[1], result="even", pivot_percent=None))
    for test in told:
        record.add_swing_test(face.face_id, test)
    assert record.swing_tests(face.face_id) == (told[1], told[2], told[0])


def test_a_verdict_takes_the_place_of_the_one_before(record, face):
    assert record.kept_verdicts() == {}
    record.keep_verdict(face.face_id, dataclasses.replace(VERDICT, outcome="keep scraping"))
    record.keep_verdict(face.face_id, VERDICT)
    assert record.kept_verdicts() == {face.face_id: VERDICT}


def test_what_has_no_time_is_of_now(record, face, kept):
    record.add_eye_counts(face.face_id, [counted(kept, counted_at_utc="")])
    record.add_swing_test(face.face_id, SWUNG)
    record.keep_verdict(face.face_id, dataclasses.replace(VERDICT, judged_at_utc=""))
    times = (
        record.eye_counts(face.face_id)[0].counted_at_utc,
        record.swing_tests(face.face_id)[0].made_at_utc,
        record.kept_verdicts()[face.face_id].judged_at_utc,
    )
    assert all(datetime.fromisoformat(time).tzinfo for time in times)


def test_all_of_it_goes_with_its_machine(record, face, kept):
    record.add_eye_counts(face.face_id, [counted(kept)])
    record.add_swing_test(face.face_id, SWUNG)
    record.keep_verdict(face.face_id, VERDICT)
    assert [rows_of(record, name) for name in TABLES] == [1, 1, 1]
    record.remove_machine(face.machine.machine_id)
    assert [rows_of(record, name) for name in TABLES] == [0, 0, 0]
    for gone in (record.eye_counts, record.swing_tests, record.judged_from):
        with pytest.raises(RecordError, match="face is not in the record"):
            gone(face.face_id)


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"by_eye": -1}, "whole number from 0 to 1000, not -1"),
        ({"by_eye": 1001}, "counted by eye"),
        ({"by_tool": 1001}, "counted in the photograph"),
        ({"by_eye": 2.5}, "whole number"),
        ({"by_eye": float("nan")}, "whole number"),
        ({"by_eye": True}, "whole number"),
        ({"side_mm": 0.0}, "side of a square"),
        ({"side_mm": -1.0}, "side of a square"),
        ({"side_mm": float("nan")}, "side of a square"),
        ({"x_mm": float("inf")}, "nowhere on the face"),
        ({"y_mm": float("nan")}, "nowhere on the face"),
        ({"who": "n" * 121}, "too long"),
        ({"who": "\0"}, "cannot be stored"),
        ({"counted_at_utc": "yesterday"}, "time"),
        ({"print_id": 999}, "not one of this face's"),
        ({"reading_id": 999}, "not one of this face's"),
    ],
)
def test_a_count_that_cannot_be_is_refused_with_all_that_came_with_it(sound, told, words):
    record, face, kept = sound
    with pytest.raises(RecordError, match=words):
        record.add_eye_counts(face.face_id, [counted(kept), counted(kept, **told)])
    assert record.eye_counts(face.face_id) == ()


def test_a_count_of_another_face_s_print_is_refused(in_sqlite, face_in, shot):
    face = face_in(in_sqlite)
    kept = keep(in_sqlite, face, shot, "one")
    other = in_sqlite.add_face(face.part.part_id, dataclasses.replace(face.plan, name="other"))
    of_other = keep(in_sqlite, other, shot, "two")
    for count in (counted(of_other), counted(kept, reading_id=of_other.reading_id)):
        with pytest.raises(RecordError, match="not one of this face's"):
            in_sqlite.add_eye_counts(face.face_id, [count])
    assert in_sqlite.eye_counts(face.face_id) == in_sqlite.eye_counts(other.face_id) == ()


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"result": "bent"}, "convex, hollow, even, not 'bent'"),
        ({"result": ""}, "convex, hollow, even"),
        ({"pivot_percent": -0.1}, "0 to 100"),
        ({"pivot_percent": 100.1}, "0 to 100"),
        ({"pass_number": 2}, "no pass 2"),
        ({"pass_number": 0}, "no pass 0"),
        ({"notes": "n" * 20_001}, "too long"),
        ({"made_at_utc": "then"}, "time"),
    ],
)
def test_a_swing_test_that_cannot_be_is_refused(sound, told, words):
    record, face, _ = sound
    with pytest.raises(RecordError, match=words):
        record.add_swing_test(face.face_id, dataclasses.replace(SWUNG, **told))
    assert record.swing_tests(face.face_id) == ()


def test_nothing_is_kept_of_a_face_that_is_not_there(record):
    for refused in (
        lambda: record.add_eye_counts(7, ()),
        lambda: record.add_swing_test(7, SWUNG),
        lambda: record.keep_verdict(7, VERDICT),
        lambda: record.judged_from(7),
    ):
        with pytest.raises(RecordError, match="face is not in the record"):
            refused()
    assert record.all_judged_from() == {}


def rests_on(record, face):
    """The fingerprint, which is the same asked alone or with all others."""
    alone = record.judged_from(face.face_id)
    assert record.all_judged_from()[face.face_id] == alone
    return alone


def test_a_fingerprint_changes_with_what_a_verdict_rests_on(record, face, shot, kept):
    seen = [rests_on(record, face)]

    def changed():
        seen.append(rests_on(record, face))
        return len(set(seen)) == len(seen)

    reading = record.reading(kept.reading_id)
    corrected = record.add_reading(kept.print_id, reading, "corrected")
    assert changed()
    keep(record, face, shot, "turned", pass_number=1, placement="turned")
    assert changed()
    keep(record, face, shot, "two")
    assert changed()
    for changes in (
        {"target": SHIPPED_TARGETS[1]},
        {"target": dataclasses.replace(SHIPPED_TARGETS[1], square_ppsi_least=11.0)},
        {"regions_mm": (((0.0, 0.0), (50.0, 0.0), (50.0, 70.0)),)},
        {"openings_mm": (((0.0, 0.0), (5.0, 0.0), (5.0, 7.0)),)},
        {"settings": Settings(smallest_point_mm=0.9)},
    ):
        record.change_face(
            face.face_id, dataclasses.replace(record.face(face.face_id).plan, **changes)
        )
        assert changed(), changes
    record.change_face(face.face_id, face.plan)
    assert rests_on(record, face) == seen[3]
    record.choose_reading(kept.print_id, kept.reading_id, "no, as it was")
    assert changed()
    record.choose_reading(kept.print_id, corrected, "yes")
    assert rests_on(record, face) == seen[3]


def test_a_fingerprint_does_not_change_with_names_notes_and_units(record, face, kept):
    before = rests_on(record, face)
    assert len(before) == 64
    told = dataclasses.replace(
        face.plan, name="other name", role="gib", reference="other", notes="note", units="inch",
        flatness=dataclasses.replace(face.plan.flatness, grade="DIN 876 grade I", length_mm=900.0),
    )  # fmt: skip
    record.change_face(face.face_id, told)
    record.change_machine(face.machine.machine_id, "Renamed", "with notes")
    record.change_part(face.part.part_id, "Renamed")
    record.change_pass(kept.pass_id, Scrape(who="N. N.", hours=2.0, notes="scraped"))
    record.begin_pass(face.face_id, Scrape())
    record.add_eye_counts(face.face_id, [counted(kept)])
    record.add_swing_test(face.face_id, SWUNG)
    record.add_face(face.part.part_id, FacePlan(name="next", shape="free"))
    assert rests_on(record, face) == before
    # one that has no print rests on nothing that could be judged
    assert list(record.all_judged_from()) == [face.face_id]


def test_a_verdict_from_before_placements_could_be_told_still_holds(in_sqlite, face_in, shot):
    face = face_in(in_sqlite)
    kept = keep(in_sqlite, face, shot, "one", placement="left")
    rested_on = {
        "prints": [[1, kept.print_id, kept.reading_id, "left"]],
        "target": face.plan.target.as_dict(),
        "regions_mm": [],
        "openings_mm": [],
        "settings": face.plan.settings.as_dict(),
    }
    due = hashlib.sha256(json.dumps(rested_on, sort_keys=True).encode()).hexdigest()
    assert rests_on(in_sqlite, face) == due


@pytest.mark.usefixtures("kept")
def test_a_fingerprint_rests_on_the_last_four_passes(record, face, shot):
    seen = [rests_on(record, face)]
    for number in range(2, 7):
        keep(record, face, shot, f"pass {number}")
        seen.append(rests_on(record, face))
    assert len(set(seen)) == 6
    third = record.prints(face.face_id)[2]
    for printed in record.prints(face.face_id)[:2]:
        record.add_reading(printed.print_id, record.reading(printed.current_reading_id), "again")
        assert rests_on(record, face) == seen[-1]
    record.add_reading(third.print_id, record.reading(third.current_reading_id), "again")
    assert rests_on(record, face) != seen[-1]


def test_a_target_told_alike_has_the_same_fingerprint(in_sqlite, face_in, shot):
    face = face_in(in_sqlite)
    keep(in_sqlite, face, shot, "one")
    told = []
    for number in (20, 20.0):
        plan = dataclasses.replace(face.plan, target=Target(name="own", ppsi_least=number))
        in_sqlite.change_face(face.face_id, plan)
        told.append(rests_on(in_sqlite, face))
    assert told[0] == told[1]
