"""Several threads and programs keep prints at once: none is lost, none is mixed up."""

import dataclasses
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from keep_in_loop import all_told, photo_of, start_keeper

from scrapeview.errors import RecordError
from scrapeview.record import Record, Scrape
from scrapeview.record.check import check_record

THREADS, EACH = 4, 3


def at_once(work, count):
    """Do work(0), work(1) ... each in a thread of its own, all begun together."""
    gate = threading.Barrier(count)

    def begin(number):
        gate.wait()
        return work(number)

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(begin, range(count)))


def assert_whole_and_unmixed(record, face_id, texts):
    """Every text has one pass with its own photograph, reading and notes."""
    passes = record.passes(face_id)
    assert [entry.number for entry in passes] == list(range(1, len(texts) + 1))
    assert sorted(entry.scrape.notes for entry in passes) == sorted(texts)
    entries = {printed.print_id: printed for printed in record.prints(face_id)}
    for entry in passes:
        (print_id,) = entry.print_ids
        reading = record.reading(entries[print_id].current_reading_id)
        assert reading.reason == entry.scrape.notes
        assert reading.photo_sha256 in entries[print_id].photo_sha256s
        assert record.photo_name(reading.photo_sha256).startswith(entry.scrape.notes)
    assert check_record(record) == ()


def test_threads_keep_prints_of_one_face(record, face, shot):
    def keep(thread):
        for number in range(EACH):
            text = f"{thread} {number}"
            photo, reading = shot(text)
            own = dataclasses.replace(reading, reason=text)
            record.keep_print(face.face_id, [photo], own, Scrape(notes=text))

    at_once(keep, THREADS)
    texts = [f"{thread} {number}" for thread in range(THREADS) for number in range(EACH)]
    assert_whole_and_unmixed(record, face.face_id, texts)


def test_programs_keep_prints_of_one_face(record, face, address, small):
    names = ("bench", "phone", "office")
    told = record.home, address, face.face_id, small
    keepers = [start_keeper(*told, name, EACH) for name in names]
    said = [pair for _, receives in keepers for pair in all_told(receives)]
    for keeper, _ in keepers:
        keeper.join()
        assert keeper.exitcode == 0
    texts = [f"{name} {number}" for name in names for number in range(EACH)]
    assert sorted(text for _, text in said) == sorted(texts)
    numbers = {entry.scrape.notes: entry.number for entry in record.passes(face.face_id)}
    assert all(numbers[text] == number for number, text in said)
    assert_whole_and_unmixed(record, face.face_id, texts)
    first = record.prints(face.face_id)[0].photo_sha256s[0]
    assert record.photo(first) == photo_of(record.photo_name(first).removesuffix(".jpg"))


def test_only_one_of_many_begins_the_pass_that_waits(record, face):
    def begin(_):
        try:
            return record.begin_pass(face.face_id, Scrape()).number
        except RecordError as error:
            return str(error)

    answers = at_once(begin, THREADS)
    assert answers.count(1) == 1
    assert sum("waits for its print" in str(answer) for answer in answers) == THREADS - 1
    assert len(record.passes(face.face_id)) == 1


def test_the_same_photograph_from_two_tabs_is_kept_once(record, face, shot):
    photo, reading = shot("one")

    def keep(_):
        try:
            return record.keep_print(face.face_id, [photo], reading).pass_number
        except RecordError as error:
            return str(error)

    answers = at_once(keep, THREADS)
    assert answers.count(1) == 1
    assert sum("kept already" in str(answer) for answer in answers) == THREADS - 1


def test_the_same_name_from_many_is_given_once(record):
    def add(_):
        try:
            return record.add_machine("Invented lathe").name
        except RecordError as error:
            return str(error)

    answers = at_once(add, THREADS)
    assert answers.count("Invented lathe") == 1
    assert sum("already" in answer for answer in answers) == THREADS - 1


@pytest.mark.parametrize("at", ["at first", "later"])
def test_many_open_an_empty_record_at_once(tmp_path, address, at):
    if at == "later":
        Record.open(tmp_path, address).close()

    def opened(number):
        record = Record.open(tmp_path, address)
        record.set_setting(f"told {number}", number)
        record.close()

    at_once(opened, THREADS)
    record = Record.open(tmp_path, address)
    assert [record.setting(f"told {n}", None) for n in range(THREADS)] == list(range(THREADS))
    record.close()


def test_pages_look_while_prints_are_kept(record, face, shot):
    """What a reader sees always fits together: no pass without its print."""
    done = threading.Event()
    seen = []

    def look():
        while not done.is_set():
            seen.append((len(record.progress(face.face_id)), record.shop()["waiting"][0]))

    looker = threading.Thread(target=look)
    looker.start()
    for number in range(EACH * 2):
        photo, reading = shot(str(number))
        record.keep_print(face.face_id, [photo], reading)
    done.set()
    looker.join()
    lengths = [length for length, _ in seen]
    assert lengths == sorted(lengths)
    assert all(not waiting for length, waiting in seen if length)
