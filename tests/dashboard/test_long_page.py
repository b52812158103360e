"""The page Long face: every part comes up, says what to do, and keeps what it is told."""

import shutil

import pytest
from long_record import SMALL, TWO_WAYS, fill_long, keep_joined, keep_long_face

from scrapeview.charts import long_words as words
from scrapeview.charts.long_stretches import followed
from scrapeview.dashboard.long_joined import NONE_JOINED
from scrapeview.dashboard.long_page import NOT_TOLD, SECTIONS
from scrapeview.dashboard.long_strip import ONE_PLACEMENT, ONE_PRINT
from scrapeview.dashboard.long_zoom import neighbours, scaled
from scrapeview.face_in_line import long_face_of
from scrapeview.face_stretch import stretch_reading
from scrapeview.placements import Placement
from scrapeview.record import Record

BOUNDS = (0.0, 0.0, 360.0, 48.0)
SHORT = type(SMALL)(passes=2)


@pytest.fixture(scope="module")
def long_made(made_once):
    """Folder of a record with a long face of two passes; to be copied, not changed."""
    return made_once.folder("long", fill_long)


@pytest.fixture(scope="module")
def looked_at(tmp_path_factory, long_made):
    """Folder of a long face that this module only looks at, so that pages keep what took long."""
    return shutil.copytree(long_made, tmp_path_factory.mktemp("long") / "home")


@pytest.fixture
def own_long_face(tmp_path, long_made):
    """Folder of a long face that a test may change."""
    return shutil.copytree(long_made, tmp_path / "home")


@pytest.fixture
def open_part(open_page):
    """Open a part of the page by its name."""

    def opened(part, home):
        page = open_page("Long face", home)
        return page if part == SECTIONS[0] else page.button_group(key="look").set_value(part).run()

    return opened


def told(page):
    texts = (*page.markdown, *page.caption, *page.info, *page.warning, *page.success)
    said = " ".join([text.value for text in texts] + [e.proto.body for e in page.get("html")])
    return said.replace("\N{NO-BREAK SPACE}", " ").replace("\\", "")


def field(page, kind, label):
    return next(one for one in getattr(page, kind) if one.label == label)


EXPECTED = {
    "Strip": "100 % of the face is shown by 3 placements of pass 2",
    "Stretch": "17.2 % contact from 0 to 150 mm",
    "Progress": "Bars through the signs are intervals",
    "In line": "Heights are in film units",
    "Photographs": NONE_JOINED,
    "Placements": "Measure along the face from its left end",
}


def test_every_part_of_the_page_comes_up(open_part, looked_at):
    assert set(EXPECTED) == set(SECTIONS)
    for part, said in EXPECTED.items():
        page = open_part(part, looked_at)
        assert not page.exception
        assert not page.error, part
        assert said.split(" ", 1)[1] in told(page), part


def test_the_strip_names_every_placement_with_its_place_and_figures(open_part, looked_at, recorded):
    record = recorded(looked_at)
    stretches = long_face_of(record, record.faces()[0]).of_pass(2)
    said = told(open_part("Strip", looked_at))
    for one in stretches:
        assert f"<b>{one.name}</b><br>{words.where_words(one, 'metric')}" in said
        assert words.stretch_line(one, "metric") in said
    assert "Where they meet: an estimate" in [
        one.value for one in open_part("Strip", looked_at).subheader
    ]


def test_an_earlier_pass_can_be_looked_at(open_part, looked_at):
    page = open_part("Strip", looked_at)
    page = field(page, "select_slider", "Pass").set_value(1).run()
    assert "placements of pass 1" in told(page)
    # and the other parts follow
    page = page.button_group(key="look").set_value("Stretch").run()
    assert "left end, pass 1" in told(page)


def test_a_stretch_is_chosen_by_buttons_and_by_its_ends(open_part, looked_at, recorded):
    page = open_part("Stretch", looked_at)
    page = field(page, "button", "Stretch after").click().run()
    assert "105 to 255 mm: middle, pass 2" in told(page)
    assert field(page, "slider", "Or from and to, mm from the left end").value == (105.0, 255.0)
    page = field(page, "slider", "Or from and to, mm from the left end").set_value((120, 180)).run()
    assert "120 to 180 mm: middle, pass 2" in told(page)
    record = recorded(looked_at)
    middle = long_face_of(record, record.faces()[0]).of_pass(2)[1]
    reading = stretch_reading(record.reading(middle.reading_id), 120.0, 180.0)
    interval = reading.contact_interval
    row = f"{reading.contact_percent:.1f} % ({interval.low:.1f} to {interval.high:.1f})"
    assert row in told(page)
    page = field(page, "button", "Closer").click().run()
    assert "135 to 165 mm" in told(page)
    assert not page.error


def test_steps_follow_the_placements_or_go_on_by_as_much_again(recorded, looked_at):
    record = recorded(looked_at)
    stretches = long_face_of(record, record.faces()[0]).of_pass(2)
    assert neighbours(stretches, (105.0, 255.0), BOUNDS) == ((0.0, 150.0), (210.0, 360.0))
    assert neighbours(stretches, (0.0, 150.0), BOUNDS) == (None, (105.0, 255.0))
    assert neighbours(stretches, (20.0, 80.0), BOUNDS) == ((0.0, 60.0), (80.0, 140.0))
    assert neighbours(stretches, (300.0, 360.0), BOUNDS)[1] is None
    assert scaled((100.0, 200.0), 0.5, BOUNDS) == (125.0, 175.0)
    assert scaled((0.0, 100.0), 2.0, BOUNDS) == (0.0, 200.0)
    assert scaled((0.0, 30.0), 0.5, BOUNDS) is None
    assert scaled((0.0, 360.0), 2.0, BOUNDS) is None


def test_progress_names_the_stretch_that_is_behind(open_part, looked_at, recorded):
    record = recorded(looked_at)
    face = record.faces()[0]
    lines = followed(long_face_of(record, face).placed)
    assert [len(line.stretches) for line in lines] == [2, 2, 2]
    sentence = words.behind_sentence(lines, face.plan.target, "metric")
    assert sentence in told(open_part("Progress", looked_at))


def test_checks_and_a_film_unit_stand_beside_estimates_and_are_taken_out(
    open_part, own_long_face, recorded
):
    record, page = recorded(own_long_face), open_part("In line", own_long_face)
    page = field(page, "button", "Keep the check of pass 2").click().run()
    assert "say what the instrument showed" in told(page)
    assert "µm (95 %" not in told(page)
    field(page, "number_input", "What it showed, minus for the other way").set_value(2.0)
    field(page, "number_input", "Sure to, give or take").set_value(0.5)
    field(page, "selectbox", "Unit").set_value("0.0001 in")
    page = field(page, "button", "Keep the check of pass 2").click().run()
    check = record.line_checks(1)[0]
    assert (check.what, check.between, check.pass_number) == ("step", "left end and middle", 2)
    assert (check.value_um, check.error_um) == pytest.approx((5.08, 1.27))
    # once in the list of checks, once beside the estimate
    assert told(page).count("+5.1") >= 2
    # a tilt is checked in units of its own
    page = field(page, "selectbox", "What was checked").select_index(1).run()
    assert field(page, "selectbox", "Unit").options == ["µm per m", "0.001 in per ft"]
    field(page, "selectbox", "Unit").set_value("0.001 in per ft")
    field(page, "number_input", "What it showed, minus for the other way").set_value(-1.0)
    page = field(page, "button", "Keep the check of pass 2").click().run()
    assert record.line_checks(1)[1].value_um == pytest.approx(-83.333, abs=0.01)
    page = field(page, "selectbox", "Which one").set_value(0).run()
    page = field(page, "button", "Take this check out").click().run()
    assert [one.what for one in record.line_checks(1)] == ["tilt along"]
    assert "The check is taken out." in told(page)
    field(page, "number_input", "One film unit is").set_value(1.5)
    page = field(page, "button", "Keep this figure").click().run()
    assert [(one.um, one.how) for one in record.film_calibrations(1)] == [(1.5, "own figure")]
    assert "µm (95 %" in told(page)
    # two prints, one with a shim, are asked for in full
    page = field(page, "button", "Work out the film unit").click().run()
    assert "fill in all fields" in told(page)
    page = page.selectbox(key="long-1-film-out").set_value(0).run()
    page = field(page, "button", "Take this calibration out").click().run()
    assert record.film_calibrations(1) == ()
    assert not page.error


def test_two_ways_are_weighed_against_each_other(open_part, tmp_path):
    record = Record.open(tmp_path / "ways")
    keep_long_face(record, TWO_WAYS)
    record.close()
    page = open_part("In line", tmp_path / "ways")
    assert not page.error
    assert "Two ways in one plane: an estimate" in [one.value for one in page.subheader]


def test_where_nobody_told_a_placement_it_is_asked_for_and_read_there(
    open_page, tmp_path, recorded
):
    home = tmp_path / "untold"
    record = Record.open(home)
    keep_long_face(record, SHORT, told=False)
    record.close()
    page = open_page("Long face", home)
    assert NOT_TOLD in told(page)
    field(page, "selectbox", "Print").set_value(1).run()
    page = field(page, "button", "Keep where it lay").click().run()
    assert "Nothing was kept" in told(page)
    field(page, "number_input", "Where it began, mm from the left end").set_value(105.0)
    field(page, "number_input", "How much of the face it covered, mm").set_value(150.0)
    page = field(page, "button", "Keep where it lay").click().run()
    assert not page.error
    record = recorded(home)
    placed = long_face_of(record, record.faces()[0]).placed
    # both prints of that name, in both passes, told and read there
    assert [(one.pass_number, one.start_mm) for one in placed] == [(1, 105.0), (2, 105.0)]
    assert all(len(entry.reading_ids) == 1 + (entry.where.is_told) for entry in record.prints(1))


def test_a_face_with_one_placement_says_what_to_do(open_page, one_pass_home, recorded):
    page = open_page("Long face", one_pass_home)
    assert ONE_PRINT in told(page)
    record = recorded(one_pass_home)
    width_mm = record.faces()[0].plan.width_mm
    part = Placement(name="left end", start_mm=0.0, length_mm=0.6 * width_mm)
    record.change_placement(record.prints(1)[0].print_id, part)
    page = open_page("Long face", one_pass_home)
    assert ONE_PLACEMENT in told(page)
    assert not page.error
    # told to lie where its reading shows nothing, without having been read there
    beyond = Placement(name="right end", start_mm=width_mm, length_mm=0.6 * width_mm)
    record.change_placement(record.prints(1)[0].print_id, beyond)
    page = open_page("Long face", one_pass_home)
    assert "right end: read before it was told where the reference lay" in told(page)
    assert not page.error


def test_inches_are_shown_where_the_shop_works_in_them(open_part, own_long_face, recorded):
    recorded(own_long_face).set_setting("units", "inch")
    page = open_part("Stretch", own_long_face)
    assert "0.0 to 5.9 in: left end" in told(page)
    assert field(page, "slider", "Or from and to, in from the left end").value == (0.0, 5.91)
    assert not page.error


def test_a_map_of_several_photographs_shows_how_it_was_joined(open_part, own_long_face, recorded):
    record = recorded(own_long_face)
    keep_joined(record, 1)
    page = open_part("Photographs", own_long_face)
    assert not page.error
    assert "3 photographs joined to one map, 0.04 mm off on average" in told(page)
    shown = page.dataframe[0].value
    assert list(shown["photograph"]) == ["left.png", "middle.png", "right.png"]
    # the map is the whole face, in one print
    page = open_part("Strip", own_long_face)
    assert "is shown by 1 placement of pass 3" in told(page)
    assert "What is hatched no print shows" in told(page)
