"""A program that keeps prints of one face until it is done, or is killed."""

import dataclasses
import hashlib
import multiprocessing
import sys
from contextlib import contextmanager
from itertools import count, islice
from types import ModuleType

from scrapeview.record import Record, Scrape

# one server that has imported everything forks the keepers, so that each begins at once
PROGRAMS = multiprocessing.get_context("forkserver")
PROGRAMS.set_forkserver_preload(["scrapeview.record", "scrapeview.simulate"])


def photo_of(text):
    """Bytes that are no picture, some thousand so that a cut is noticed."""
    return f"invented photograph {text} ".encode() * 2000


def keep_prints(home, url, face_id, reading, name, most, told):
    """Keep `most` prints, or prints for ever where it is None; tell number and text of each.

    Every print has two photographs; its text stands in the pass's notes and the reading's reason.
    """
    with told:
        record = Record.open(home, url)
        for number in islice(count(), most):
            text = f"{name} {number}"
            photos = [(f"{text} {n}.jpg", photo_of(f"{text} {n}")) for n in range(2)]
            digest = hashlib.sha256(photos[0][1]).hexdigest()
            own = dataclasses.replace(reading, photo_sha256=digest, reason=text)
            kept = record.keep_print(face_id, photos, own, Scrape(who=name, notes=text))
            told.send((kept.pass_number, text))
        record.close()


def start_keeper(*told):
    """Start `keep_prints` as a program of its own; return it and the pipe it tells through."""
    receives, sends = PROGRAMS.Pipe(duplex=False)
    keeper = PROGRAMS.Process(target=keep_prints, args=(*told, sends))
    with _no_main_of_its_own():
        keeper.start()
    sends.close()
    return keeper, receives


@contextmanager
def _no_main_of_its_own():
    """A program started while pages are tested would run what they left as the main one."""
    main = sys.modules["__main__"]
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = main


def all_told(receives):
    """Return what a keeper told until it ended."""
    said = []
    with receives:
        try:
            while True:
                said.append(receives.recv())
        except (EOFError, OSError):
            return said
