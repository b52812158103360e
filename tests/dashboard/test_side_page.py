"""The page Side by side: two prints chosen and compared, and what the last passes share."""

import dataclasses

import numpy as np
import pandas as pd
import pytest

from scrapeview.dashboard import side_words as words
from scrapeview.dashboard.side_page import ONE_PRINT
from scrapeview.judge import NO_SHIFT, Chance, Shift, compare_prints, grid_for, lay, over_passes
from scrapeview.record import Scrape

TITLES = ("pass 7", "pass 8")


@pytest.fixture
def sample(recorded, sample_home):
    return recorded(sample_home)


def told(page):
    return " ".join(text.value for text in (*page.markdown, *page.caption))


def compared(record, first, second):
    progress = record.progress(1).set_index("number")
    return compare_prints(
        *(record.reading(int(progress.loc[number, "reading_id"])) for number in (first, second))
    )


def sent(page):
    """What the comparing component was given."""
    found = [
        element.proto
        for element in page.get("bidi_component")
        if element.proto.component_name.endswith("scrapeview_swipe")
    ]
    assert len(found) == 3
    return found


def test_the_last_two_prints_are_compared_by_default(open_page, sample_home, sample):
    page = open_page("Side by side", sample_home)
    assert not page.exception
    assert not page.error
    last, before = page.selectbox[2], page.selectbox[1]
    assert (before.label, last.label) == ("Earlier print", "Later print")
    found = compared(sample, 7, 8)
    assert f"{found.stayed} stayed" in told(page)
    assert f"{found.went} went" in told(page)
    assert f"{found.came} came" in told(page)
    assert f"about {found.chance.expected:.0f}" in told(page)
    assert len(sent(page)) == 3


def test_other_prints_are_compared_when_chosen_and_in_their_order(open_page, sample_home, sample):
    page = open_page("Side by side", sample_home)
    progress = sample.progress(1).set_index("number")
    page.selectbox[1].set_value(int(progress.loc[8, "print_id"]))
    page.selectbox[2].set_value(int(progress.loc[5, "print_id"])).run()
    assert not page.exception
    found = compared(sample, 5, 8)
    assert f"points in pass 5, {found.stayed} stayed" in told(page)
    assert any("pass 5" in warning.value for warning in page.warning)


def test_a_print_is_not_compared_with_itself(open_page, sample_home):
    page = open_page("Side by side", sample_home)
    page.selectbox[1].set_value(page.selectbox[2].value).run()
    assert not page.exception
    assert "two different prints" in page.info[0].value


@pytest.mark.parametrize("mode", ["swipe", "blink", "both"])
def test_every_way_of_looking_comes_up(open_page, sample_home, mode):
    page = open_page("Side by side", sample_home)
    page.button_group[0].set_value(mode).run()
    assert not page.exception
    assert len(sent(page)) == 3


def test_the_number_of_passes_is_chosen(open_page, sample_home, sample):
    page = open_page("Side by side", sample_home)
    progress = sample.progress(1)
    for count in (2, 8):
        page.slider[0].set_value(count).run()
        assert not page.exception
        readings = [sample.reading(int(i)) for i in progress["reading_id"][-count:]]
        grid = grid_for(readings)
        over = over_passes([lay(reading, grid) for reading in readings])
        assert f"{len(over.always.table)} places, together" in told(page)
    places = [frame.value for frame in page.dataframe]
    assert list(places[0]["number"]) == list(range(1, len(places[0]) + 1))
    assert (np.diff(places[0]["area_mm2"]) <= 1e-9).all()


def test_in_an_inch_shop_places_are_in_inches(open_page, sample_home, sample):
    sample.set_setting("units", "inch")
    page = open_page("Side by side", sample_home)
    assert not page.exception
    assert {"x_in", "y_in", "area_in2"} <= set(page.dataframe[0].value.columns)
    assert " in2 of contact stayed" in told(page)
    assert page.number_input[0].label.endswith(", in")


def test_one_print_says_what_to_do_next(open_page, one_pass_home):
    page = open_page("Side by side", one_pass_home)
    assert page.info[0].value == ONE_PRINT
    assert [link.proto.label for link in page.get("page_link")] == ["New print"]


def test_a_face_without_print_says_what_to_do_next(open_page, sample_home, sample):
    part = sample.parts(1)[0]
    face = sample.add_face(part.part_id, dataclasses.replace(sample.face(1).plan, name="Bare"))
    page = open_page("Side by side", sample_home, face.face_id)
    assert "first one" in page.info[0].value


def test_two_prints_of_one_pass_can_be_compared(open_page, one_pass_home, recorded):
    record = recorded(one_pass_home)
    progress = record.progress(1)
    reading = record.reading(int(progress["reading_id"][0]))
    photo = record.photo(reading.photo_sha256)
    record.keep_print(
        1, [("again.jpg", photo)], reading, Scrape(), placement="left end",
        pass_number=int(progress["number"][0]), again=True,
    )  # fmt: skip
    page = open_page("Side by side", one_pass_home)
    assert not page.exception
    assert "left end" in told(page)
    assert any("one pass" in info.value for info in page.info)


def test_a_lost_photograph_is_said_in_words_and_the_passes_still_show(
    open_page, sample_home, sample
):
    reading = sample.reading(int(sample.progress(1)["reading_id"].iloc[-1]))
    sample.photo_path(reading.photo_sha256).unlink()
    page = open_page("Side by side", sample_home)
    assert not page.exception
    assert len(page.error) == 1
    assert page.dataframe


def test_a_shift_is_told_with_its_direction_and_length():
    right_up = Shift(1.2, -0.5, True, 0.05, 0.6)
    sentence = words.shift_sentence(right_up, TITLES, 0.2, "metric")
    assert "1.20 mm to the right and 0.50 mm up" in sentence
    assert "1.30 mm off" in sentence
    assert "0.051 in off" in words.shift_sentence(right_up, TITLES, 0.2, "inch")
    none = dataclasses.replace(right_up, x_mm=0.03, y_mm=0.0)
    assert "no shift" in words.shift_sentence(none, TITLES, 0.2, "metric")
    refused = words.shift_sentence(NO_SHIFT, TITLES, 0.2, "metric")
    assert "nothing was moved" in refused
    assert "0.20 mm" in refused


def test_a_match_no_better_than_chance_is_said_to_be_none(sample):
    found = compared(sample, 7, 8)
    assert "do not read" not in words.points_sentence(found, TITLES)
    poor = dataclasses.replace(found, chance=Chance(900.0, 700.0, 1000.0))
    assert "do not read anything into" in words.points_sentence(poor, TITLES)
    none = dataclasses.replace(found, stayed=0, went=0)
    assert "no point" in words.points_sentence(none, TITLES)


def test_points_of_unknown_places_are_told_only_where_there_are_some(sample):
    found = compared(sample, 7, 8)
    assert words.not_known_sentence(found, TITLES) == ""
    some = dataclasses.replace(found, not_known_before=3, not_known_after=0)
    assert "3 points in pass 7" in words.not_known_sentence(some, TITLES)


def test_a_round_face_is_to_be_marked(reading):
    assert "Mark its top" in words.round_sentence([reading("disc", 2)])
    assert words.round_sentence([reading("plain", 2)]) == ""


def test_tables_in_inches_keep_all_but_their_units():
    frame = pd.DataFrame({"number": [1], "x_mm": [25.4], "area_mm2": [645.16]})
    told_in = words.in_units(frame, "inch")
    assert told_in.to_dict("list") == {"number": [1], "x_in": [1.0], "area_in2": [1.0]}
    assert words.in_units(frame, "metric") is frame


def test_areas_by_chance_are_told_in_one_unit():
    assert words.chance_area(Chance(0.7, 0.0, 2.8), "metric") == "next to nothing"
    assert words.chance_area(Chance(82.0, 60.0, 102.0), "metric") == "about 0.8 cm2 (0.6 to 1.0)"
    assert words.chance_area(Chance(645.16, 600, 700), "inch") == "about 1.00 in2 (0.93 to 1.09)"
