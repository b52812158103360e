"""What is wrong with a record is found and said in a plain sentence."""

import re
import sqlite3

import pytest

from scrapeview.errors import RecordError
from scrapeview.record import EyeCount, Record
from scrapeview.record.check import HARMLESS, Problem, check_record
from scrapeview.record.photographs import sha256_of

WHERE = "Invented grinder, cross slide: flat way, pass 1"


@pytest.fixture
def record(in_sqlite):
    """Files are checked alike whatever the database; what is asked of it is in other tests."""
    return in_sqlite


@pytest.fixture
def kept(record, face, shot):
    """A record with one print; path of its photograph."""
    photo, reading = shot("one")
    record.keep_print(face.face_id, [photo], reading)
    return record.photo_path(reading.photo_sha256)


def only(record):
    (problem,) = check_record(record)
    assert re.fullmatch(r"[^\n]+\.", problem.sentence)
    return problem


@pytest.fixture
def mapped(record, face, shot):
    """A record with one print joined from two photographs; their paths, the map's first."""
    photos = [shot(text)[0] for text in ("map", "left", "right")]
    sha256s = [sha256_of(photo) for _, photo in photos]
    joined = {"picture_sha256": sha256s[0], "photos": {"sha256": sha256s[1:]}}
    record.keep_print(face.face_id, photos, shot("map")[1], joined=joined)
    return [record.photo_path(sha256) for sha256 in sha256s]


def test_every_photograph_of_a_joined_map_is_checked(record, mapped):
    seen = []
    assert check_record(record, lambda done, of: seen.append((done, of))) == ()
    assert seen[-1] == (3, 3)
    mapped[1].write_bytes(b"changed")
    mapped[2].unlink()
    assert sorted(problem.what for problem in check_record(record)) == ["damaged", "missing"]


@pytest.mark.parametrize(
    "changed",
    [
        "UPDATE prints SET joined = '{}'", "UPDATE prints SET joined = '[1'",
        "DELETE FROM print_photographs WHERE position = 2",
        "UPDATE print_photographs SET position = 30 - position WHERE position > 0",
    ],
)  # fmt: skip
def test_a_map_of_other_photographs_than_are_kept_with_it(record, mapped, changed):
    assert len(mapped) == 3
    with record.writing() as db:
        db.exec_driver_sql(changed)
    problem = next(one for one in check_record(record) if not one.is_harmless)
    assert problem.what == "joined"
    assert WHERE in problem.sentence


def test_a_sound_record_has_no_problem(record, kept):
    assert kept.is_file()
    assert check_record(record) == ()


def test_an_empty_record_has_no_problem(record):
    assert check_record(record) == ()


def test_a_photograph_that_is_missing(record, kept):
    kept.unlink()
    problem = only(record)
    assert problem.what == "missing"
    assert not problem.is_harmless
    assert WHERE in problem.sentence
    assert str(kept) in problem.sentence


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda photo: photo[:-5], "of 48 bytes"),
        (lambda _: b"", "0 of 48 bytes"),
        (lambda photo: photo[:-1] + b"X", "its bytes changed"),
    ],
)
def test_a_photograph_that_is_damaged(in_sqlite, face_in, shot, change, told):
    face = face_in(in_sqlite)
    photo, reading = shot("one")
    in_sqlite.keep_print(face.face_id, [photo], reading)
    path = in_sqlite.photo_path(reading.photo_sha256)
    path.write_bytes(change(path.read_bytes()))
    problem = only(in_sqlite)
    assert problem.what == "damaged"
    assert told in problem.sentence
    assert WHERE in problem.sentence


def test_a_damaged_photograph_is_mended_by_keeping_it_once_more(record, face, kept, shot):
    photo, reading = shot("one")
    kept.write_bytes(photo[1][:7])
    record.keep_print(face.face_id, [photo], reading, again=True)
    assert check_record(record) == ()


def test_a_photograph_that_cannot_be_read(record, kept):
    kept.unlink()
    kept.mkdir()
    assert only(record).what == "unreadable"


def test_files_that_nothing_refers_to_are_harmless(record, kept):
    photos = record.home / "photographs"
    (photos / "incoming" / "cut-off").write_bytes(b"half a photo")
    (photos / "holiday.jpg").write_bytes(b"put there by hand")
    stray = record.photo_path("ab" * 32)
    stray.parent.mkdir(exist_ok=True)
    stray.write_bytes(b"kept, but its pass was not")
    kinds = [problem.what for problem in check_record(record)]
    assert sorted(kinds) == ["left over", "not referred to", "not referred to"]
    assert all(problem.is_harmless for problem in check_record(record))
    kept.unlink()
    assert check_record(record)[0].what == "missing"


def test_a_machine_that_was_taken_out_leaves_its_photographs(record, face, kept):
    record.remove_machine(face.machine.machine_id)
    problem = only(record)
    assert problem.is_harmless
    assert "machine that was taken out" in problem.sentence
    assert str(kept) in problem.sentence


@pytest.mark.parametrize(
    ("table", "kind", "told"),
    [
        ("choices", "no reading", f"A print of {WHERE} has no reading"),
        ("print_photographs", "no photograph", f"A print of {WHERE} has no photograph"),
        ("reading_documents", "no reading", "1 reading is not whole"),
    ],
)
def test_a_print_that_lacks_a_part(record, kept, table, kind, told):
    assert kept.is_file()
    with record.writing() as db:
        db.exec_driver_sql(f"DELETE FROM {table}")
    problem = check_record(record)[0]
    assert problem.what == kind
    assert told in problem.sentence


def test_a_print_without_its_reading_is_said_in_words(record, face, kept):
    assert kept.is_file()
    with record.writing() as db:
        db.exec_driver_sql("DELETE FROM choices")
    with pytest.raises(RecordError, match="the record is damaged: check it"):
        record.prints(face.face_id)
    assert len(record.progress(face.face_id)) == 0
    assert len(record.shop()) == 1


def test_references_that_lead_nowhere(in_sqlite, face_in, shot):
    face = face_in(in_sqlite)
    photo, reading = shot("one")
    kept = in_sqlite.keep_print(face.face_id, [photo], reading)
    count = EyeCount(
        print_id=kept.print_id, reading_id=kept.reading_id, x_mm=0.0, y_mm=0.0, side_mm=25.4,
        by_eye=3, by_tool=4,
    )  # fmt: skip
    in_sqlite.add_eye_counts(face.face_id, [count])
    other = sqlite3.connect(in_sqlite.home / "record.sqlite")
    other.execute("UPDATE eye_counts SET reading_id = 99")
    other.execute("DELETE FROM photographs")
    other.execute("DELETE FROM parts")
    other.commit()
    other.close()
    problems = check_record(in_sqlite)
    assert {problem.what for problem in problems} == {"reference"}
    told = " ".join(problem.sentence for problem in problems)
    for name in ("faces", "print_photographs", "readings", "eye_counts"):
        assert f"table '{name}'" in told


def test_a_damaged_file_is_said_and_not_raised(in_sqlite, face_in, shot):
    face = face_in(in_sqlite)
    for text in ("one", "two"):
        photo, reading = shot(text)
        in_sqlite.keep_print(face.face_id, [photo], reading)
    in_sqlite.close()
    path = in_sqlite.home / "record.sqlite"
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        page_size = db.execute("PRAGMA page_size").fetchone()[0]
        sql = "SELECT rootpage FROM sqlite_master WHERE name = 'points'"
        page = db.execute(sql).fetchone()[0]
    db.close()
    data = bytearray(path.read_bytes())
    data[(page - 1) * page_size : page * page_size] = b"\xa5" * page_size
    path.write_bytes(data)
    record = Record.open(in_sqlite.home)
    problems = check_record(record)
    record.close()
    assert problems[0].what == "database"
    assert "bring back a copy" in problems[0].sentence


def test_progress_is_told(record, face, kept, shot):
    photo, reading = shot("two")
    record.keep_print(face.face_id, [photo], reading)
    told = []
    check_record(record, lambda done, of: told.append((done, of)))
    assert told == [(1, 2), (2, 2)]
    assert kept.is_file()


def test_a_check_changes_nothing(record, kept):
    kept.unlink()
    before = sorted(path for path in record.home.rglob("*") if "sqlite-" not in path.name)
    check_record(record)
    after = sorted(path for path in record.home.rglob("*") if "sqlite-" not in path.name)
    assert before == after


def test_kinds_that_are_harmless():
    assert [Problem(what, "").is_harmless for what in (*HARMLESS, "missing")] == [True, True, False]
