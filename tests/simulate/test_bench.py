"""The benchmark runs, scores as defined, and reads photographs of a folder with their truth."""

import json

import numpy as np
import pytest

from scrapeview.errors import ReadingError
from scrapeview.simulate import bench, render
from scrapeview.simulate.cases import case_of, cases_in
from scrapeview.simulate.scoring import f1_score
from scrapeview.simulate.textbook import METHODS, grey_face

SIZE_MM = (60.0, 40.0)


@pytest.fixture(scope="module")
def shot():
    return render("plain", seed=4, size_mm=SIZE_MM)


def test_a_quick_run_prints_all_tables(capsys):
    bench.main(["--quick"])
    printed = capsys.readouterr().out
    for wanted in ("Scrapeview", *METHODS, "plain", "blank_stained", "Speed", "Coverage"):
        assert wanted in printed
    assert "nan" not in printed


def test_f1_counts_each_known_point_once_and_the_nearest_first():
    known = np.array([(0.0, 0.0, 3.0), (10.0, 0.0, 3.0)])
    assert f1_score(known[:, :2], known) == 1
    assert f1_score(np.array([(0.1, 0.0)]), known) == pytest.approx(2 / 3)
    # two found on one known point: one of them is too many
    assert f1_score(np.array([(0.1, 0.0), (0.2, 0.0), (10.0, 0.0)]), known) == pytest.approx(0.8)
    assert f1_score(np.array([(0.0, 3.0)]), known) == 0
    assert f1_score(np.empty((0, 2)), known) == 0
    assert f1_score(np.empty((0, 2)), np.empty((0, 3))) == 1


def test_the_reach_of_a_match_grows_with_the_point():
    radius_mm = 4.0
    known = np.array([(0.0, 0.0, np.pi * radius_mm**2)])
    assert f1_score(np.array([(0.69 * radius_mm, 0.0)]), known) == 1
    assert f1_score(np.array([(0.71 * radius_mm, 0.0)]), known) == 0


def test_a_case_knows_its_points_in_the_frame_its_plane_gives(shot):
    disc = render("disc", seed=4)
    for case in (case_of("plain", shot), case_of("disc", disc)):
        reading = case.read()
        centres = reading.points[["x_mm", "y_mm"]].to_numpy()
        assert f1_score(centres, case.points_mm) > 0.9


def test_a_resized_case_is_the_same_face(shot):
    case = case_of("plain", shot)
    half = case.resized(0.5)
    assert half.shape_px[0] == pytest.approx(case.shape_px[0] / 2, abs=1)
    edge = case.plane.to_px([(0.0, 0.0), (60.0, 40.0)])
    assert half.plane.to_px([(0.0, 0.0), (60.0, 40.0)]) == pytest.approx(
        (edge + 0.5) / 2 - 0.5, abs=0.01
    )


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_folder_is_read_in_either_unit(tmp_path, shot, unit):
    mm = 25.4 if unit == "in" else 1.0
    points = shot.truth.points[["x_mm", "y_mm", "area_mm2"]].to_numpy() / (mm, mm, mm**2)
    note = {
        "corners_px": shot.corners_px.tolist(),
        f"size_{unit}": [side / mm for side in SIZE_MM],
        f"openings_{unit}": [[10 / mm, 10 / mm, 20 / mm, 15 / mm]],
        "marking": "blue",
        "ppsi": shot.truth.points_per_square_inch,
        "contact_percent": shot.truth.contact_percent,
        "xy": [[*row, 1] for row in points.tolist()],
    }
    (tmp_path / "one.jpg").write_bytes(shot.jpeg)
    (tmp_path / "one.json").write_text(json.dumps(note))
    (tmp_path / "without truth.jpg").write_bytes(shot.jpeg)
    (case,) = cases_in(tmp_path)
    assert case.name == "one"
    assert case.size_mm == pytest.approx(SIZE_MM)
    assert case.openings_mm[0] == pytest.approx(np.array([(10, 10), (20, 10), (20, 15), (10, 15)]))
    assert case.points_mm == pytest.approx(case_of("one", shot).points_mm)
    assert case.read().area_mm2 == pytest.approx(60 * 40 - 50, rel=0.01)


def test_a_folder_without_photographs_or_with_a_faulty_note_is_refused(tmp_path, shot):
    with pytest.raises(ReadingError, match="no photograph"):
        cases_in(tmp_path)
    (tmp_path / "one.jpg").write_bytes(shot.jpeg)
    (tmp_path / "one.json").write_text(json.dumps({"corners_px": [[1, 2], [3]], "size_mm": [1, 2]}))
    with pytest.raises(ReadingError, match=r"one\.json"):
        cases_in(tmp_path)


def test_textbook_methods_see_the_marks_of_a_plain_print(shot):
    face = grey_face(case_of("plain", shot))
    known = len(shot.truth.points)
    for name, method in METHODS.items():
        found = method(face)
        assert 0.5 * known < len(found.centres_mm) < 4 * known, name
        assert found.contact_percent == pytest.approx(shot.truth.contact_percent, abs=12), name
        assert (found.centres_mm > -1).all(), name
        assert (found.centres_mm < (61, 41)).all(), name
