"""Photographs are stored as they came, wholly or not at all, and never changed."""

import os
from pathlib import Path

import pytest

from scrapeview.errors import RecordError
from scrapeview.record.photographs import PhotographFolder, sha256_of

PHOTO = bytes(range(256)) * 40


@pytest.fixture
def folder(tmp_path):
    return PhotographFolder(tmp_path)


def test_a_photograph_lies_under_its_hash(folder):
    sha256 = folder.keep(PHOTO)
    assert sha256 == sha256_of(PHOTO)
    assert folder.path_of(sha256).name == sha256
    assert folder.path_of(sha256).read_bytes() == PHOTO == folder.read(sha256)
    assert list(folder.incoming.iterdir()) == []


def test_the_same_photograph_is_written_once(folder):
    path = folder.path_of(folder.keep(PHOTO))
    before = path.stat()
    folder.keep(PHOTO)
    assert (path.stat().st_ino, path.stat().st_mtime_ns) == (before.st_ino, before.st_mtime_ns)
    assert len([file for file in folder.path.rglob("*") if file.is_file()]) == 1


@pytest.mark.parametrize("damage", [b"", PHOTO[:100], PHOTO[:-1] + b"X", PHOTO + b"more"])
def test_a_damaged_one_is_written_anew(folder, damage):
    path = folder.path_of(folder.keep(PHOTO))
    path.write_bytes(damage)
    folder.keep(PHOTO)
    assert path.read_bytes() == PHOTO


def test_it_is_on_the_disk_before_it_has_its_name(folder, monkeypatch):
    """The file is synced before it is renamed, and the folder it gets its name in after."""
    done = []
    real_fsync, real_replace = os.fsync, os.replace

    def fsync(number):
        done.append(("sync", str(Path(f"/proc/self/fd/{number}").readlink())))
        real_fsync(number)

    def replace(source, target):
        done.append(("rename", str(target)))
        real_replace(source, target)

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(os, "replace", replace)
    path = folder.path_of(folder.keep(PHOTO))
    kinds = [kind for kind, _ in done]
    assert kinds[:3] == ["sync", "rename", "sync"]
    assert done[0][1].startswith(str(folder.incoming))
    assert done[1] == ("rename", str(path))
    assert ("sync", str(path.parent)) in done[2:]
    # the folder's own name is new as well
    assert ("sync", str(folder.path)) in done[2:]


@pytest.mark.parametrize("name", ["fsync", "replace"])
def test_cut_off_while_writing_it_leaves_nothing(folder, monkeypatch, name):
    def fail(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, name, fail)
    with pytest.raises(RecordError, match=r"cannot be written .* No space left"):
        folder.keep(PHOTO)
    monkeypatch.undo()
    assert not [file for file in folder.path.rglob("*") if file.is_file()]


def test_one_that_is_missing_is_said_in_words(folder):
    with pytest.raises(RecordError, match=r"abababababab is not in .*bring"):
        folder.read("ab" * 32)


def test_a_folder_that_cannot_be_written_is_said_in_words(tmp_path):
    (tmp_path / "photographs").write_text("a file where the folder should be")
    with pytest.raises(RecordError, match="cannot be written"):
        PhotographFolder(tmp_path).keep(PHOTO)
