"""`scrapeview keep` with a shorter reference, with tiles, and with several photographs."""

import io

import numpy as np
import pytest
from typer.testing import CliRunner

from scrapeview.archive import read_archive, write_zip
from scrapeview.cli import app
from scrapeview.errors import PhotoError, SettingsError
from scrapeview.face_beside import beside_sentences
from scrapeview.joined_corners import parse_joined_corners
from scrapeview.keep_photos import require_different, typed_placement
from scrapeview.placements import Placement
from scrapeview.record import FacePlan, Record
from scrapeview.record.check import check_record
from scrapeview.reread import is_as_asked
from scrapeview.simulate import render_long, tiles_along

pytestmark = pytest.mark.usefixtures("own_home")

SEED = 2
LONG_MM = (150.0, 40.0)


@pytest.fixture
def shop(own_home):
    """A record of one machine with a long way and a round face."""
    record = Record.open(own_home)
    part = record.add_part(record.add_machine("Planer").machine_id, "Bed")
    hole = ((10.0, 10.0), (14.0, 10.0), (14.0, 20.0))
    plan = FacePlan(name="way", width_mm=600.0, height_mm=70.0, openings_mm=(hole,))
    record.add_face(part.part_id, plan)
    record.add_face(part.part_id, FacePlan(name="narrow", width_mm=600.0, height_mm=40.0))
    record.add_face(part.part_id, FacePlan(name="bore", shape="round", width_mm=84.0))
    yield record
    record.close()


@pytest.fixture
def number_of(shop):
    return {face.plan.name: face.face_id for face in shop.faces()}


@pytest.fixture(scope="module")
def long(made_once):
    """Two photographs of a stretch with tiles along it."""
    tiles = tiles_along(LONG_MM, every_mm=28.0, seed=5)
    return made_once.value(
        ("keep long", LONG_MM),
        lambda: render_long(
            "plain", photos=2, size_mm=LONG_MM, px_per_mm=6.0, tiles=tiles, seed=5
        ),
    )  # fmt: skip


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def done(*words):
    result = run(*words)
    assert result.exit_code == 0, result.output
    return result.stdout


def refused(*words):
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit)
    (line,) = result.stderr.strip().splitlines()
    return line


def corners_of(shot):
    return " ".join(f"{float(x)!r},{float(y)!r}" for x, y in shot.corners_px)


def numbered(corners):
    return " ".join(f"{photo + 1}:{x!r},{y!r}" for photo, x, y in corners)


def test_a_stretch_is_read_in_millimetres_of_the_whole_face(shop, number_of, printed, tmp_path):
    shot = printed("plain", SEED)
    photo = tmp_path / "middle.jpg"
    photo.write_bytes(shot.jpeg)
    done(
        "keep", number_of["way"], photo, "--corners", corners_of(shot), "--start", "400mm",
        "--covers", "110mm",
    )  # fmt: skip
    (entry,) = shop.prints(number_of["way"])
    assert entry.where == Placement(name="400.0 mm to 510.0 mm", start_mm=400.0, length_mm=110.0)
    found = shop.reading(entry.current_reading_id)
    assert found.regions_mm[0].min(axis=0) == pytest.approx([400, 0], abs=1e-6)
    assert found.regions_mm[0].max(axis=0) == pytest.approx([510, 70], abs=1e-6)
    assert found.points["x_mm"].between(400, 510).all()
    # the hole lies in another stretch, which is no mistake
    assert found.openings_mm == ()
    assert is_as_asked(shop.face(number_of["way"]).plan, found)
    assert list(shop.progress(number_of["way"])["placement_start_mm"]) == [400.0]
    way = shop.face(number_of["way"])
    turning = [told for told in beside_sentences(shop, way, "metric") if "would turn" in told]
    assert len(turning) == 1
    # where several stretches were printed, none of them shows the shape of the face
    left = Placement(name="left", start_mm=0.0, length_mm=110.0)
    shop.keep_print(
        way.face_id, [("p.jpg", shot.jpeg)], found, placement=left, pass_number=1, again=True
    )
    assert not [told for told in beside_sentences(shop, way, "metric") if "would turn" in told]


def test_several_photographs_are_joined_and_kept_together(shop, number_of, long, tmp_path):
    photos = [tmp_path / f"{name}.jpg" for name in ("left", "right")]
    for path, photo in zip(photos, long.photos, strict=True):
        path.write_bytes(photo)
    told = done(
        "keep", number_of["narrow"], *photos, "--corners", numbered(long.corners), "--tiles",
        "small", "--bar", "150mm", "--start", "300mm", "--covers", "150mm", "--placement", "right",
    )  # fmt: skip
    assert "map of 2, left to right.png" in told
    assert "2 photographs joined by" in told
    assert "no gaps" in told
    (entry,) = shop.prints(number_of["narrow"])
    assert entry.where == Placement(name="right", start_mm=300.0, length_mm=150.0)
    names = [shop.photo_name(sha256) for sha256 in entry.photo_sha256s]
    assert names == ["map of 2, left to right.png", "left.jpg", "right.jpg"]
    assert [shop.photo(sha256) for sha256 in entry.photo_sha256s[1:]] == list(long.photos)
    assert entry.joined["photos"]["name"] == ["left.jpg", "right.jpg"]
    found = shop.reading(entry.current_reading_id)
    assert found.photo_sha256 == entry.photo_sha256s[0]
    assert found.area_mm2 == pytest.approx(np.prod(LONG_MM), rel=1e-3)
    assert len(found.points) == pytest.approx(len(long.truth.points), rel=0.1)
    assert found.points["x_mm"].between(300, 450).all()
    assert check_record(shop) == ()
    assert is_as_asked(shop.face(number_of["narrow"]).plan, found)
    held = io.BytesIO()
    write_zip(shop, shop.machines()[0].machine_id, held)
    again = Record.open(tmp_path / "other")
    read_archive(again, held)
    (back,) = again.prints(next(f.face_id for f in again.faces() if f.plan.name == "narrow"))
    assert (back.where, back.joined, back.photo_sha256s) == (
        entry.where, entry.joined, entry.photo_sha256s,
    )  # fmt: skip
    again.close()


@pytest.mark.parametrize(
    ("face", "words", "told"),
    [
        ("way", ("a.jpg", "--start", "400mm"), "--covers"),
        ("way", ("a.jpg", "--covers", "400mm"), "--start"),
        ("way", ("a.jpg", "--start", "700mm", "--covers", "10mm"), "covers nothing of 'way'"),
        ("way", ("a.jpg", "--start", "400", "--covers", "10mm"), "unit"),
        ("way", ("a.jpg", "b.jpg", "--marking-pick", "1,1"), "Sample picks are of one photograph"),
        ("way", ("a.jpg", "b.jpg", "--card", "inch"), "tiles along the face"),
        ("way", ("a.jpg", "b.jpg"), "which photograph it is picked in"),
        ("way", ("a.jpg", "--bar", "150mm"), "--card"),
        ("way", ("a.jpg",) * 61, "Up to 60"),
        ("bore", ("a.jpg", "--start", "0mm", "--covers", "9mm"), "no rectangle"),
        ("bore", ("a.jpg", "b.jpg"), "joined of a rectangle only"),
    ],
)
def test_what_cannot_be_placed_or_joined_is_refused_first(number_of, face, words, told):
    picks = ("--rim", "1,1") if face == "bore" else ("--corners", "0,0 9,0 9,9 0,9")
    assert told in refused("keep", number_of[face], *words, *picks)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("1:1,1 1:2,2 1:3,3", "not 3"), ("1:1,1 1:2,2 1:3,3 4,4", "'4,4'"), ("", "not 0"),
        ("0:1,1 1:2,2 1:3,3 1:4,4", "no photograph 0"), ("1:1,1 3:2,2 1:3,3 1:4,4", "only 2"),
        ("1:1 1:2,2 1:3,3 1:4,4", "pair"), ("²:1,1 1:2,2 1:3,3 1:4,4", "which photograph"),
        ("1:1mm,1mm 1:2,2 1:3,3 1:4,4", "pixels"), (("9" * 5000) + ":1,1 " * 4, "corners"),
    ],
)  # fmt: skip
def test_corners_that_name_no_photograph_are_refused(text, told):
    with pytest.raises(SettingsError, match=told):
        parse_joined_corners(text, 2, "--corners")


def test_one_photograph_given_twice_is_refused(tmp_path):
    first, second = tmp_path / "a.jpg", tmp_path / "b.jpg"
    for path in (first, second):
        path.write_bytes(b"same")
    with pytest.raises(PhotoError, match=r"'a\.jpg' and 'b\.jpg' are one photograph"):
        require_different([first, second])


def test_corners_count_photographs_from_one():
    found = parse_joined_corners("1:10,20; 2:30.5,4 2:3,50 1:1,60", 2, "--corners")
    assert found == ((0, 10, 20), (1, 30.5, 4), (1, 3, 50), (0, 1, 60))


@pytest.mark.parametrize(
    ("typed", "placement"),
    [
        (("", None, None, ""), Placement()),
        (("left", None, None, "far"), Placement(name="left", side="far")),
        (("", None, None, "near"), Placement(name="near side", side="near")),
        (
            ("", " 0.00 MM", "254mm", ""),
            Placement(name="0.0 mm to 254.0 mm", start_mm=0, length_mm=254),
        ),
        (("", "0", "10in", ""), Placement(name="0.0 mm to 254.0 mm", start_mm=0, length_mm=254)),
        (
            ("", "5mm", "10mm", "far"),
            Placement(name="5.0 mm to 15.0 mm, far side", start_mm=5, length_mm=10, side="far"),
        ),
    ],
)
def test_a_placement_is_named_by_where_it_lies(typed, placement):
    assert typed_placement(*typed) == placement
    assert typed_placement(*typed, "inch").start_mm == placement.start_mm
