"""The Shop page: where each face stands, what waits, search, and adding and removing."""

from pathlib import Path

import pytest
from streamlit.util import calc_hash

from scrapeview.dashboard.cautions import CAUTIONS
from scrapeview.dashboard.judge_look import unbroken
from scrapeview.dashboard.shop_page import ALL_MACHINES, matching
from scrapeview.record import FacePlan, Scrape
from scrapeview.record_samples import FACE_NAME, MACHINE_NAME
from scrapeview.units import SQUARES_25MM_PER_SQUARE_INCH


def cards(page):
    return [
        element.proto.body
        for element in page.get("html")
        if "class='sv-name'" in element.proto.body
    ]


def links(page):
    return [(link.label, link.page, link.query_string) for link in page_links(page)]


def page_links(page):
    return [element.proto for element in page.get("page_link")]


def test_a_card_shows_where_the_face_stands(open_page, sample_home, recorded):
    (card,) = cards(open_page("Shop", sample_home))
    last = recorded(sample_home).progress(1).iloc[-1]
    assert FACE_NAME in card
    assert unbroken(f"{last.contact_percent:.1f} %") in card
    assert f"{last.points_per_25mm_square:.1f}" in card
    assert "Points/25 mm square" in card
    assert unbroken("met: 15 to 60 %") in card
    assert "8 passes" in card


def test_an_inch_shop_counts_by_the_square_inch(open_page, sample_home, recorded):
    record = recorded(sample_home)
    record.set_setting("units", "inch")
    (card,) = cards(open_page("Shop", sample_home))
    assert "Points/in2" in card
    assert f"{record.progress(1).iloc[-1].points_per_square_inch:.1f}" in card
    assert "at least 25" in card


def test_each_face_opens_in_one_tap(open_page, sample_home):
    found = links(open_page("Shop", sample_home))
    assert ("Open", "face", "face=1") in found
    assert ("New print", "new-print", "face=1") in found


def test_what_waits_for_a_print_stands_at_the_top(open_page, sample_home, recorded):
    record = recorded(sample_home)
    page = open_page("Shop", sample_home)
    assert not any("Waiting" in heading.value for heading in page.subheader)
    record.begin_pass(1, Scrape(scraping="finish"))
    part = record.parts(record.machines()[0].machine_id)[0]
    record.add_face(part.part_id, FacePlan(name="Gib side", width_mm=90, height_mm=20))
    page = open_page("Shop", sample_home)
    assert page.subheader[0].value == "Waiting for a print: 2"
    waiting = [(label, query) for label, path, query in links(page) if "(" in label]
    assert any(label.endswith("(scraped)") and query == "face=1" for label, query in waiting)
    assert any(label.endswith("(no print yet)") and query != "face=1" for label, query in waiting)


@pytest.mark.parametrize(
    ("machine", "words", "found"),
    [
        (ALL_MACHINES, "", 1),
        (ALL_MACHINES, "UPPER cross", 1),
        (ALL_MACHINES, "upper nothing", 0),
        (ALL_MACHINES, "(", 1),
        (ALL_MACHINES, "[", 0),
        (MACHINE_NAME, "way", 1),
        ("another", "", 0),
    ],
)
def test_search_finds_faces_with_all_words(sample_home, recorded, machine, words, found):
    assert len(matching(recorded(sample_home).shop(), machine, words)) == found


def test_a_search_without_a_find_says_so(open_page, sample_home):
    page = open_page("Shop", sample_home)
    page.text_input(key="shop_search").set_value("turret").run()
    assert not cards(page)
    assert "No face is found" in page.info[0].value


def test_the_table_can_be_downloaded_and_holds_the_same_figures(open_page, sample_home, recorded):
    page = open_page("Shop", sample_home)
    page.button_group(key="shop_form").set_value("Table").run()
    assert not page.exception
    shown = page.dataframe[0].value
    last = recorded(sample_home).progress(1).iloc[-1]
    ppsi = last.points_per_square_inch / SQUARES_25MM_PER_SQUARE_INCH
    assert shown["points"].iloc[0] == pytest.approx(ppsi)
    assert page.get("download_button")


@pytest.mark.parametrize(
    ("opener", "field"),
    [
        ("add_machine", "new_machine_name"),
        ("machine_1_add_open", "new_part_1_name"),
        ("machine_1_change_open", "machine_1_name"),
        ("part_1_add_open", "new_face_1_name"),
        ("part_1_change_open", "part_1_name"),
        ("face_1_change_open", "face_1_name"),
    ],
)
def test_each_button_asks_for_what_it_says(open_page, sample_home, opener, field):
    page = open_page("Shop", sample_home)
    page.button(key=opener).click().run()
    assert not page.exception
    assert page.text_input(key=field)


def test_names_are_shown_as_they_are_never_as_markup(open_page, sample_home, recorded):
    record = recorded(sample_home)
    part = record.parts(1)[0]
    record.add_face(part.part_id, FacePlan(name="<b>x</b>", width_mm=9, height_mm=9))
    shown = "".join(cards(open_page("Shop", sample_home)))
    assert "&lt;b&gt;x&lt;/b&gt;" in shown
    assert "<b>x</b>" not in shown


def test_the_cautions_are_at_hand(open_page, empty_home):
    page = open_page("Shop", empty_home)
    assert any("rated gear" in text.value for text in page.markdown)


def test_what_was_searched_for_is_still_there_after_another_page(open_page, sample_home):
    page = open_page("Shop", sample_home)
    shop_hash = page._finished_page_script_hash
    page.text_input(key="shop_search").set_value("upper")
    page.button_group(key="shop_form").set_value("Table").run()
    page._page_hash = calc_hash("settings")
    assert page.run().title[0].value == "Settings"
    page._page_hash = shop_hash
    assert page.run().title[0].value == "Shop"
    assert page.text_input(key="shop_search").value == "upper"
    assert page.dataframe


def test_a_machine_that_another_tab_removed_is_no_longer_filtered_by(
    open_page, sample_home, recorded
):
    record = recorded(sample_home)
    record.add_machine("Other")
    page = open_page("Shop", sample_home)
    page.selectbox(key="shop_machine").set_value(MACHINE_NAME).run()
    assert cards(page)
    record.remove_machine(1)
    page.run()
    assert not page.exception
    assert page.selectbox(key="shop_machine").value == ALL_MACHINES


def test_the_cautions_are_those_of_the_readme():
    text = (Path(__file__).parents[2] / "README.md").read_text()
    told = text.split("**Before you rely on it**")[1].split("\n\n#")[0].split("\n\n", 1)[1]
    assert CAUTIONS.split() == told.split()
