"""A machine out of one record and into another: nothing is lost, and a second time is noticed."""

import io
import json
import zipfile

import numpy as np
import pandas as pd
import pytest
from exactly import assert_same
from packed import members_of

import scrapeview
from scrapeview import archive
from scrapeview.archive import check_archive, read_archive, write_archive, write_zip
from scrapeview.corrections import Correction
from scrapeview.errors import ArchiveError, OutputError, RecordError
from scrapeview.face_reading import read_for_face
from scrapeview.flatness import ReferenceFlatness
from scrapeview.record import FacePlan, Record, Scrape
from scrapeview.record.history_out import machine_history
from scrapeview.targets import Origin, Target

SEED = 2
NAME = 'Planer "3/4" – Größe, 日本'


def plan_for(shot, **told):
    w, h = shot.size_mm
    return FacePlan(name="top way", width_mm=w, height_mm=h, marking=shot.marking, **told)


def fill(record, printed, plane_of):
    """A machine with all that a record can know of one: an invented job."""
    plain, blank = printed("plain", SEED), printed("blank", SEED)
    machine = record.add_machine(NAME, "came from the grinder;\n=1+1, \"quoted\"\tand 'so'")
    bed = record.add_part(machine.machine_id, "Bed")
    record.add_part(machine.machine_id, "Gib without faces")
    way = plan_for(
        plain,
        role="way",
        openings_mm=(((20.0, 20.0), (30.0, 20.0), (25.0, 31.7)),),
        target=Target(
            name="own",
            contact_least_percent=40.1,
            ppsi_least=20.0,
            bare_circle_most_mm=12.7,
            origins=(
                ("ppsi_least", Origin("practice")),
                ("contact_least_percent", Origin("own", "the shop")),
            ),
        ),
        reference="straightedge 1",
        flatness=ReferenceFlatness(grade="DIN 876 grade I", length_mm=910.5, own_um=1 / 3),
        units="inch",
        settings=scrapeview.Settings(smallest_point_mm=0.9),
        notes="mind the oil groove",
    )
    face = record.add_face(bed.part_id, way)
    record.add_face(bed.part_id, FacePlan(name="underside", shape="free"))
    photo, plane = plain.jpeg, plane_of(plain)
    reading = read_for_face(way, photo, plane)
    kept = record.keep_print(
        face.face_id, [(" way 1.jpg", photo), ("side.png", png_of(40))], reading,
        Scrape(who="N. N.", scraping="rough", metal_um=12.5, hours=0.1, notes="chatter\r\nleft"),
        placement="left end",
    )  # fmt: skip
    x, y = reading.points.iloc[0][["x_mm", "y_mm"]]
    corrected = read_for_face(way, photo, plane, corrections=[Correction("remove", ((x, y),))])
    record.add_reading(kept.print_id, corrected, "a scratch was counted")
    record.choose_reading(kept.print_id, kept.reading_id, "no, it bears")
    record.keep_print(
        face.face_id, [("way 1 again.jpg", photo)], reading, pass_number=1, again=True
    )
    empty = read_for_face(way, blank.jpeg, plane_of(blank))
    record.keep_print(face.face_id, [("blank.jpg", blank.jpeg)], empty)
    record.begin_pass(face.face_id, Scrape(who="N. N."))
    other = record.add_machine("Another machine")
    record.add_part(other.machine_id, "Table")
    return machine


def png_of(width):
    held = io.BytesIO()
    from PIL import Image

    Image.new("RGB", (width, 30), (90, 90, 90)).save(held, "PNG")
    return held.getvalue()


@pytest.fixture(scope="module")
def shop(tmp_path_factory, printed, plane_of):
    """A record with a machine in it, and that machine's number."""
    record = Record.open(tmp_path_factory.mktemp("shop"))
    yield record, fill(record, printed, plane_of).machine_id
    record.close()


@pytest.fixture(scope="module")
def zipped(shop):
    held = io.BytesIO()
    write_zip(*shop, held)
    return held.getvalue()


@pytest.fixture
def other(tmp_path):
    """An empty record, as on another computer."""
    record = Record.open(tmp_path / "other")
    yield record
    record.close()


def all_readings(record, machine_id):
    history, reading_ids = machine_history(record, machine_id)
    return history, [record.reading(reading_id) for reading_id in reading_ids]


def test_a_machine_comes_back_without_loss(shop, zipped, other):
    restored = read_archive(other, io.BytesIO(zipped))
    history, readings = all_readings(*shop)
    back, readings_back = all_readings(other, restored.machine_id)
    assert back == history
    assert len(readings) == 4
    assert_same(tuple(readings), tuple(readings_back))
    for each in history.photographs:
        assert other.photo(each.sha256) == shop[0].photo(each.sha256)
        assert other.photo_name(each.sha256) == each.name
    assert [machine.name for machine in other.machines()] == [NAME]


def test_what_was_told_and_decided_comes_back(shop, zipped, other):
    read_archive(other, io.BytesIO(zipped))
    face, there = (next(f for f in r.faces() if f.plan.openings_mm) for r in (other, shop[0]))
    assert face.plan == there.plan
    assert face.machine.notes == there.machine.notes
    first, second, waiting = other.passes(face.face_id)
    assert [p.number for p in (first, second, waiting)] == [1, 2, 3]
    assert first.scrape.notes == "chatter\r\nleft"
    assert len(first.print_ids) == 2
    assert waiting.print_ids == ()
    told = other.history(first.print_ids[0])
    assert list(told["why"]) == list(shop[0].history(there_print(shop, there))["why"])
    assert "no, it bears" in set(told["why"])
    entry = other.print_entry(first.print_ids[0])
    assert entry.current_reading_id == entry.reading_ids[0]
    assert len(entry.photo_sha256s) == 2
    own = ["print_id", "reading_id"]
    one, two = (r.progress(f.face_id).drop(columns=own) for r, f in
                ((other, face), (shop[0], there)))  # fmt: skip
    pd.testing.assert_frame_equal(one, two, check_exact=True)


def there_print(shop, face):
    return shop[0].passes(face.face_id)[0].print_ids[0]


def test_archived_again_the_content_is_the_same(zipped, other):
    restored = read_archive(other, io.BytesIO(zipped))
    held = io.BytesIO()
    write_zip(other, restored.machine_id, held)
    assert members_of(held.getvalue()) == members_of(zipped)


def test_the_manifest_names_every_member_and_photographs_are_as_they_came(zipped, printed):
    with zipfile.ZipFile(io.BytesIO(zipped)) as packed:
        told = json.loads(packed.read("manifest.json"))
        assert {m["name"] for m in told["members"]} | {"manifest.json"} == set(packed.namelist())
        assert packed.testzip() is None
    photos = [d for name, d in members_of(zipped).items() if name.startswith("photographs/")]
    assert printed("plain", SEED).jpeg in photos
    assert len(photos) == len(set(photos)) == 3
    assert told["machine"] == NAME
    assert told["scrapeview"] == scrapeview.__version__


def test_the_tables_are_those_of_the_current_readings(shop, zipped):
    members = members_of(zipped)
    passes, points, cells = (
        pd.read_csv(io.BytesIO(members[f"tables/{name}.csv"]), keep_default_na=False)
        for name in ("passes", "points", "cells")
    )
    assert list(passes["number"]) == [1, 1, 2]
    assert list(passes["face"]) == ["top way"] * 3
    assert list(passes["part"]) == ["Bed"] * 3
    assert list(passes["reading_id"]) == [1, 3, 4]
    assert set(points["reading_id"]) == {1, 3}
    _, readings = all_readings(*shop)
    assert len(points) == len(readings[0].points) + len(readings[2].points)
    assert np.allclose(points["x_mm"][: len(readings[0].points)], readings[0].points["x_mm"])
    assert set(cells["reading_id"]) == {1, 3, 4}


def test_a_name_that_is_taken_gets_a_number(zipped, other):
    other.add_machine(NAME)
    other.add_machine(f"{NAME} (2)")
    assert read_archive(other, io.BytesIO(zipped)).name == f"{NAME} (3)"


def test_a_very_long_name_gets_a_number_as_well(other, tmp_path):
    first = other.add_machine("n" * 120)
    write_archive(other, first.machine_id, tmp_path / "long.zip")
    second = read_archive(other, tmp_path / "long.zip")
    assert second.name != first.name
    assert len(second.name) <= 120


def test_the_same_archive_twice_is_refused_until_its_machine_is_gone(zipped, other):
    first = read_archive(other, io.BytesIO(zipped))
    other.change_machine(first.machine_id, "renamed", "")
    with pytest.raises(ArchiveError, match="restored already, as the machine 'renamed'"):
        read_archive(other, io.BytesIO(zipped))
    assert [machine.name for machine in other.machines()] == ["renamed"]
    other.remove_machine(first.machine_id)
    assert read_archive(other, io.BytesIO(zipped)).name == NAME


def test_an_archive_restored_beside_its_own_machine_is_a_copy(zipped, tmp_path):
    record = Record.open(tmp_path)
    first = read_archive(record, io.BytesIO(zipped))
    write_archive(record, first.machine_id, tmp_path / "own.zip")
    record.change_machine(first.machine_id, first.name, "changed since")
    write_archive(record, first.machine_id, tmp_path / "changed.zip")
    assert read_archive(record, tmp_path / "changed.zip").name == f"{NAME} (2)"
    record.close()


def test_an_archive_is_written_whole_or_not_at_all(shop, tmp_path, monkeypatch):
    target = tmp_path / "machine.zip"
    target.write_bytes(b"old")

    def broken(_record, _machine_id, file, _progress):
        file.write(b"half of it")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(archive, "write_zip", broken)
    with pytest.raises(OutputError, match="No space left"):
        write_archive(*shop, target)
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_what_was_written_is_read_through_before_it_takes_its_name(shop, tmp_path, monkeypatch):
    monkeypatch.setattr(archive, "write_zip", lambda _r, _m, file, _p: file.write(b"no zip"))
    with pytest.raises(ArchiveError):
        write_archive(*shop, tmp_path / "machine.zip")
    assert list(tmp_path.iterdir()) == []


def test_a_machine_that_is_not_there_is_refused(shop, tmp_path):
    with pytest.raises(RecordError):
        write_archive(shop[0], 999, tmp_path / "none.zip")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("damage", [b"", b"\xff\xd8\xff changed", None])
def test_a_damaged_or_missing_photograph_is_told_and_no_archive_written(
    damage, zipped, other, tmp_path
):
    machine = read_archive(other, io.BytesIO(zipped))
    history, _ = machine_history(other, machine.machine_id)
    path = other.photo_path(history.photographs[0].sha256)
    path.unlink()
    if damage is not None:
        path.write_bytes(damage)
    with pytest.raises((ArchiveError, RecordError), match="photograph"):
        write_archive(other, machine.machine_id, tmp_path / "machine.zip")
    assert not (tmp_path / "machine.zip").exists()


def test_how_far_it_has_come_is_told_to_the_end(shop, other, tmp_path):
    told = []
    write_archive(*shop, tmp_path / "m.zip", lambda *step: told.append(step))
    read_archive(other, tmp_path / "m.zip", lambda *step: told.append(step))
    words = list(dict.fromkeys(what for *_, what in told))
    assert words == [
        "Packing photographs", "Packing readings", "Checking photographs", "Checking tables",
        "Checking readings", "Storing photographs", "Adding readings",
    ]  # fmt: skip
    for what in ("Packing readings", "Checking readings", "Adding readings"):
        done, of = [step[:2] for step in told if step[2] == what][-1]
        assert done == of
    assert all(1 <= done <= of for done, of, _ in told)


def test_an_empty_machine_comes_back(other, tmp_path):
    machine = other.add_machine("Bare")
    write_archive(other, machine.machine_id, tmp_path / "bare.zip")
    assert check_archive(tmp_path / "bare.zip").name == "Bare"
    other.remove_machine(machine.machine_id)
    assert read_archive(other, tmp_path / "bare.zip").name == "Bare"


def test_photographs_are_stored_before_and_all_else_in_one_transaction(zipped, other, monkeypatch):
    from scrapeview.record import archive as into

    def fails(*_):
        raise RecordError("The disk gave out.")

    monkeypatch.setattr(into, "_add_print", fails)
    with pytest.raises(RecordError):
        read_archive(other, io.BytesIO(zipped))
    assert other.machines() == ()
    assert other.faces() == ()
    monkeypatch.undo()
    assert read_archive(other, io.BytesIO(zipped)).name == NAME


def test_photographs_that_do_not_fit_on_the_disk_are_refused(zipped, other, monkeypatch):
    usage = type("Usage", (), {"free": 1000})
    monkeypatch.setattr(archive.shutil, "disk_usage", lambda _: usage)
    with pytest.raises(ArchiveError, match="MB left"):
        read_archive(other, io.BytesIO(zipped))
