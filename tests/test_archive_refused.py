"""Archives that say what cannot be: refused in one sentence, with nothing in the record changed."""

import dataclasses
import hashlib
import io
import json
import random

import pytest
from packed import members_of, zip_of

from scrapeview import archive
from scrapeview.archive import read_archive, write_zip
from scrapeview.errors import ArchiveError
from scrapeview.face_reading import read_for_face
from scrapeview.placements import Placement
from scrapeview.record import (
    EyeCount,
    FacePlan,
    FilmCalibration,
    LineCheck,
    Record,
    Scrape,
    SwingTest,
)
from scrapeview.record.photographs import sha256_of

SEED = 2
FUZZ_CASES = 110


@pytest.fixture(scope="module")
def members(tmp_path_factory, printed, plane_of):
    """The members of a sound archive: one machine, one face, two passes, three readings."""
    record = Record.open(tmp_path_factory.mktemp("shop"))
    shot = printed("sparse", SEED)
    w, h = shot.size_mm
    plan = FacePlan(name="way", width_mm=w, height_mm=h, marking=shot.marking)
    machine = record.add_machine("Mill")
    face = record.add_face(record.add_part(machine.machine_id, "Table").part_id, plan)
    reading = read_for_face(plan, shot.jpeg, plane_of(shot))
    small = dataclasses.replace(reading, points=reading.points.iloc[:5].reset_index(drop=True))
    kept = record.keep_print(face.face_id, [("p.jpg", shot.jpeg)], small, Scrape(who="N. N."))
    record.add_reading(kept.print_id, small, "again")
    # as if it were a map that was joined from another photograph
    part = b"\xff\xd8\xff a part of it"
    sha256s = [sha256_of(photo) for photo in (shot.jpeg, part)]
    record.keep_print(
        face.face_id, [("p.jpg", shot.jpeg), ("part.jpg", part)], small, again=True,
        joined={"picture_sha256": sha256s[0], "photos": {"sha256": sha256s[1:]}},
        placement=Placement(name="left", start_mm=0.0, length_mm=9.5),
    )  # fmt: skip
    count = EyeCount(
        print_id=kept.print_id, reading_id=kept.reading_id, x_mm=1.0, y_mm=2.0, side_mm=25.4,
        by_eye=3, by_tool=4,
    )  # fmt: skip
    record.add_eye_counts(face.face_id, [count])
    record.add_swing_test(face.face_id, SwingTest(pass_number=1, result="even"))
    film = FilmCalibration(um=2.0, low_um=1.0, high_um=3.0, how="shim", pass_number=1)
    record.add_film_calibration(face.face_id, film)
    check = LineCheck(
        pass_number=2, what="step", between="l, r", value_um=1.0, instrument="indicator"
    )
    record.add_line_check(face.face_id, check)
    held = io.BytesIO()
    write_zip(record, machine.machine_id, held)
    record.close()
    return members_of(held.getvalue())


def state_of(record):
    """All rows of all tables, and all files of the record's folder but the database's own."""
    from sqlalchemy import select

    from scrapeview.record.schema import METADATA

    with record.looking() as db:
        rows = {
            name: sorted(map(repr, db.execute(select(each)).all()))
            for name, each in METADATA.tables.items()
        }
    files = {
        path.relative_to(record.home): path.read_bytes() if path.is_file() else None
        for path in sorted(record.home.rglob("*"))
        if "sqlite" not in path.name
    }
    return rows, files


@pytest.fixture(scope="module")
def used(tmp_path_factory):
    """A record with something in it, which must stay as it is."""
    record = Record.open(tmp_path_factory.mktemp("used"))
    record.add_part(record.add_machine("Lathe", "in use").machine_id, "Bed")
    yield record
    record.close()


def refused(record, data):
    before = state_of(record)
    with pytest.raises(ArchiveError) as caught:
        read_archive(record, io.BytesIO(data))
    assert state_of(record) == before
    message = str(caught.value)
    assert message.startswith("The archive is refused and nothing was changed, because ")
    assert message.endswith(".")
    assert "\n" not in message
    return message


def test_the_archive_of_these_tests_is_sound(members, tmp_path):
    record = Record.open(tmp_path)
    assert read_archive(record, io.BytesIO(zip_of(members))).name == "Mill"
    assert len(record.machines()) == 1
    record.close()


def changed(members, where, value):
    """The members with one value of record.json changed; `where` is its path."""
    told = json.loads(members["record.json"])
    inner = told
    for key in where[:-1]:
        inner = inner[key]
    if value is KeyError:
        del inner[where[-1]]
    else:
        inner[where[-1]] = value
    return members | {"record.json": json.dumps(told).encode()}


FACE = ("parts", 0, "faces", 0)
PLAN = (*FACE, "plan")
PASS = (*FACE, "passes", 0)
PRINT = (*PASS, "prints", 0)
COUNT = (*PRINT, "eye_counts", 0)
SWUNG = (*FACE, "swing_tests", 0)
TARGET = (*PLAN, "target")
MAP = (*FACE, "passes", 1, "prints", 0)
WHERE = (*MAP, "placement")
FILM = (*FACE, "film_calibrations", 0)
CHECK = (*FACE, "line_checks", 0)
JOINED = '{"picture_sha256": "%s", "photos": {"sha256": ["%s"]}}'


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("name",), ""), (("name",), 3), (("name",), "n" * 500), (("name",), "\0"),
        (("name",), "\ud800"), (("name",), KeyError), (("more",), 1), (("parts",), {}),
        (("notes",), None), (("notes",), "n" * 100_000), (("parts", 0), []),
        (("parts", 0, "name"), " "), (("photographs",), []),
        ((*PLAN, "width_mm"), 0), ((*PLAN, "width_mm"), -1.0), ((*PLAN, "width_mm"), 1e300),
        ((*PLAN, "width_mm"), "5"), ((*PLAN, "width_mm"), True), ((*PLAN, "width_mm"), 10**400),
        ((*PLAN, "shape"), "square"), ((*PLAN, "marking"), "green"), ((*PLAN, "units"), "yard"),
        ((*PLAN, "regions_mm"), [[[0, 0], [1, 1]]]), ((*PLAN, "regions_mm"), [[[0, 0, 0]] * 3]),
        ((*PLAN, "openings_mm"), [[[0, 1e9], [1, 1], [2, 2]]]), ((*PLAN, "name"), KeyError),
        ((*TARGET, "ppsi_least"), 501), ((*TARGET, "contact_least_percent"), -1),
        ((*PLAN, "settings", "smallest_point_mm"), 99), ((*PLAN, "settings", "cell_mm"), 1),
        ((*PLAN, "settings", "marking_picks_px"), [[1, 2]]),
        ((*PASS, "number"), 0), ((*PASS, "number"), 2), ((*PASS, "number"), 10**30),
        ((*PASS, "number"), 1.5), ((*PASS, "begun_at_utc"), "yesterday"),
        ((*PASS, "begun_at_utc"), "2030-01-02\x0003:04:05"), ((*PASS, "prints"), []),
        ((*PASS, "scrape", "hours"), 1001), ((*PASS, "scrape", "metal_um"), -1),
        ((*PASS, "scrape", "scraping"), "milling"), ((*PASS, "scrape", "hours"), "1"),
        ((*PRINT, "readings"), []), ((*PRINT, "readings"), [1]), ((*PRINT, "readings"), [1, 2, 2]),
        ((*PRINT, "readings"), [1, 2, 3]), ((*PRINT, "readings"), [1, -2]),
        ((*PRINT, "choices"), []), ((*PRINT, "choices", 0, "reading"), 3),
        ((*PRINT, "choices", 0, "chosen_at_utc"), ""), ((*PRINT, "photo_sha256s"), []),
        ((*PRINT, "photo_sha256s"), ["0" * 64]), ((*PRINT, "photo_sha256s", 0), "../x"),
        ((*PRINT, "kept_at_utc"), 5), ((*PRINT, "placement"), "p" * 1000),
        (("photographs", 0, "sha256"), "0" * 64), (("photographs", 0, "added_at_utc"), "2030"),
        (("photographs", 0, "name"), "a\0b"),
        ((*TARGET, "origins"), [["ppsi_least", ["rumour", ""]]]), ((*TARGET, "origins"), [["x"]]),
        ((*TARGET, "origins"), [["ppsi_least", ["own", 5]]]), ((*TARGET, "origins"), {}),
        ((*TARGET, "source"), 5), ((*TARGET, "haze_most_percent"), 101), ((*TARGET, "name"), 7),
        ((*TARGET, "name"), "\0"), (TARGET, None), (TARGET, {}),
        ((*PLAN, "flatness", "grade"), "the best"), ((*PLAN, "flatness", "own_um"), 1001),
        ((*PLAN, "flatness", "length_mm"), -1), ((*PLAN, "flatness", "width_mm"), "1"),
        ((*COUNT, "reading_id"), 3), ((*COUNT, "print_id"), 1), ((*COUNT, "by_eye"), -1),
        ((*COUNT, "by_tool"), 1.5), ((*COUNT, "side_mm"), 0), ((*COUNT, "counted_at_utc"), ""),
        ((*COUNT, "who"), "\ud800"), (COUNT, []), ((*PRINT, "eye_counts"), None),
        ((*SWUNG, "pass_number"), 3), ((*SWUNG, "result"), "bent"), ((*SWUNG, "notes"), None),
        ((*SWUNG, "pivot_percent"), 101), ((*SWUNG, "more"), 1),
        ((*WHERE, "start_mm"), None), ((*WHERE, "start_mm"), "0"), ((*WHERE, "length_mm"), 0),
        ((*WHERE, "length_mm"), 1e9), ((*WHERE, "start_mm"), 1e300), ((*WHERE, "side"), "left"),
        ((*WHERE, "side"), None), ((*WHERE, "name"), "\0"), ((*WHERE, "more"), 1), (WHERE, 5),
        (WHERE, None), (WHERE, "n" * 500), ((*MAP, "joined"), 5), ((*MAP, "joined"), "{}"),
        ((*MAP, "joined"), "no JSON"), ((*MAP, "joined"), "[]"), ((*MAP, "joined"), "[" * 200_000),
        ((*MAP, "joined"), JOINED % ("0" * 64, "0" * 64)), ((*MAP, "joined"), "1" * 2**22 + "0"),
        ((*MAP, "joined"), '{"picture_sha256": NaN}'), ((*PRINT, "joined"), "{}"),
        ((*MAP, "joined"), '{"photos": {"sha256": []}}'), ((*MAP, "joined"), '{"photos": 5}'),
        ((*FILM, "um"), 0), ((*FILM, "low_um"), 2.5), ((*FILM, "high_um"), 1001),
        ((*FILM, "how"), "guess"), ((*FILM, "pass_number"), 3), ((*FILM, "pass_number"), "1"),
        ((*FILM, "made_at_utc"), ""), ((*FILM, "notes"), "\ud800"), (FILM, []),
        ((*CHECK, "what"), "bend"), ((*CHECK, "instrument"), "eye"), ((*CHECK, "pass_number"), 3),
        ((*CHECK, "pass_number"), None), ((*CHECK, "value_um"), 1e6), ((*CHECK, "error_um"), -1),
        ((*CHECK, "between"), "b" * 500), ((*CHECK, "who"), "\0"), ((*CHECK, "check_id"), "1"),
        ((*FACE, "line_checks"), None), ((*FACE, "film_calibrations"), {}),
    ],
)  # fmt: skip
def test_what_is_told_of_the_machine_but_cannot_be_is_refused(members, used, where, value):
    assert refused(used, zip_of(changed(members, where, value)))


def test_parts_and_faces_of_the_same_name_are_refused(members, used):
    told = json.loads(members["record.json"])
    empty = {"name": told["parts"][0]["name"], "faces": []}
    assert "same part" in refused(
        used, zip_of(changed(members, ("parts",), [*told["parts"], empty]))
    )
    lists = ("passes", "swing_tests", "film_calibrations", "line_checks")
    face = told["parts"][0]["faces"][0] | {name: [] for name in lists}
    faces = [*told["parts"][0]["faces"], face]
    assert "same face" in refused(used, zip_of(changed(members, ("parts", 0, "faces"), faces)))


@pytest.mark.parametrize(
    "data",
    [b"", b"{}", b"[]", b"null", b"\xff", b"{" * 50_000, b"[" * 200_000,
     b'{"name": 1, "name": 2}', b'{"name": NaN}'],
    ids=range(9),
)  # fmt: skip
@pytest.mark.parametrize("name", ["record.json", "readings/000002.json"])
def test_json_that_is_none_or_nested_without_end_is_refused(members, used, name, data):
    assert name in refused(used, zip_of(members | {name: data})) or name == "record.json"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("contact_percent", 101), ("contact_percent", -1), ("contact_percent", "nan"),
        ("points_per_square_inch", "inf"), ("points_per_square_inch", 1e9), ("area_mm2", -5),
        ("px_per_mm", 1e9), ("read_at_utc", "never"), ("taken_at", "\0"), ("points", {}),
        ("contact_percent", None), ("format", 99), ("kind", "other"), ("settings", {"more": 1}),
        ("versions", {"scrapeview": "\ud800"}), ("plane", {}), ("photo_sha256", "0" * 64),
        ("contact_mask", {"shape": [1, 1], "packed_bits_zlib_base64": "x"}),
        ("contact_mask", {"shape": [99999, 99999], "packed_bits_zlib_base64": ""}),
    ],
)  # fmt: skip
def test_readings_that_cannot_be_are_refused(members, used, field, value):
    told = json.loads(members["readings/000002.json"])
    wrong = members | {"readings/000002.json": json.dumps(told | {field: value}).encode()}
    assert "readings/000002.json" in refused(used, zip_of(wrong))


def photograph_of(members):
    """The photograph that is read, which is larger than the other one."""
    return max(
        (name for name in members if name.startswith("photographs/")),
        key=lambda name: len(members[name]),
    )


def test_a_reading_of_what_a_map_was_joined_from_is_refused(members, used):
    (part,) = {name for name in members if name.startswith("photographs/")} - {
        photograph_of(members)
    }
    told = json.loads(members["readings/000003.json"]) | {"photo_sha256": part[12:76]}
    wrong = members | {"readings/000003.json": json.dumps(told).encode()}
    assert "photograph that its print does not have" in refused(used, zip_of(wrong))


def with_photograph(members, photo, suffix):
    """The members with another photograph in place of theirs, under its own right name."""
    name = photograph_of(members)
    old, new = name[12:76], hashlib.sha256(photo).hexdigest()
    rest = {n: d.replace(old.encode(), new.encode()) for n, d in members.items() if n != name}
    return rest | {f"photographs/{new}.{suffix}": photo}


@pytest.mark.parametrize(
    ("photo", "suffix"),
    [(b"", "jpg"), (b"no photograph", "jpg"), (b"MZ" * 99, "png"), (b"\xff\xd8\xff x", "png"),
     (b"PK\x03\x04" * 9, "heic"), (b"<svg/>", "webp")],
)  # fmt: skip
def test_photographs_that_are_none_of_their_kind_are_refused(members, used, photo, suffix):
    assert "no photograph of its kind" in refused(
        used, zip_of(with_photograph(members, photo, suffix))
    )


def test_a_photograph_under_the_name_of_another_is_refused(members, used):
    name = photograph_of(members)
    wrong = members | {name: members[name] + b"more"}
    assert "not the photograph its name says" in refused(used, zip_of(wrong))


def test_photographs_and_readings_that_nothing_refers_to_or_that_lack_are_refused(members, used):
    photo = b"\xff\xd8\xff another"
    more = f"photographs/{hashlib.sha256(photo).hexdigest()}.jpg"
    assert "not in its record" in refused(used, zip_of(members | {more: photo}))
    name = photograph_of(members)
    assert "missing" in refused(used, zip_of({n: d for n, d in members.items() if n != name}))
    twice = members | {name.replace(".jpg", ".png"): members[name]}
    assert refused(used, zip_of(twice))
    reading = "readings/000002.json"
    assert "missing" in refused(used, zip_of({n: d for n, d in members.items() if n != reading}))
    again = members | {"readings/000004.json": members[reading]}
    assert "not in its record" in refused(used, zip_of(again))


def test_all_is_checked_before_anything_is_stored(members, used, monkeypatch):
    monkeypatch.setattr(archive, "keep_photograph", lambda *_: pytest.fail("was stored"))
    last = members | {"readings/000003.json": b"{}"}
    assert refused(used, zip_of(last))
    cells = members["tables/cells.csv"]
    other = members | {"tables/cells.csv": cells[:-2] + b"9\n"}
    assert len(other["tables/cells.csv"]) == len(cells)
    assert "'tables/cells.csv' is not what" in refused(used, zip_of(other, told=members))


def damaged(data, rng):
    """The bytes flipped, cut, doubled, emptied or put elsewhere at random places."""
    wrong = bytearray(data)
    at = rng.randrange(len(wrong))
    length = rng.choice([1, 2, 8, 64, 1024])
    way = rng.randrange(6)
    if way == 0:
        wrong[at] ^= 1 << rng.randrange(8)
    elif way == 1:
        del wrong[at:]
    elif way == 2:
        del wrong[at : at + length]
    elif way == 3:
        wrong[at:at] = wrong[at : at + length]
    elif way == 4:
        wrong[at : at + length] = bytes(len(wrong[at : at + length]))
    else:
        # where headers and the directory lie, far more can go wrong than inside a photograph
        at = rng.choice([rng.randrange(2000), len(wrong) - 1 - rng.randrange(1500)])
        wrong[at] = rng.randrange(256)
    return bytes(wrong)


@pytest.fixture(scope="module")
def sound(members):
    """A sound archive, and the state of a record after it was restored into an empty one."""
    return zip_of(members)


def content_of(record):
    """What a record holds, without the times and numbers of its own."""
    rows, files = state_of(record)
    return {name: rows[name] for name in rows if name != "migrations"}, files


@pytest.mark.parametrize("part", range(10))
def test_damaged_anywhere_it_is_refused_or_restored_equal(sound, tmp_path, part):
    whole = Record.open(tmp_path / "whole")
    read_archive(whole, io.BytesIO(sound))
    expected = content_of(whole)
    whole.close()
    rng = random.Random(1000 + part)
    record = Record.open(tmp_path / "home")
    before = state_of(record)
    count = 0
    for case in range(FUZZ_CASES // 10):
        data = damaged(sound, rng)
        try:
            read_archive(record, io.BytesIO(data))
        except ArchiveError:
            assert state_of(record) == before
            count += 1
            continue
        assert content_of(record) == expected, case
        record.close()
        record = Record.open(tmp_path / f"home{case}")
        before = state_of(record)
    record.close()
    assert count > FUZZ_CASES // 10 / 2
