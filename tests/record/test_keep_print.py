"""A pass and its print are kept wholly or not at all, in order, each photograph once."""

import dataclasses
import math

import pytest

from scrapeview.errors import RecordError
from scrapeview.record import FacePlan, Kept, Scrape

TOLD = Scrape(who="Anna", scraping="spacing out", metal_um=4.5, hours=1.25, notes="left end high")


def rows_of(record):
    """Number of rows of every table that a print goes into."""
    tables = ("passes", "prints", "print_photographs", "photographs", "readings", "points")
    with record.looking() as db:
        return [db.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar() for name in tables]


def test_a_print_is_kept_with_all_that_was_told(record, face, shot):
    photo, reading = shot("one")
    kept = record.keep_print(face.face_id, [photo], reading, TOLD, placement="left half")
    assert kept == Kept(1, kept.pass_id, kept.print_id, kept.reading_id)
    (entry,) = record.passes(face.face_id)
    assert (entry.pass_id, entry.number, entry.scrape) == (kept.pass_id, 1, TOLD)
    assert entry.print_ids == (kept.print_id,)
    (printed,) = record.prints(face.face_id)
    assert printed == record.print_entry(kept.print_id)
    assert printed.placement == "left half"
    assert printed.photo_sha256s == (reading.photo_sha256,)
    assert printed.reading_ids == (kept.reading_id,)
    assert printed.current_reading_id == kept.reading_id
    assert record.plane(kept.reading_id).as_dict() == reading.plane.as_dict()


def test_photographs_come_back_byte_by_byte(record, face, shot):
    (name, photo), reading = shot("one")
    second = "second.png", bytes(range(256)) * 300
    kept = record.keep_print(face.face_id, [(name, photo), second], reading)
    first_hash, second_hash = record.print_entry(kept.print_id).photo_sha256s
    assert record.photo(first_hash) == photo
    assert record.photo(second_hash) == second[1] == record.photo_path(second_hash).read_bytes()
    assert record.photo_name(first_hash) == name
    assert record.photo_name(second_hash) == "second.png"
    assert record.where_kept(second_hash) == ("Invented grinder, cross slide: flat way, pass 1",)
    assert record.where_kept("0" * 64) == ()


def test_passes_are_numbered_in_order(record, face, shot):
    assert record.next_pass_number(face.face_id) == 1
    numbers = []
    for text in ("one", "two", "three"):
        photo, reading = shot(text)
        numbers.append(record.keep_print(face.face_id, [photo], reading).pass_number)
    assert numbers == [1, 2, 3]
    assert record.next_pass_number(face.face_id) == 4


def test_a_pass_that_was_begun_gets_the_next_print(record, face, shot):
    begun = record.begin_pass(face.face_id, TOLD)
    assert (begun.number, begun.scrape, begun.print_ids) == (1, TOLD, ())
    with pytest.raises(RecordError, match="Pass 1 of this face waits for its print"):
        record.begin_pass(face.face_id, Scrape())
    photo, reading = shot("one")
    kept = record.keep_print(face.face_id, [photo], reading)
    assert (kept.pass_id, kept.pass_number) == (begun.pass_id, 1)
    assert record.passes(face.face_id)[0].scrape == TOLD
    following = record.begin_pass(face.face_id, Scrape())
    assert following.number == 2
    photo, reading = shot("two")
    kept = record.keep_print(face.face_id, [photo], reading, TOLD, pass_number=2)
    assert kept.pass_id == following.pass_id
    assert record.passes(face.face_id)[1].scrape == TOLD


def test_a_pass_takes_prints_of_several_placements(record, face, shot):
    for text, number in (("one", None), ("two", 1), ("three", 2), ("four", 1)):
        photo, reading = shot(text)
        record.keep_print(face.face_id, [photo], reading, placement=text, pass_number=number)
    assert [len(entry.print_ids) for entry in record.passes(face.face_id)] == [3, 1]
    placements = [printed.placement for printed in record.prints(face.face_id)]
    assert placements == ["one", "two", "four", "three"]


@pytest.mark.parametrize("number", [0, -1, 3])
def test_a_pass_that_is_not_there_is_refused(in_sqlite, face_in, shot, number):
    face = face_in(in_sqlite)
    photo, reading = shot("one")
    in_sqlite.keep_print(face.face_id, [photo], reading)
    before = rows_of(in_sqlite)
    photo, reading = shot("two")
    with pytest.raises(RecordError, match=f"no pass {number}: the next one is 2"):
        in_sqlite.keep_print(face.face_id, [photo], reading, pass_number=number)
    assert rows_of(in_sqlite) == before


def test_the_same_photograph_is_noticed(record, face, shot):
    photo, reading = shot("one")
    record.keep_print(face.face_id, [photo], reading)
    before = rows_of(record)
    with pytest.raises(RecordError, match="kept already, as pass 1 of this face"):
        record.keep_print(face.face_id, [("other name.jpg", photo[1])], reading)
    assert rows_of(record) == before
    assert record.keep_print(face.face_id, [photo], reading, again=True).pass_number == 2
    other = record.add_face(face.part.part_id, FacePlan(name="other", shape="free"))
    assert record.keep_print(other.face_id, [photo], reading).pass_number == 1
    assert record.photo_name(reading.photo_sha256) == "one.jpg"
    assert [place.split(": ")[1] for place in record.where_kept(reading.photo_sha256)] == [
        "flat way, pass 1", "flat way, pass 2", "other, pass 1",
    ]  # fmt: skip


def test_what_does_not_belong_together_is_refused_and_changes_nothing(record, face, shot):
    (photo, reading), (other, _) = shot("one"), shot("two")
    keep = record.keep_print
    for photos, told in (
        ([], "at least one photograph"),
        ([other], "another photograph"),
        ([photo, photo], "given twice"),
    ):
        with pytest.raises(RecordError, match=told):
            keep(face.face_id, photos, reading)
    with pytest.raises(RecordError, match="not in the record"):
        keep(face.face_id + 1, [photo], reading)
    assert rows_of(record) == [0] * 6
    assert not list(record.home.rglob("?" * 64))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"scraping": "planing"}, "no scraping 'planing'"),
        ({"metal_um": -1.0}, "0 to 1000 um"),
        ({"hours": math.inf}, "0 to 1000 hours"),
        ({"who": "x" * 300}, "too long"),
        ({"notes": "\x00"}, "cannot be stored"),
    ],
)
def test_a_scraping_that_cannot_be_is_refused(in_sqlite, face_in, shot, changes, told):
    face = face_in(in_sqlite)
    entry = in_sqlite.begin_pass(face.face_id, TOLD)
    bad = dataclasses.replace(TOLD, **changes)
    photo, reading = shot("one")
    for ask in (
        lambda: in_sqlite.change_pass(entry.pass_id, bad),
        lambda: in_sqlite.keep_print(face.face_id, [photo], reading, bad),
    ):
        with pytest.raises(RecordError, match=told):
            ask()
    assert in_sqlite.passes(face.face_id) == (entry,)
    assert rows_of(in_sqlite) == [1, 0, 0, 0, 0, 0]


def test_what_was_told_of_a_pass_changes(record, face):
    entry = record.begin_pass(face.face_id, Scrape())
    assert entry.scrape == Scrape()
    changed = record.change_pass(entry.pass_id, TOLD)
    assert changed == dataclasses.replace(entry, scrape=TOLD)
    assert record.passes(face.face_id) == (changed,)
    emptied = record.change_pass(entry.pass_id, Scrape(metal_um=math.nan, hours=0))
    assert emptied.scrape == Scrape(hours=0.0)


def test_a_print_that_fails_half_way_leaves_nothing(record, face, shot, monkeypatch):
    """The last row that is written is refused: all before it must be gone as well."""
    photo, reading = shot("one")
    record.keep_print(face.face_id, [photo], reading)
    before = rows_of(record)

    def refuse(*_):
        raise RecordError("refused for the test")

    monkeypatch.setattr("scrapeview.record.prints.choose_reading", refuse)
    photo, reading = shot("two")
    with pytest.raises(RecordError, match="refused for the test"):
        record.keep_print(face.face_id, [photo], reading)
    monkeypatch.undo()
    assert rows_of(record) == before
    assert record.keep_print(face.face_id, [photo], reading).pass_number == 2
