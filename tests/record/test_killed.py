"""Killed at any moment while prints are kept, the record opens and holds whole passes only."""

import random
import signal
import time

from keep_in_loop import all_told, photo_of, start_keeper

from scrapeview.record import Record
from scrapeview.record.check import HARMLESS, check_record

KILLS = {"sqlite": 8, "postgresql": 3}
LONGEST_S = 0.2


def killed_while_keeping(*told, after_s):
    """Start a keeper, kill it some time after its first print; return the texts it had kept."""
    keeper, receives = start_keeper(*told, None)
    receives.poll(60)
    time.sleep(after_s)
    keeper.kill()
    keeper.join()
    assert keeper.exitcode == -signal.SIGKILL
    return [text for _, text in all_told(receives)]


def test_killed_in_a_loop(record, face, address, small):
    kills = KILLS["sqlite" if address is None else "postgresql"]
    record.close()
    drawn = random.Random(11)
    said = []
    for number in range(kills):
        told = record.home, address, face.face_id, small, f"keeper {number}"
        said += killed_while_keeping(*told, after_s=drawn.uniform(0, LONGEST_S))
        again = Record.open(record.home, address)
        assert_whole(again, face.face_id, said)
        again.close()
    assert len(said) >= kills


def assert_whole(record, face_id, said):
    problems = check_record(record)
    assert {problem.what for problem in problems} <= set(HARMLESS), problems
    progress = record.progress(face_id)
    assert list(progress["number"]) == list(range(1, len(progress) + 1))
    passes = record.passes(face_id)
    assert len(passes) == len(progress)
    # what a keeper had said it kept is there; the one it was killed in may be as well
    assert set(said) <= set(progress["notes"])
    entries = {printed.print_id: printed for printed in record.prints(face_id)}
    for entry in passes[-4:]:
        (print_id,) = entry.print_ids
        printed = entries[print_id]
        assert record.reading(printed.current_reading_id).reason == entry.scrape.notes
        for number, sha256 in enumerate(printed.photo_sha256s):
            assert record.photo(sha256) == photo_of(f"{entry.scrape.notes} {number}")
