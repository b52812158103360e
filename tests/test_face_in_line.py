"""A long face in the record: what is joined, what one stretch shows, and where prints lie."""

import shutil

import numpy as np
import pytest
from long_record import SMALL, TWO_WAYS, keep_long_face, photograph

from scrapeview.charts.inline_words import CHECK_IT
from scrapeview.charts.layers_data import layered
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.picture import face_of, picture_of
from scrapeview.corrections import Correction
from scrapeview.errors import PlaneError, ReadingError
from scrapeview.face_beside import beside_sentences
from scrapeview.face_in_line import (
    between,
    bounds_of,
    checks_of,
    contact_map,
    covered_percent,
    is_long,
    joined_percent,
    lies_elsewhere,
    line_in,
    long_face_of,
    placed_print,
    showing,
    unit_of,
)
from scrapeview.face_placement import moved, tell_placement
from scrapeview.face_reading import read_for_face
from scrapeview.face_stretch import stretch_reading
from scrapeview.judge.inline.estimates import FilmUnit, Joint
from scrapeview.judge.inline.in_line import in_line
from scrapeview.judge.inline.joined import joined_figures
from scrapeview.placed_plane import plane_on_face
from scrapeview.placements import Placement
from scrapeview.record import FacePlan, Record
from scrapeview.record.entries import FilmCalibration, LineCheck

PLAN = FacePlan(name="way", width_mm=SMALL.size_mm[0], height_mm=SMALL.size_mm[1], marking="blue")


@pytest.fixture(scope="module")
def readings():
    """The three placements of the last pass, in millimetres of the face."""
    found = []
    for placement in SMALL.placements:
        photo, plane = photograph(SMALL, 4, placement)
        found.append(read_for_face(PLAN, photo, plane_on_face(PLAN, placement, plane)))
    return found


@pytest.fixture(scope="module")
def untold_made(tmp_path_factory):
    """Folder of a record whose prints only have names of placements; not to be changed."""
    home = tmp_path_factory.mktemp("untold") / "home"
    record = Record.open(home)
    one_pass = type(SMALL)(passes=1)
    keep_long_face(record, one_pass, told=False)
    record.close()
    return home


@pytest.fixture
def untold(tmp_path, untold_made):
    record = Record.open(shutil.copytree(untold_made, tmp_path / "home"))
    yield record, record.faces()[0]
    record.close()


def stretch_at(at):
    return Stretch(pass_number=4, print_id=at, reading_id=at, placement=SMALL.placements[at])


def test_a_stretch_has_the_figures_of_what_lies_in_it(readings):
    reading = readings[1]
    cut = stretch_reading(reading, 140.0, 215.0)
    x = np.arange(reading.contact_mask.shape[1]) / reading.px_per_mm + reading.origin_mm[0]
    inside = (x >= 140) & (x < 215)
    contact_mm2 = reading.contact_mask[:, inside].sum() / reading.px_per_mm**2
    assert cut.contact_percent == pytest.approx(100 * contact_mm2 / (75 * 48), abs=0.1)
    assert cut.area_mm2 == pytest.approx(75 * 48, rel=0.01)
    wanted = reading.points[reading.points["x_mm"].between(140, 215, inclusive="left")]
    assert list(cut.points["x_mm"]) == list(wanted["x_mm"])
    assert cut.points_per_square_inch == pytest.approx(len(wanted) * 645.16 / (75 * 48), rel=0.01)
    assert cut.contact_interval.low < cut.contact_percent < cut.contact_interval.high
    assert 140 <= cut.worst_square.x_mm <= 215 - cut.settings.cell_mm
    assert not cut.contact_mask[:, ~inside].any()
    assert face_of(cut).bounds_mm == pytest.approx((140, 0, 215, 48), abs=1e-6)


def test_the_whole_stretch_is_the_reading_itself(readings):
    assert stretch_reading(readings[0], -10.0, 400.0) is readings[0]


def test_two_halves_hold_all_that_the_whole_holds(readings):
    whole = readings[0]
    halves = [stretch_reading(whole, *ends) for ends in ((0, 70), (70, 150))]
    assert sum(len(half.points) for half in halves) == len(whole.points)
    assert sum(half.contact_mask.sum() for half in halves) == whole.contact_mask.sum()
    assert sum(half.area_mm2 for half in halves) == pytest.approx(whole.area_mm2, rel=0.01)


def test_what_is_not_shown_is_refused_in_words(readings):
    with pytest.raises(ReadingError, match="shows nothing from 200 to 300 mm"):
        stretch_reading(readings[0], 200.0, 300.0)


def test_a_stretch_of_two_ways_keeps_both():
    placement = TWO_WAYS.placements[0]
    photo, plane = photograph(TWO_WAYS, 1, placement)
    plan = FacePlan(name="ways", width_mm=360, height_mm=48, regions_mm=TWO_WAYS.regions_mm)
    reading = read_for_face(plan, photo, plane_on_face(plan, placement, plane))
    cut = stretch_reading(reading, 30.0, 90.0)
    joined = joined_figures([placed_print(stretch_at(0), reading)])
    found = contact_map(joined, plan, (0.0, 0.0, 360.0, 48.0))
    # what lies between the ways is no face, so that it is not missed
    assert covered_percent(found) == pytest.approx(100 * 150 / 360, abs=1)
    assert len(cut.regions_mm) == len(cut.regions) == 2
    assert list(cut.regions["area_mm2"]) == pytest.approx([60 * 18, 60 * 18], rel=0.02)
    in_first = cut.points["y_mm"] < 24
    assert (cut.points["region"] == np.where(in_first, 1, 2)).all()
    assert cut.regions["points"].sum() == len(cut.points)


def test_the_map_is_judged_by_the_prints_that_show_a_place(readings):
    def joined_map(chosen, bounds):
        prints = [placed_print(stretch_at(at), readings[at]) for at in chosen]
        return contact_map(joined_figures(prints), PLAN, bounds)

    bounds = (0.0, 0.0, 360.0, 48.0)
    found = joined_map([0, 2], bounds)
    x = found.middles(0)
    gap = (x > 152) & (x < 208)
    assert np.isnan(found.percent[:, gap]).all()
    assert np.isfinite(found.percent[:, ~gap & ((x < 148) | (x > 212))]).all()
    assert covered_percent(found) == pytest.approx(100 * 300 / 360, abs=2)
    left = joined_percent(found, (0.0, 150.0))
    assert left == pytest.approx(readings[0].contact_percent, abs=0.3)
    assert joined_percent(found, (160.0, 200.0)) is None
    # where two show a place its contact is the mean of theirs
    joined = joined_map([0, 1], bounds)
    first, last = 30 / joined.px_per_mm, 40 / joined.px_per_mm
    each = [stretch_reading(one, first, last).contact_percent for one in readings[:2]]
    assert abs(each[0] - each[1]) > 0.5
    assert joined_percent(joined, (first, last)) == pytest.approx(np.mean(each), abs=0.1)


def test_prints_nobody_placed_are_told_apart_and_read_where_they_lay(untold):
    record, face = untold
    found = long_face_of(record, face)
    assert found.placed == ()
    assert [one.name for one in found.unplaced] == ["left end", "middle", "right end"]
    middle = found.unplaced[1]
    before = record.reading(middle.reading_id)
    assert tell_placement(record, face, middle.print_id, SMALL.placements[1])
    placed = long_face_of(record, face).placed
    assert [(one.start_mm, one.end_mm) for one in placed] == [(105.0, 255.0)]
    after = record.reading(placed[0].reading_id)
    assert face_of(after).bounds_mm == pytest.approx((105, 0, 255, 48), abs=1e-6)
    assert after.contact_percent == pytest.approx(before.contact_percent, abs=0.3)
    assert lies_elsewhere(placed[0], before)
    assert not lies_elsewhere(placed[0], after)
    # told once more it lies there already
    assert not tell_placement(record, face, middle.print_id, SMALL.placements[1])


def test_a_placement_that_cannot_be_changes_nothing(untold):
    record, face = untold
    one = long_face_of(record, face).unplaced[0]
    off_the_face = Placement(name="left end", start_mm=500.0, length_mm=150.0)
    with pytest.raises(PlaneError, match="covers nothing"):
        tell_placement(record, face, one.print_id, off_the_face)
    assert long_face_of(record, face).unplaced[0] == one


def test_a_correction_stays_on_its_point():
    _, plane = photograph(SMALL, 1, SMALL.placements[1])
    there = plane_on_face(PLAN, SMALL.placements[1], plane)
    correction = Correction("remove", ((12.0, 20.0),))
    again = moved(correction, plane, there)
    assert again.places_mm[0] == pytest.approx((117.0, 20.0))


def test_a_print_alone_in_its_pass_shows_the_whole_face(sample_made, tmp_path):
    record = Record.open(shutil.copytree(sample_made, tmp_path / "home"))
    face = record.faces()[0]
    found = long_face_of(record, face)
    record.close()
    assert len(found.placed) == len(found.numbers) == 8
    assert {one.name for one in found.placed} == {"whole face"}
    last = found.of_pass(8)
    assert bounds_of(face.plan, last) == (0.0, 0.0, face.plan.width_mm, face.plan.height_mm)
    assert showing(last, (0.0, 20.0)) == list(last)
    assert not is_long(face.plan)
    assert is_long(PLAN)


def test_only_checks_of_the_pass_stand_beside_its_estimates():
    joint = Joint("left end", "middle", 127.0, 45.0, None, None, None)
    kept = [
        LineCheck(pass_number=number, what="step", between=named, value_um=1.0, instrument="level")
        for number, named in ((3, "Left end and middle"), (4, "left end and middle"), (4, "other"))
    ]
    assert checks_of(kept, between(joint), 4) == (kept[1],)
    assert checks_of(kept, between(joint), 3) == (kept[0],)


def test_the_latest_calibration_holds():
    assert unit_of(()) is None
    kept = [
        FilmCalibration(um=um, low_um=um - 1, high_um=um + 1, how="own figure") for um in (2, 3)
    ]
    assert unit_of(kept).um == 3


def test_what_is_kept_in_film_units_is_shown_as_if_worked_out_with_the_unit(readings):
    prints = [placed_print(stretch_at(at), readings[at]) for at in (0, 1)]
    unit = FilmUnit(1.4, 1.2, 1.7, "shim")
    assert line_in(in_line(prints), unit) == in_line(prints, unit=unit)


def test_layers_of_a_stretch_can_be_drawn(readings):
    photo, _ = photograph(SMALL, 4, SMALL.placements[1])
    cut = stretch_reading(readings[1], 140.0, 215.0)
    view = picture_of(cut, photo, px_per_mm=4.0)
    told = layered(cut, view)
    assert len(told["points"]["x_mm"]) == len(cut.points)
    assert told["cells"]["side_mm"] == cut.settings.cell_mm


def test_the_line_of_a_face_is_told_joint_by_joint_beside_its_verdict(tmp_path):
    record = Record.open(tmp_path)
    number = keep_long_face(record, type(SMALL)(passes=1))
    record.add_line_check(number, LineCheck(
        pass_number=1, what="step", between="left end and middle", value_um=2.0,
        instrument="indicator",
    ))  # fmt: skip
    beside = beside_sentences(record, record.face(number), "metric")
    for joint in ("Left end and middle: ", "Middle and right end: "):
        assert any(told.startswith(joint) for told in beside), beside
    assert beside.count(CHECK_IT) == 1
    assert any("indicator" in told and "2.0 µm" in told for told in beside if told != CHECK_IT)
    record.close()
