"""The passphrase is plain words, drawn by chance, and never kept itself."""

import json
import math
import os
import re
import stat

import pytest

from scrapeview.errors import ServeError
from scrapeview.serve.passphrase import (
    WORDS_IN_PASSPHRASE,
    LockFile,
    lock_for,
    new_passphrase,
)
from scrapeview.serve.words import WORDS

POSIX = pytest.mark.skipif(os.name != "posix", reason="file modes are of POSIX systems")


def test_the_words_are_plain_short_and_all_different():
    assert len(set(WORDS)) == len(WORDS) > 900
    assert [word for word in WORDS if not re.fullmatch(r"[a-z]{3,9}", word)] == []


def test_a_passphrase_is_one_of_very_many():
    assert WORDS_IN_PASSPHRASE * math.log2(len(WORDS)) > 39
    made = {new_passphrase() for _ in range(50)}
    assert len(made) == 50
    assert all(len(words.split()) == WORDS_IN_PASSPHRASE for words in made)
    assert {word for words in made for word in words.split()} <= set(WORDS)


def test_only_the_very_words_open_the_lock():
    lock = lock_for("oak river lamp plum")
    assert lock.opens("oak river lamp plum")
    assert lock.opens(" Oak-River  lamp\tPLUM\n")
    for wrong in ("", "oak river lamp", "oak river lamp plums", "river oak lamp plum", "\ud800"):
        assert not lock.opens(wrong)
    assert not lock.opens("oak river lamp plum" + " " * 200)


def test_the_same_passphrase_is_kept_differently_each_time():
    one, other = lock_for("oak river"), lock_for("oak river")
    assert one.salt != other.salt
    assert one.passphrase_hash != other.passphrase_hash
    assert one.signing_key != other.signing_key


def test_the_file_holds_no_word_of_it(tmp_path):
    lock_file = LockFile(tmp_path / "new" / "folder")
    assert not lock_file.exists()
    passphrase = lock_file.renew()
    assert lock_file.exists()
    # names of the file's fields, and letters of a hexadecimal number, may be words of the list
    kept = {
        name: bytes.fromhex(value) for name, value in json.loads(lock_file.path.read_text()).items()
    }
    assert set(kept) == {"salt", "passphrase_hash", "signing_key"}
    assert not [w for w in passphrase.split() if w.encode() in b" ".join(kept.values()).lower()]
    assert lock_file.lock().opens(passphrase)
    assert LockFile(tmp_path / "new" / "folder").lock().opens(passphrase)
    assert [path.name for path in lock_file.path.parent.iterdir()] == [lock_file.path.name]


@POSIX
def test_the_file_is_its_owner_s_alone_whatever_the_umask(tmp_path):
    before = os.umask(0)
    try:
        lock_file = LockFile(tmp_path)
        lock_file.renew()
    finally:
        os.umask(before)
    assert stat.S_IMODE(lock_file.path.stat().st_mode) == 0o600


@POSIX
def test_a_file_that_others_may_read_is_closed_to_them_again(tmp_path):
    LockFile(tmp_path).renew()
    lock_file = LockFile(tmp_path)
    lock_file.path.chmod(0o644)
    lock_file.lock()
    assert stat.S_IMODE(lock_file.path.stat().st_mode) == 0o600


def test_a_new_passphrase_counts_at_once_in_a_server_that_runs(tmp_path):
    running, command = LockFile(tmp_path), LockFile(tmp_path)
    old = running.renew()
    assert running.lock().opens(old)
    new = command.renew()
    assert running.lock().opens(new)
    assert not running.lock().opens(old)


@pytest.mark.parametrize("spoilt", ["", "{}", "[]", "null", "\x00", '{"salt": 1}'])
def test_a_spoilt_file_is_refused_in_words(tmp_path, spoilt):
    lock_file = LockFile(tmp_path)
    lock_file.path.write_text(spoilt)
    with pytest.raises(ServeError, match="--new-passphrase"):
        lock_file.lock()


@pytest.mark.parametrize("part", ["salt", "passphrase_hash", "signing_key"])
def test_a_file_with_an_empty_key_opens_nothing(tmp_path, part):
    lock_file = LockFile(tmp_path)
    lock_file.renew()
    kept = json.loads(lock_file.path.read_text())
    lock_file.path.write_text(json.dumps({**kept, part: ""}))
    with pytest.raises(ServeError):
        lock_file.lock()


def test_a_folder_that_cannot_be_written_is_said_in_words(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(ServeError, match="cannot be kept"):
        LockFile(tmp_path / "file" / "below").renew()
