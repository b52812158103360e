"""The command line: what it prints and writes, and that nothing typed ends in a traceback."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from PIL import Image
from typer.testing import CliRunner

import scrapeview
from scrapeview import outputs
from scrapeview.cli import app
from scrapeview.columns import COLUMNS, columns_of
from scrapeview.demo import patches_per_square_inch
from scrapeview.outputs import OutputError, require_writable, write_whole
from scrapeview.reading_json import from_json
from scrapeview.samples import find_samples
from scrapeview.table_text import reading_text

SEED = 2
SAMPLES = Path(__file__).parents[1] / "sample_images"


@pytest.fixture(scope="session")
def shop(tmp_path_factory, printed):
    """A folder with photographs in it."""
    folder = tmp_path_factory.mktemp("shop")
    for scene in ("plain", "disc", "blank", "slots"):
        (folder / f"{scene}.jpg").write_bytes(printed(scene, SEED).jpeg)
    (folder / "notes.txt").write_text("no photograph")
    (folder / "empty.jpg").write_bytes(b"")
    (folder / "cut.jpg").write_bytes(printed("plain", SEED).jpeg[:9000])
    return folder


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


def pick_text(points):
    return " ".join(f"{float(x)!r},{float(y)!r}" for x, y in points)


def face_words(shot):
    w, h = shot.size_mm
    return "--corners", pick_text(shot.corners_px), "--size", f"{w}x{h}mm"


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


@pytest.fixture(scope="module")
def own_reading(printed):
    """The reading that the command line is to print."""
    shot = printed("plain", SEED)
    plane = scrapeview.Plane.from_corners(shot.corners_px, size_mm=shot.size_mm)
    return scrapeview.read_print(shot.jpeg, plane=plane, marking="blue")


def test_a_print_is_read_and_told(shop, printed, own_reading):
    found = own_reading
    result = run(
        "read", shop / "plain.jpg", *face_words(printed("plain", SEED)), "--marking", "blue"
    )
    assert result.exit_code == 0, result.output
    assert result.stdout == reading_text(found, "plain.jpg") + "\n"
    assert f"{found.contact_percent:.1f} %" in result.stdout
    assert f"{found.points_per_square_inch:.1f}" in result.stdout
    assert f"{found.points_per_25mm_square:.1f}" in result.stdout
    assert result.stdout.isascii()
    assert max(map(len, result.stdout.splitlines())) <= 100


def test_all_files_are_written_and_agree(shop, printed, tmp_path):
    files = {name: tmp_path / f"out.{kind}" for name, kind in
             (("json", "json"), ("points", "csv"), ("overlay", "png"))}  # fmt: skip
    files["cells"] = tmp_path / "cells.csv"
    asked = [word for name, path in files.items() for word in (f"--{name}", path)]
    result = run("read", shop / "plain.jpg", *face_words(printed("plain", SEED)), *asked)
    assert result.exit_code == 0, result.output
    stored = from_json(files["json"].read_text())
    points = pd.read_csv(files["points"])
    assert list(points.columns) == [c.name for c in columns_of("points")]
    assert np.allclose(points["x_mm"], stored.points["x_mm"])
    assert len(pd.read_csv(files["cells"])) == len(stored.cells)
    with Image.open(files["overlay"]) as picture:
        assert picture.format == "PNG"
    assert sorted(tmp_path.iterdir()) == sorted(files.values())


def test_json_to_stdout_is_all_that_is_printed(shop, printed, own_reading):
    words = face_words(printed("plain", SEED))
    result = run("read", shop / "plain.jpg", *words, "--marking", "blue", "--json", "-")
    assert result.exit_code == 0
    found = from_json(result.stdout)
    assert found.contact_percent == own_reading.contact_percent
    assert found.points.equals(own_reading.points)


def test_a_round_face_with_openings(shop, printed):
    shot = printed("disc", SEED)
    x, y = shot.centre_px
    face = ("--rim", pick_text(shot.rim_px), "--diameter", f"{shot.diameter_mm}mm")
    bored = (*face, "--centre", f"{x},{y}", "--opening", f"circle {x},{y} r40")
    bored += ("--opening", "circle 20mm,42mm r4mm")
    whole = run("read", shop / "disc.jpg", *face, "--json", "-")
    less = run("read", shop / "disc.jpg", *bored, "--json", "-")
    assert whole.exit_code == less.exit_code == 0, whole.stderr + less.stderr
    found = from_json(less.stdout)
    assert len(found.openings_mm) == 2
    px_per_mm = float(found.plane.px_per_mm_at([[shot.diameter_mm / 2] * 2])[0])
    taken = np.pi * ((40 / px_per_mm) ** 2 + 4**2)
    assert from_json(whole.stdout).area_mm2 - found.area_mm2 == pytest.approx(taken, rel=0.1)


def test_scale_from_a_length_and_two_outlines(shop, printed):
    shot = printed("plain", SEED)
    corners = shot.corners_px
    (x0, y0), (x1, y1) = corners.min(axis=0) + 20, corners.max(axis=0) - 20
    middle = (x0 + x1) / 2
    halves = [
        f"{a},{y0} {b},{y0} {b},{y1} {a},{y1}" for a, b in ((x0, middle - 9), (middle + 9, x1))
    ]
    result = run("read", shop / "plain.jpg", "--scale", pick_text(corners[:2]),
                 "--length", f"{shot.size_mm[0]}mm", "--outline", halves[0], "--outline", halves[1],
                 "--units", "inch", "--cell", "25mm")  # fmt: skip
    assert result.exit_code == 0, result.output
    assert "region" in result.stdout
    assert "worst 25 mm square" in result.stdout
    assert " in from the left" in result.stdout


def test_a_blank_face_is_told_with_its_reason(shop, printed):
    words = face_words(printed("blank", SEED))
    result = run("read", shop / "blank.jpg", *words, "--overlay", shop / "blank-overlay.jpg")
    assert result.exit_code == 0
    assert "NO PRINT" in result.stdout
    assert "No marking found" in " ".join(result.stdout.split())
    assert "points/in2" not in result.stdout


def test_an_unreliable_count_is_called_so_where_it_stands(reading):
    found = reading("merged", SEED)
    lines = reading_text(found, "merged.jpg").splitlines()
    (per_inch,) = [line for line in lines if line.strip().startswith("points/in2")]
    assert "UNRELIABLE" in per_inch
    assert f"{found.points_per_square_inch:.1f}" not in per_inch


def test_bad_findings_come_before_those_in_order(reading):
    text = reading_text(reading("merged", SEED), "merged.jpg")
    assert text.index("BAD") < text.index("in order")


CORNERS = "100,100 900,100 900,600 100,600"


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("--corners", CORNERS),
        ("--size", "110x70mm"),
        ("--corners", "", "--size", "110x70mm"),
        ("--corners", CORNERS, "--size", "110x70"),
        ("--corners", CORNERS, "--size", "0x70mm"),
        ("--corners", CORNERS, "--size", "70x1100mm"),
        ("--corners", "1,1 2,2 3,3 4,4", "--size", "110x70mm"),
        ("--corners", "100,600 900,600 900,100 100,100", "--size", "110x70mm"),
        ("--corners", "-9999,1 999999,1 999999,99999 1,99999", "--size", "110x70mm"),
        ("--corners", "1,2,3 4", "--size", "110x70mm"),
        ("--rim", CORNERS, "--diameter", "100mm"),
        ("--rim", CORNERS + " 500,0", "--diameter", "wide"),
        ("--scale", "5,5 5,5", "--length", "100mm"),
        ("--scale", "5,5 900,5", "--length", "100mm", "--outline", "1,1 2,2 3,3"),
        ("--scale", "5,5 900,5", "--length", "100mm", "--outline", "5000,1 6000,1 6000,900"),
    ],
)
def test_places_that_cannot_be_are_refused(words, shop):
    refused("read", shop / "plain.jpg", *words)


@pytest.mark.parametrize(
    "words",
    [
        ("--scale", "5,5 900,5", "--length", "0.0000001mm"),
        ("--scale", "5,5 6,6", "--length", "100000mm"),
        ("--scale", "5,5 900,5", "--length", "100mm", "--outline", "0,0 1,0 1,1"),
    ],
)
def test_faces_far_too_small_or_too_large_are_refused(words, shop):
    refused("read", shop / "plain.jpg", *words)


@pytest.mark.parametrize(
    "words",
    [
        ("--opening", "nonsense"),
        ("--opening", "circle 3,4"),
        ("--opening", "0mm,0mm 900mm,0mm 900mm,900mm 0mm,900mm"),
        ("--opening", "1,1 9,9 1,9 9,1"),
        ("--smallest", "0.01mm"),
        ("--smallest", "5mm", "--largest", "4mm"),
        ("--smallest", "big"),
        ("--cell", "1"),
        ("--cell", "9in"),
        ("--marking-pick", "300,300"),
        ("--marking-pick", "300,300", "--metal-pick", "99999,5"),
        ("--marking-pick", "x", "--metal-pick", "300,300"),
        ("--marking-pick", "300,300", "--metal-pick", "300,300"),
        ("--centre", "4,4"),
        ("--outline", "4mm,4mm 6mm,4mm 6mm,8mm"),
    ],
)
def test_other_things_that_cannot_be_are_refused(words, shop, printed):
    refused("read", shop / "plain.jpg", *face_words(printed("plain", SEED)), *words)


@pytest.mark.parametrize(
    "name", ["missing.jpg", "notes.txt", "empty.jpg", "cut.jpg", ".", "a" * 300]
)
def test_photographs_that_cannot_be_read_are_refused(name, shop, printed, tmp_path):
    out = tmp_path / "out.json"
    refused("read", shop / name, *face_words(printed("plain", SEED)), "--json", out)
    assert not out.exists()


@pytest.mark.parametrize(
    "words",
    [
        ("--json", "{tmp}/nowhere/out.json"),
        ("--json", "{tmp}"),
        ("--json", "{tmp}/plain.jpg/out.json"),
        ("--points", "/dev/null"),
        ("--overlay", "{tmp}/out.gif"),
        ("--overlay", "{tmp}/out"),
        ("--points", "{tmp}/same.csv", "--cells", "{tmp}/./same.csv"),
        ("--json", "{tmp}/" + "n" * 400),
        ("--json", "{photo}"),
        ("--json", ""),
    ],
)
def test_places_that_cannot_be_written_are_refused_before_reading(
    words, shop, printed, tmp_path, monkeypatch
):
    monkeypatch.setattr("scrapeview.reading.read_print", lambda *_, **__: pytest.fail("was read"))
    photo = shop / "plain.jpg"
    before = photo.read_bytes()
    words = [word.format(tmp=tmp_path, photo=photo) for word in words]
    refused("read", photo, *face_words(printed("plain", SEED)), *words)
    assert photo.read_bytes() == before
    assert list(tmp_path.iterdir()) == []


def test_a_failed_write_leaves_what_was_there(tmp_path, monkeypatch):
    one, two = tmp_path / "one.csv", tmp_path / "two.csv"
    one.write_text("old")

    def full(part, path, content):
        if path == two:
            part.write_bytes(content[:1])
            raise OSError(28, "No space left on device")
        part.write_bytes(content)

    monkeypatch.setattr(outputs, "_write_through", full)
    with pytest.raises(OutputError, match=r"two\.csv.*No space left"):
        write_whole({one: b"new", two: b"new"})
    assert one.read_text() == "old"
    assert list(tmp_path.iterdir()) == [one]


def test_through_a_link_the_file_behind_it_is_written(tmp_path):
    target, link = tmp_path / "real.csv", tmp_path / "link.csv"
    target.write_text("old")
    link.symlink_to(target)
    write_whole({link: b"new"})
    assert link.is_symlink()
    assert target.read_text() == "new"


def test_a_loop_of_links_is_refused(tmp_path):
    loop = tmp_path / "loop.csv"
    loop.symlink_to(loop)
    with pytest.raises(OutputError):
        require_writable(loop)


def test_columns_are_all_told():
    told = run("columns").stdout
    for column in COLUMNS:
        assert f"  {column.name} " in told
        assert column.meaning in told


@pytest.fixture(scope="module")
def few_samples(tmp_path_factory):
    """A folder with three of the samples: the first and last pass and a single one."""
    folder = tmp_path_factory.mktemp("samples")
    for name in ("cross-slide-pass-1", "cross-slide-pass-8", "glare"):
        for kind in ("jpg", "json"):
            shutil.copy(SAMPLES / f"{name}.{kind}", folder)
    return folder


def test_the_demo_reads_every_sample_and_tells_the_truth_beside_it(few_samples, tmp_path):
    result = run("demo", "--samples", few_samples, "--save", tmp_path / "overlays")
    assert result.exit_code == 0, result.output
    assert "computed" in result.stdout
    assert "invented" in result.stdout
    assert "unreliable: " in result.stdout
    told = [line for line in result.stdout.splitlines() if str(tmp_path) not in line]
    assert max(map(len, told)) <= 102
    for path in few_samples.glob("*.json"):
        truth = json.loads(path.read_text())["truth"]
        assert f"{truth['contact_percent']:.1f}" in result.stdout
        assert (tmp_path / "overlays" / f"{path.stem}.png").is_file()
    assert result.stderr == ""


def test_the_samples_come_in_the_order_of_their_passes():
    numbers = [sample.pass_number for sample in find_samples()]
    assert numbers == [1, 2, 3, 4, 5, 6, 7, 8, None, None, None]
    assert all(sample.photo.is_file() for sample in find_samples())


def test_patches_are_counted_as_the_truth_of_the_series_counts(reading):
    """Where all points stand apart, patches and points of at least the size are the same."""
    found = reading("sparse", SEED)
    apart = found.points[~found.points["split"]]
    large = int((apart["area_mm2"] >= 0.5).sum())
    assert patches_per_square_inch(found) >= large / found.area_mm2 * 645.16 - 1e-9


@pytest.mark.parametrize("content", [None, "{", "[]", "{}", '{"pass": 1}', "\xff"])
def test_folders_without_samples_are_refused(content, tmp_path):
    if content is not None:
        (tmp_path / "bad.json").write_text(content, encoding="latin-1")
    refused("demo", "--samples", tmp_path)


def test_a_sample_without_its_photograph_is_refused(tmp_path):
    (tmp_path / "a.json").write_text((SAMPLES / "glare.json").read_text())
    refused("demo", "--samples", tmp_path)


def test_overlays_cannot_go_into_a_file(shop):
    refused("demo", "--samples", SAMPLES, "--save", shop / "notes.txt" / "deeper")


def own_process(*words, stdout=subprocess.PIPE):
    return subprocess.run(
        [sys.executable, "-m", "scrapeview.cli", *map(str, words)],
        stdout=stdout, stderr=subprocess.PIPE, text=True, timeout=120, check=False,
        env={"PATH": "", "LC_ALL": "C", "PYTHONPATH": str(Path(__file__).parents[1])},
    )  # fmt: skip


def test_in_a_process_of_its_own_it_ends_with_status_2_and_one_line(shop):
    result = own_process("read", shop / "missing.jpg", "--corners", CORNERS, "--size", "110x70mm")
    assert result.returncode == 2
    assert result.stderr.count("\n") == 1
    assert "missing.jpg" in result.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_full_disk_behind_stdout_is_told():
    with Path("/dev/full").open("w") as full:
        result = own_process("columns", stdout=full)
    assert result.returncode == 2
    assert "cannot be printed" in result.stderr
    assert "Traceback" not in result.stderr
