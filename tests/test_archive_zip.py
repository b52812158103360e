"""Archives from outside: what is damaged or hostile is refused before anything comes of it."""

import hashlib
import io
import json
import struct
import zipfile
from contextlib import nullcontext

import pytest

from scrapeview import archive_members, archive_zip
from scrapeview.archive_manifest import FORMAT, KIND, Manifest, manifest_json
from scrapeview.archive_members import MAX_RATIO, Member, kind_of
from scrapeview.archive_zip import open_archive
from scrapeview.errors import ArchiveError

PHOTO = b"\xff\xd8\xff invented"
PHOTO_NAME = f"photographs/{hashlib.sha256(PHOTO).hexdigest()}.jpg"
CONTENT = {"record.json": b"{}", PHOTO_NAME: PHOTO, "readings/000001.json": b"[1]"}


def told(name, data, **changed):
    return {"name": name, "size_bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()} | (
        changed
    )


def manifest_of(content, **changed):
    members = [told(name, data) for name, data in content.items()]
    whole = {"kind": KIND, "format": FORMAT, "scrapeview": "0", "made_at_utc": "", "machine": "M"}
    return json.dumps(whole | {"members": members} | changed).encode()


def packed(members, method=zipfile.ZIP_STORED):
    """Zip any members, also those that no archive has: (name or ZipInfo, data) pairs."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", method) as file:
        for name, data in members:
            file.writestr(name, data)
    return held.getvalue()


def archive_of(content, manifest=None):
    manifest = manifest_of(content) if manifest is None else manifest
    return packed([("manifest.json", manifest), *content.items()])


def content_of(data):
    with open_archive(io.BytesIO(data)) as archive:
        for name in archive.members:
            archive.verify(name)
        return {name: archive.read(name) for name in archive.members}


def refused(data):
    """One plain sentence, whether at opening or at reading all members."""
    with pytest.raises(ArchiveError) as caught:
        content_of(data)
    message = str(caught.value)
    assert message.startswith("The archive is refused and nothing was changed, because ")
    assert message.endswith(".")
    assert "\n" not in message
    return message


def test_a_sound_archive_is_read():
    assert content_of(archive_of(CONTENT)) == CONTENT
    with open_archive(io.BytesIO(archive_of(CONTENT))) as archive:
        assert archive.verify(PHOTO_NAME) == PHOTO
        assert archive.manifest.machine == "M"


def test_a_sound_archive_is_read_from_a_path_which_stays(tmp_path):
    path = tmp_path / "machine.zip"
    path.write_bytes(archive_of(CONTENT))
    with open_archive(path) as archive:
        assert archive.read("record.json") == b"{}"
    assert path.read_bytes() == archive_of(CONTENT)


def test_the_manifest_comes_back_as_it_was_written():
    manifest = Manifest("1.2", "2030-01-02T03:04:05+00:00", "Lathe", (Member("a", 1, "0" * 64),))
    content = json.loads(manifest_json(manifest))
    assert content["format"] == FORMAT
    assert content["members"] == [{"name": "a", "size_bytes": 1, "sha256": "0" * 64}]


@pytest.mark.parametrize(
    "name",
    [
        "../record.json", "readings/../../x.json", "/etc/x", "C:record.json", "C:\\x", "a\\b.json",
        "readings\\000001.json", "//server/x", "..", "readings/../record.json",
    ],
)  # fmt: skip
def test_names_that_lead_out_of_the_archive_are_refused(name):
    info = zipfile.ZipInfo("record.json")
    info.filename = info.orig_filename = name
    assert "outside" in refused(packed([("manifest.json", manifest_of(CONTENT)), (info, b"x")]))


@pytest.mark.parametrize(
    "name",
    ["x.exe", "readings/1.json", "readings/000001.json/", "photographs/", "./record.json", "",
     "photographs/" + "A" * 64 + ".jpg", "readings/０00001.json", "record.json ", "record.json\n"],
)  # fmt: skip
def test_names_that_no_archive_has_are_refused(name):
    with pytest.raises(ArchiveError, match="no part of an archive"):
        kind_of(name)


@pytest.mark.parametrize("other", ["record.json", "RECORD.json", "Readings/000001.json"])
def test_names_that_are_the_same_on_some_computer_are_refused(other):
    members = [("manifest.json", manifest_of(CONTENT)), *CONTENT.items()]
    with pytest.warns(UserWarning, match="Duplicate") if other in CONTENT else nullcontext():
        data = packed([*members, (other, b"x")])
    assert "two files of the same name" in refused(data)


def test_a_name_cut_by_a_zero_is_refused():
    data = archive_of(CONTENT).replace(b"readings/000001.json", b"record.json\0" + b"1.json99")
    assert refused(data)


@pytest.mark.parametrize("mode", [0o120777, 0o040755, 0o010644, 0o020644])
def test_links_and_other_things_that_are_no_files_are_refused(mode):
    info = zipfile.ZipInfo("record.json")
    info.external_attr = mode << 16
    data = packed([("manifest.json", manifest_of({"record.json": b"/etc"})), (info, b"/etc")])
    assert "no plain file" in refused(data)


@pytest.mark.parametrize("flag", [0x1, 0x40, 0x2000])
def test_encrypted_members_are_refused(flag):
    data = bytearray(archive_of(CONTENT))
    entry = data.rindex(b"PK\x01\x02")
    data[entry + 8 : entry + 10] = struct.pack("<H", flag)
    assert "encrypted" in refused(bytes(data))


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_other_ways_of_packing_are_refused(method):
    assert "packed in a way" in refused(packed([("record.json", b"{}" * 99)], method))


def test_members_beside_the_manifest_or_missing_are_refused():
    more = CONTENT | {"readings/000002.json": b"x"}
    assert "not in its manifest" in refused(archive_of(more, manifest_of(CONTENT)))
    assert "missing" in refused(archive_of(CONTENT, manifest_of(more)))
    assert "no manifest" in refused(packed(CONTENT.items()))
    assert "no manifest" in refused(packed([]))
    assert refused(archive_of({"readings/000001.json": b"[1]"}))


@pytest.mark.parametrize(
    "changed", [{"sha256": "0" * 64}, {"size_bytes": 1}, {"size_bytes": 3}, {"size_bytes": 10**30}]
)
def test_wrong_hashes_and_sizes_are_refused(changed):
    members = [told(name, data) for name, data in CONTENT.items()]
    members[0] |= changed
    message = refused(archive_of(CONTENT, manifest_of(CONTENT, members=members)))
    assert "'record.json' is not what its manifest says" in message


def test_reading_and_checking_a_member_each_find_a_wrong_hash():
    members = [told(name, data) for name, data in CONTENT.items()]
    members[0]["sha256"] = "0" * 64
    data = archive_of(CONTENT, manifest_of(CONTENT, members=members))
    with open_archive(io.BytesIO(data)) as archive:
        for found in (archive.read, archive.verify):
            with pytest.raises(ArchiveError, match="is not what its manifest says"):
                found("record.json")


def test_a_zip_with_a_comment_is_refused():
    held = io.BytesIO(archive_of(CONTENT))
    with zipfile.ZipFile(held, "a") as packed:
        packed.comment = b"PK"
    assert "no zip file" in refused(held.getvalue())


@pytest.mark.parametrize(
    "changed",
    [
        {"format": FORMAT + 1}, {"format": 10**400}, {"format": 0}, {"format": True},
        {"format": "1"}, {"kind": "other"}, {"members": {}}, {"members": [1]}, {"members": [{}]},
        {"machine": 1}, {"more": 1}, {"members": [told("record.json", b"", sha256="x")]},
        {"members": [told("record.json", b"", size_bytes=-1)]},
        {"members": [told("record.json", b"", size_bytes=True)]},
        {"members": [told("record.json", b"{}")] * 2},
    ],
)  # fmt: skip
def test_manifests_that_are_none_are_refused(changed):
    assert refused(archive_of(CONTENT, manifest_of(CONTENT, **changed)))


@pytest.mark.parametrize(
    "manifest",
    [b"", b"{", b"[]", b"1", b"\xff\xfe", b"NaN", b"[" * 100_000, b'{"kind":' * 50_000,
     b'{"kind": "a", "kind": "b"}', manifest_of(CONTENT)[:-1], b"1" * 10_000],
    ids=range(11),
)  # fmt: skip
def test_manifests_that_are_no_json_are_refused(manifest):
    assert refused(archive_of(CONTENT, manifest))


def test_a_newer_format_says_what_to_do():
    manifest = manifest_of(CONTENT, format=FORMAT + 1)
    assert "update scrapeview" in refused(archive_of(CONTENT, manifest))


def test_a_manifest_too_large_is_refused_unread(monkeypatch):
    manifest = manifest_of(CONTENT)
    small = archive_members.MemberKind("manifest", archive_members._KINDS[0].pattern, 100)
    monkeypatch.setattr(archive_members, "_KINDS", (small, *archive_members._KINDS[1:]))
    monkeypatch.setattr(archive_zip, "read_manifest", lambda _: pytest.fail("was read"))
    assert len(manifest) > 100
    assert "more than a manifest can have" in refused(archive_of(CONTENT, manifest))


def zip_bomb(size):
    return packed(
        [("manifest.json", manifest_of(CONTENT)), ("record.json", bytes(size))],
        zipfile.ZIP_DEFLATED,
    )


def test_what_unpacks_to_far_more_is_refused_before_unpacking(monkeypatch):
    bomb = zip_bomb(2**24)
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda *_, **__: pytest.fail("was unpacked"))
    assert f"more than {MAX_RATIO} times" in refused(bomb)


def test_what_unpacks_to_too_much_in_all_is_refused(monkeypatch):
    monkeypatch.setattr(archive_zip, "MAX_TOTAL_BYTES", 100)
    assert "unpacks to more than" in refused(archive_of(CONTENT))


def understated(size, told_size):
    """A member whose headers say that it is smaller than what it unpacks to."""
    data = bytearray(zip_bomb(size))
    for mark, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        header = data.rindex(mark)
        assert data[header + at : header + at + 4] == struct.pack("<I", size)
        data[header + at : header + at + 4] = struct.pack("<I", told_size)
    return bytes(data)


@pytest.mark.parametrize("told_size", [0, 2, 60_000])
def test_a_header_that_understates_a_size_gains_nothing(told_size):
    assert refused(understated(2**24, told_size))


def test_no_more_is_unpacked_than_the_manifest_says(monkeypatch):
    content = {"record.json": bytes(50_000)}
    members = [told("record.json", content["record.json"])]
    with open_archive(io.BytesIO(archive_of(content, manifest_of({}, members=members)))) as archive:
        archive.members["record.json"] = Member("record.json", 1000, members[0]["sha256"])
        monkeypatch.setattr(archive_zip, "_CHUNK", 512)
        with pytest.raises(ArchiveError, match="more than it should"):
            archive.read("record.json")


def test_members_that_lie_over_one_another_are_refused():
    data = bytearray(archive_of(CONTENT))
    last = data.rindex(b"PK\x01\x02")
    data[last + 42 : last + 46] = struct.pack("<I", 0)
    assert "lies over another" in refused(bytes(data))


def test_more_files_than_an_archive_holds_are_refused_before_the_directory_is_read(monkeypatch):
    data = archive_of(CONTENT)
    monkeypatch.setattr(archive_zip, "MAX_MEMBERS", 3)
    monkeypatch.setattr(zipfile, "ZipFile", lambda *_: pytest.fail("was read"))
    assert "holds 4 files" in refused(data)


def test_archives_of_very_many_members_are_read(monkeypatch):
    monkeypatch.setattr(zipfile, "ZIP_FILECOUNT_LIMIT", 2)
    data = archive_of(CONTENT)
    assert b"PK\x06\x06" in data
    assert content_of(data) == CONTENT
    for at in range(len(data) - 98, len(data)):
        wrong = bytearray(data)
        wrong[at] ^= 0x55
        read_or_refused(bytes(wrong))


def read_or_refused(data):
    """Whatever is wrong with the bytes, all is as it was or one plain sentence."""
    try:
        assert content_of(data) == CONTENT
    except ArchiveError:
        return True
    return False


def test_cut_short_anywhere_it_is_refused():
    data = archive_of(CONTENT)
    assert all(read_or_refused(data[:length]) for length in range(len(data)))


@pytest.mark.parametrize("before", [b"x", b"PK\x03\x04" * 20])
def test_what_stands_before_or_behind_a_zip_is_refused(before):
    data = archive_of(CONTENT)
    assert refused(before + data)
    assert refused(data + before)


def test_any_one_changed_byte_is_refused_or_changes_nothing():
    data = archive_of(CONTENT)
    found = []
    for at in range(len(data)):
        wrong = bytearray(data)
        wrong[at] ^= 1 << (at % 8)
        found.append(read_or_refused(bytes(wrong)))
    assert sum(found) > len(data) / 2


def test_files_that_cannot_be_opened_are_refused(tmp_path):
    for path in (tmp_path / "missing.zip", tmp_path, tmp_path / ("n" * 300)):
        with pytest.raises(ArchiveError, match="cannot be opened"), open_archive(path):
            pass
