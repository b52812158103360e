"""Commands of the record: what they print and write, and their exit status."""

import dataclasses
import json

import pandas as pd
import pytest
from typer.testing import CliRunner

from scrapeview.cli import app
from scrapeview.columns import columns_of
from scrapeview.face_reading import read_for_face
from scrapeview.record import (
    EyeCount,
    FacePlan,
    FilmCalibration,
    LineCheck,
    Record,
    Scrape,
    SwingTest,
)
from scrapeview.record_tables import WHATS
from scrapeview.record_text import columns_text, faces_text, moved_text
from scrapeview.targets import Target

pytestmark = pytest.mark.usefixtures("own_home")

SEED = 2


@pytest.fixture(scope="module")
def first(printed, plane_of):
    """Plan, photograph and reading of a face's first print."""
    shot = printed("sparse", SEED)
    w, h = shot.size_mm
    target = Target(name="own", ppsi_least=20)
    plan = FacePlan(name="top way", width_mm=w, height_mm=h, marking=shot.marking, target=target)
    return plan, shot.jpeg, read_for_face(plan, shot.jpeg, plane_of(shot))


@pytest.fixture
def shop(own_home, first):
    """A record of one machine: a face with one pass, a round face and a free one without."""
    record = Record.open(own_home)
    plan, photo, reading = first
    part = record.add_part(record.add_machine("Mill").machine_id, "Table")
    face = record.add_face(part.part_id, plan)
    record.add_face(part.part_id, FacePlan(name="bore", shape="round", width_mm=84.0))
    record.add_face(part.part_id, FacePlan(name="gib", shape="free"))
    record.keep_print(face.face_id, [("p.jpg", photo)], reading, Scrape(who="N. N."))
    yield record
    record.close()


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def done(*words, status=0):
    result = run(*words)
    assert result.exit_code == status, result.output
    assert result.stderr == ""
    return result.stdout


def refused(*words):
    """One plain sentence on stderr, nothing on stdout, exit status 2."""
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit)
    assert result.stdout == ""
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 1
    assert lines[0].endswith(".")
    return lines[0]


@pytest.mark.parametrize(
    "words",
    [("faces",), ("check",), ("reread", "--all"), ("export", "out"), ("archive", "Mill", "m.zip"),
     ("keep", 1, "p.jpg")],
)  # fmt: skip
def test_where_there_is_no_record_none_is_made(words, own_home):
    assert "There is no record in" in refused(*words)
    assert "nowhere" in refused(*words, "--home", own_home / "nowhere")
    assert not own_home.exists()


def test_faces_are_listed_with_their_numbers_and_where_each_stands(shop, first):
    heads, *lines = done("faces").splitlines()
    assert heads.split() == ["id", "face", "passes", "contact", "points/in2", "target"]
    (way,) = [line for line in lines if "top way" in line]
    assert way.split()[0] == str(shop.faces()[2].face_id)
    assert "Mill, Table: top way" in way
    assert f"{first[2].contact_percent:.1f} %" in way
    assert f"{first[2].points_per_square_inch:.1f}" in way
    assert way.rstrip().endswith("20")
    assert sum("waits for its print" in line for line in lines) == 2


def test_a_record_without_faces_says_what_to_do(own_home):
    Record.open(own_home).close()
    assert "scrapeview serve" in done("faces")


def test_another_folder_can_be_named(shop, tmp_path):
    Record.open(tmp_path / "other").close()
    assert "no face" in done("faces", "--home", tmp_path / "other")
    assert "top way" in done("faces", "--home", shop.home)


def test_check_tells_a_sound_record_from_a_damaged_one(shop, first):
    assert "is sound" in done("check")
    path = shop.photo_path(first[2].photo_sha256)
    path.write_bytes(b"\xff\xd8\xff changed")
    told = done("check", status=1)
    assert "1 thing is wrong" in told
    path.unlink()
    assert "1 thing is wrong" in done("check", status=1)
    path.write_bytes(first[1])
    (path.parent / "stray.tmp").write_bytes(b"x")
    assert "is sound" in done("check")
    shop.close()
    (shop.home / "record.sqlite").write_bytes(b"no database" * 99)
    refused("check")


def keep_words(shot, face, photo, *more):
    picks = " ".join(f"{float(x)!r},{float(y)!r}" for x, y in shot.corners_px)
    return ("keep", face, photo, "--corners", picks, *more)


def way_of(record):
    return next(each for each in record.faces() if each.plan.name == "top way")


def test_keep_reads_with_the_plan_of_the_face_and_keeps(shop, printed, plane_of, tmp_path):
    shot = printed("plain", SEED)
    photo = tmp_path / "second.jpg"
    photo.write_bytes(shot.jpeg)
    face = way_of(shop)
    told = done(
        *keep_words(shot, face.face_id, photo), "--who", "N. N.", "--scraping", "spacing out",
        "--metal-um", 8, "--hours", 1.5, "--notes", "left end", "--placement", "middle",
    )  # fmt: skip
    expected = read_for_face(face.plan, shot.jpeg, plane_of(shot))
    assert f"{expected.contact_percent:.1f} %" in told
    assert told.endswith("Kept as pass 2 of Mill, Table: top way.\n")
    *_, entry = shop.passes(face.face_id)
    assert entry.scrape == Scrape(
        who="N. N.", scraping="spacing out", metal_um=8.0, hours=1.5, notes="left end"
    )
    (printed_entry,) = (shop.print_entry(print_id) for print_id in entry.print_ids)
    assert printed_entry.placement == "middle"
    found = shop.reading(printed_entry.current_reading_id)
    assert found.contact_percent == expected.contact_percent
    assert found.points.equals(expected.points)
    assert shop.photo_name(found.photo_sha256) == "second.jpg"
    assert "kept already" in refused(*keep_words(shot, face.face_id, photo))
    assert "pass 2" in done(*keep_words(shot, face.face_id, photo, "--again", "--pass", 2))
    assert len(shop.passes(face.face_id)) == 2


def test_keep_takes_the_size_of_a_round_face_from_its_plan(shop, printed, tmp_path):
    shot = printed("disc", SEED)
    photo = tmp_path / "disc.jpg"
    photo.write_bytes(shot.jpeg)
    bore = next(each for each in shop.faces() if each.plan.name == "bore")
    rim = " ".join(f"{float(x)!r},{float(y)!r}" for x, y in shot.rim_px)
    centre = ",".join(repr(float(c)) for c in shot.centre_px)
    done("keep", bore.face_id, photo, "--rim", rim, "--centre", centre)
    (row,) = shop.progress(bore.face_id).to_dict("records")
    assert row["area_mm2"] == pytest.approx(3.14159 * 42**2, rel=0.01)


@pytest.mark.parametrize(
    ("name", "words", "told"),
    [
        ("top way", (), "--corners"), ("top way", ("--rim", "1,1"), "--corners"),
        ("bore", ("--corners", "1,1"), "--rim"), ("gib", (), "--scale"),
        ("gib", ("--scale", "1,1 900,1"), "--length"),
        ("top way", ("--corners", "1,1 2,2"), "Four"),
        ("top way", ("--corners", "1,1 9,1 9,9 1,9", "--hours", "-1"), "p.jpg"),
    ],
)  # fmt: skip
def test_keep_asks_for_the_picks_of_the_face_s_shape(shop, name, words, told):
    face = next(each for each in shop.faces() if each.plan.name == name)
    assert told in refused("keep", face.face_id, "p.jpg", *words)


def test_keep_refuses_what_cannot_be_kept_and_keeps_nothing(shop, printed, tmp_path):
    shot = printed("plain", SEED)
    photo = tmp_path / "p.jpg"
    photo.write_bytes(shot.jpeg)
    face_id = way_of(shop).face_id
    refused(*keep_words(shot, 99, photo))
    refused(*keep_words(shot, face_id, photo, "--hours", -1))
    refused(*keep_words(shot, face_id, photo, "--pass", 7))
    photo.write_bytes(b"no photograph")
    refused(*keep_words(shot, face_id, photo))
    assert len(shop.passes(face_id)) == 1


def test_reread_tells_what_moved_and_what_did_not(shop):
    assert "already" in done("reread", "--all")
    face = way_of(shop)
    settings = dataclasses.replace(face.plan.settings, smallest_point_mm=2.5)
    shop.change_face(face.face_id, dataclasses.replace(face.plan, settings=settings))
    tried = done("reread", "--face", face.face_id, "--dry-run")
    assert "1 print would be read again." in tried
    assert len(shop.prints(face.face_id)[0].reading_ids) == 1
    assert "1 print was read again." in done("reread", "--face", face.face_id)
    assert len(shop.prints(face.face_id)[0].reading_ids) == 2
    assert "already" in done("reread", "--all")


def test_reread_ends_with_status_1_where_a_print_cannot_be_read(shop, first):
    shop.photo_path(first[2].photo_sha256).unlink()
    face = way_of(shop)
    shop.change_face(face.face_id, dataclasses.replace(face.plan, marking="red"))
    assert "bring the folder" in done("reread", "--all", status=1)


@pytest.mark.parametrize("words", [(), ("--all", "--face", 1), ("--face", 99)])
def test_reread_asks_for_faces_that_are_there(shop, words):
    assert shop.faces()
    refused("reread", *words)


def test_reread_broken_off_says_that_it_can_go_on(shop, monkeypatch):
    def interrupted(*_, **__):
        raise KeyboardInterrupt

    assert shop.faces()
    monkeypatch.setattr("scrapeview.reread.reread", interrupted)
    result = run("reread", "--all")
    assert result.exit_code == 130
    assert "goes on" in result.stderr


def test_a_machine_goes_from_one_record_into_another(shop, tmp_path):
    file = tmp_path / "mill.zip"
    assert "holds the machine" in done("archive", "mill", file)
    other = tmp_path / "other"
    assert "Mill is in the record" in done("restore", file, "--home", other)
    assert "restored already" in refused("restore", file, "--home", other)
    record = Record.open(other)
    pd.testing.assert_frame_equal(
        record.shop().drop(columns="face_id"), shop.shop().drop(columns="face_id")
    )
    record.close()
    assert "Mill (2)" in done("restore", file)


def test_an_archive_that_is_none_makes_no_record(tmp_path):
    (tmp_path / "bad.zip").write_bytes(b"PK no zip")
    assert "refused" in refused("restore", tmp_path / "bad.zip", "--home", tmp_path / "new")
    refused("restore", tmp_path / "missing.zip", "--home", tmp_path / "new")
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize("words", [("Lathe", "m.zip"), ("Mill", "nowhere/m.zip"), ("Mill", ".")])
def test_what_cannot_be_archived_is_refused(shop, words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert shop.machines()
    refused("archive", *words)
    assert list(tmp_path.iterdir()) == [tmp_path / "home"]


@pytest.mark.parametrize("kind", ["csv", "parquet", "json"])
def test_export_writes_all_tables(shop, first, kind, tmp_path):
    folder = tmp_path / "new" / "tables"
    face_id = next(face.face_id for face in shop.faces() if face.plan.name == "top way")
    (printed,) = shop.prints(face_id)
    count = EyeCount(
        print_id=printed.print_id, reading_id=printed.current_reading_id, x_mm=25.4, y_mm=12.7,
        side_mm=25.4, by_eye=9, by_tool=8, who="N. N.", counted_at_utc="2024-03-11T10:00:00+00:00",
    )  # fmt: skip
    shop.add_eye_counts(face_id, [count, count])
    shop.add_swing_test(face_id, SwingTest(pass_number=1, result="convex", pivot_percent=41.5))
    shop.add_swing_test(face_id, SwingTest(pass_number=1, result="even"))
    film = FilmCalibration(um=2.5, low_um=1.5, high_um=1 / 3 + 4, how="own figure", notes="told")
    shop.add_film_calibration(face_id, film)
    checked = LineCheck(
        pass_number=1, what="step", between="left, right", value_um=-3.5, instrument="indicator"
    )
    shop.add_line_check(face_id, checked)
    assert "points" in done("export", folder, "--kind", kind)
    read = {"csv": pd.read_csv, "parquet": pd.read_parquet,
            "json": lambda path: pd.DataFrame(json.loads(path.read_text()))}[kind]  # fmt: skip
    tables = {path.stem: read(path) for path in folder.iterdir()}
    assert set(tables) == set(WHATS)
    assert len(tables["faces"]) == 3
    assert len(tables["points"]) == len(first[2].points)
    assert tables["points"]["area_mm2"].sum() == pytest.approx(first[2].points["area_mm2"].sum())
    assert set(tables["passes"]["face"]) == {"top way"}
    assert list(tables["passes"]["contact_percent"]) == [first[2].contact_percent]
    counts = tables["eye_counts"].to_dict("records")
    told = dataclasses.asdict(count) | {"pass_number": 1, "face": "top way", "machine": "Mill"}
    # its number in the record is no column
    del told["count_id"]
    assert [told.items() <= each.items() for each in counts] == [True, True]
    tests = tables["swing_tests"]
    assert list(tests["result"]) == ["convex", "even"]
    assert tests["pivot_percent"].notna().tolist() == [True, False]
    assert set(tests["part"]) == {"Table"}
    (row,) = tables["film_calibrations"].to_dict("records")
    assert (row["um"], row["high_um"], row["pass_number"]) == (2.5, pytest.approx(1 / 3 + 4), 0)
    (row,) = tables["line_checks"].to_dict("records")
    assert (row["between"], row["value_um"], row["face"]) == ("left, right", -3.5, "top way")
    assert pd.isna(row["error_um"])
    assert shop.faces()


def test_export_into_what_is_no_folder_is_refused(shop, tmp_path):
    (tmp_path / "file").write_text("x")
    assert shop.faces()
    refused("export", tmp_path / "file")
    refused("export", tmp_path / "file" / "deeper")


def test_columns_are_set_as_wide_as_they_must_be():
    text = columns_text(("a", "name", ""), [("1", "x" * 99, "more"), ("22", "y", "")], "><<")
    assert text.splitlines() == [
        " a  name",
        " 1  " + "x" * 57 + "...  more",
        "22  y",
    ]


def test_what_cannot_be_told_is_a_dash():
    moved = pd.DataFrame(
        [["F", 1, "", 20.0, float("nan"), 5.0, float("nan"), 3, 0, "No photograph."]],
        columns=[column.name for column in columns_of("moved")],
    )
    told = moved_text(moved)
    assert "20.0 %    -         5.0    -  No photograph." in told
    assert told.endswith("1 print was not read; why stands beside it.")
    assert "no face" in faces_text(pd.DataFrame())
