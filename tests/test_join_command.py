"""`scrapeview join`: a map, its report and what is said; plain refusals that write nothing."""

import json

import numpy as np
import pandas as pd
import pytest
from joined_faces import STRIP_MM, corners_on, strip
from PIL import Image
from typer.testing import CliRunner

from scrapeview.cli import app
from scrapeview.map_plane import map_of

NAMES = [f"stretch {number}.jpg" for number in (1, 2, 3, 4)]


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.fixture(scope="module")
def folder(made_once, tmp_path_factory):
    """Photographs of a strip, its map, report and seams."""
    place = tmp_path_factory.mktemp("joined")
    for name, photo in zip(NAMES, strip(made_once).photos, strict=True):
        (place / name).write_bytes(photo)
    return place


@pytest.fixture(scope="module")
def result(folder):
    photos = [folder / name for name in NAMES]
    return run("join", *photos, "--out", folder / "map.png", "--seams", folder / "seams.csv",
               "--bar", "150mm")  # fmt: skip


def test_a_map_its_report_and_its_seams_are_written(folder, result):
    assert result.exit_code == 0, result.output
    with Image.open(folder / "map.png") as picture:
        assert picture.info["dpi"] == pytest.approx((127, 127), abs=0.1)
        assert picture.width > 5 * STRIP_MM[0]
    told = json.loads((folder / "map.json").read_text())
    assert [len(sha) for sha in told["photos"]["sha256"]] == [64] * 4
    assert told["photos"]["name"] == NAMES
    assert len(told["solved"]["mm_to_px"]) == 4
    seams = pd.read_csv(folder / "seams.csv")
    assert len(seams) >= 3
    joined = map_of(folder / "map.json", folder / "map.png")
    assert joined.plane.kind == "map"
    assert joined.seams["length_mm"].tolist() == seams["length_mm"].tolist()


def test_what_fits_how_well_is_said(result):
    assert "4 photographs joined by" in result.stdout
    assert "stretch 3.jpg" in result.stdout
    assert "1 and 2" in result.stdout
    assert "no gaps" in result.stdout
    assert "scrapeview read" in result.stdout
    assert "Traceback" not in result.output


@pytest.mark.usefixtures("result")
def test_the_map_is_read_with_its_report(folder, made_once):
    face = strip(made_once)
    joined = map_of(folder / "map.json", folder / "map.png")
    corners = " ".join(f"{x:.1f},{y:.1f}" for x, y in corners_on(joined, face))
    size = "{}x{}mm".format(*STRIP_MM)
    read = ["read", folder / "map.png", "--joined", folder / "map.json"]
    result = run(*read, "--corners", corners, "--size", size, "--json", folder / "reading.json")
    assert result.exit_code == 0, result.output
    reading = json.loads((folder / "reading.json").read_text())
    assert reading["plane"]["kind"] == "map"
    assert reading["derived"]["point_count"] == pytest.approx(len(face.truth.points), rel=0.03)
    no_face = run(*read)
    assert no_face.exit_code == 2
    assert "--corners" in no_face.output
    other = run("read", folder / NAMES[0], "--joined", folder / "map.json", *read[4:])
    assert other.exit_code == 2
    assert "is not the map" in other.output
    no_report = run("read", folder / "map.png", "--joined", folder / "seams.csv")
    assert no_report.exit_code == 2
    assert "not the report of a map" in no_report.output


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--out", "map.jpg"], "must end in .png"),
        (["--out", "nowhere/map.png"], "no folder"),
        (["--out", "new.png", "--report", "new.png"], "names of their own"),
        (["--out", "new.png", "--bar", "3000mm"], "cannot be"),
        (["--out", "new.png", "--size", "420x60mm"], "four corners"),
        (["--out", "new.png", "--corner", "1:5,5"], "four corners"),
        (["--out", "new.png", "--size", "420x60mm", *4 * ["--corner", "9:5,5"]], "no photo 9 of 4"),
        (["--out", "new.png", "--size", "420x60mm", *4 * ["--corner", "5,5"]], "3:120,455"),
        (["--out", "new.png", "--tiles", "large"], "tiles"),
        (["--out", "new.png", NAMES[0]], "are one photograph"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(folder, monkeypatch, words, says):
    monkeypatch.chdir(folder)
    before = sorted(folder.iterdir())
    result = run("join", *NAMES, *words)
    assert result.exit_code == 2, result.output
    assert says in result.output
    assert "Traceback" not in result.output
    assert sorted(folder.iterdir()) == before


def test_a_damaged_photograph_is_named_and_nothing_is_written(folder, tmp_path):
    half = tmp_path / "broken.jpg"
    whole = (folder / NAMES[1]).read_bytes()
    half.write_bytes(whole[: len(whole) // 2])
    result = run("join", folder / NAMES[0], half, folder / NAMES[2], "--out", tmp_path / "map.png")
    assert result.exit_code == 2
    assert result.output.count("\n") == 1
    assert "'broken.jpg' is damaged" in result.output
    assert [path.name for path in tmp_path.iterdir()] == ["broken.jpg"]


def test_a_photograph_is_never_written_over(folder, tmp_path):
    picture = tmp_path / "photo.png"
    Image.fromarray(np.zeros((40, 60, 3), np.uint8)).save(picture)
    before = picture.read_bytes()
    result = run("join", picture, folder / NAMES[0], "--out", picture)
    assert result.exit_code == 2
    assert "is the photograph itself" in result.output
    assert picture.read_bytes() == before
