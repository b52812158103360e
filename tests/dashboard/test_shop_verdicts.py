"""The verdicts on the Shop page: on the cards, counted, to filter by, in the table."""

import dataclasses
import shutil
from io import StringIO
from pathlib import Path

import pandas as pd
import pytest

from scrapeview import face_verdict
from scrapeview.dashboard.judge_look import unbroken
from scrapeview.dashboard.shop_page import ALL_MACHINES, matching
from scrapeview.dashboard.shop_table import download_csv, shown_table
from scrapeview.dashboard.shop_verdicts import with_verdicts
from scrapeview.dashboard.standing import NO_PRINT, NO_TARGET
from scrapeview.errors import ReadingError
from scrapeview.record import Record
from scrapeview.record.entries import KeptVerdict
from scrapeview.targets import NO_TARGET as NO_TARGET_ASKED


@pytest.fixture(scope="module")
def three_made(tmp_path_factory, one_pass_made):
    """Folder of a record with a face that is judged, one without a print and one without target."""
    home = Path(shutil.copytree(one_pass_made, tmp_path_factory.mktemp("three") / "record"))
    record = Record.open(home)
    plan, part_id = record.face(1).plan, record.face(1).part.part_id
    record.add_face(part_id, dataclasses.replace(plan, name="Lower face"))
    no_target = dataclasses.replace(plan, name="Side face", target=NO_TARGET_ASKED)
    other = record.add_face(part_id, no_target)
    printed = record.prints(1)[0]
    photo = record.photo(printed.photo_sha256s[0])
    reading = record.reading(printed.current_reading_id)
    record.keep_print(other.face_id, [("print.jpg", photo)], reading)
    face_verdict.shop_verdicts(record)
    record.close()
    return home


@pytest.fixture
def three_home(tmp_path, three_made):
    """The same, for a test that may change it."""
    return Path(shutil.copytree(three_made, tmp_path / "three"))


def shown_cards(page):
    bodies = [element.proto.body for element in page.get("html")]
    return [body for body in bodies if "class='sv-name'" in body]


def test_each_card_says_how_its_face_stands(open_page, three_home, recorded):
    page = open_page("Shop", three_home)
    verdict = recorded(three_home).kept_verdicts()[1]
    cards = {
        name: card
        for card in shown_cards(page)
        for name in ("Upper", "Lower", "Side")
        if name in card
    }
    assert f"{verdict.outcome.capitalize()}:" in cards["Upper"]
    assert unbroken(verdict.reason) in cards["Upper"]
    assert "Choose a target" in cards["Side"]
    assert "sv-outcome" not in cards["Lower"]


def test_faces_are_counted_and_filtered_by_verdict(open_page, three_home, recorded):
    page = open_page("Shop", three_home)
    outcome = recorded(three_home).kept_verdicts()[1].outcome
    pills = page.button_group(key="shop_verdict")
    offered = [option.content for option in pills.proto.options]
    assert [text.split(" ", 1)[1] for text in offered] == [
        f"1 {outcome}", f"1 {NO_TARGET}", f"1 {NO_PRINT}",
    ]  # fmt: skip
    pills.set_value(NO_TARGET).run()
    assert not page.exception
    (card,) = shown_cards(page)
    assert "Side face" in card
    page.button_group(key="shop_verdict").set_value(None).run()
    assert len(shown_cards(page)) == 3


def test_a_verdict_that_no_face_has_any_more_is_no_longer_filtered_by(
    open_page, three_home, recorded
):
    page = open_page("Shop", three_home)
    page.button_group(key="shop_verdict").set_value(NO_TARGET).run()
    record = recorded(three_home)
    side = next(face for face in record.faces() if face.plan.name == "Side face")
    target = record.face(1).plan.target
    record.change_face(side.face_id, dataclasses.replace(side.plan, target=target))
    page.run()
    assert not page.exception
    assert len(shown_cards(page)) == 3


def test_a_card_leads_to_the_page_that_judges(open_page, three_home):
    page = open_page("Shop", three_home)
    judged = [
        each.proto.query_string for each in page.get("page_link") if each.proto.page == "judge"
    ]
    assert len(judged) == 2
    assert "face=1" in judged


def test_the_table_says_the_verdict_in_words_and_the_download_too(three_home, recorded):
    record = recorded(three_home)
    faces = {face.face_id: face for face in record.faces()}
    table = with_verdicts(record.shop(), faces, face_verdict.shop_verdicts(record))
    shown = shown_table(table, "metric").set_index("face")
    verdict = record.kept_verdicts()[1]
    assert shown.loc["Upper face", "verdict"].endswith(verdict.outcome.capitalize())
    assert shown.loc["Upper face", "verdict_reason"] == verdict.reason
    read = pd.read_csv(StringIO(download_csv(table))).set_index("face")
    assert read.loc["Upper face", "verdict"] == verdict.outcome
    assert read.loc["Lower face", "verdict"] == NO_PRINT


def test_rows_are_found_by_how_they_stand(three_home, recorded):
    record = recorded(three_home)
    faces = {face.face_id: face for face in record.faces()}
    verdicts = {1: KeptVerdict(judged_from="", outcome="done", reason="30 points.")}
    table = with_verdicts(record.shop(), faces, verdicts)
    assert list(matching(table, ALL_MACHINES, "", "done")["face_id"]) == [1]
    assert list(matching(table, ALL_MACHINES, "", "nearly")["face_id"]) == []
    assert len(matching(table, ALL_MACHINES, "")) == 3


def test_an_empty_shop_has_no_verdicts(empty_home, recorded):
    record = recorded(empty_home)
    assert with_verdicts(record.shop(), {}, {})["verdict"].empty


def test_a_dialog_stays_open_though_faces_are_yet_to_be_judged(open_page, three_home, recorded):
    page = open_page("Shop", three_home)
    record = recorded(three_home)
    record.set_setting("units", "inch")
    page.button(key="part_1_change_open").click().run()
    assert page.text_input(key="part_1_name")
    before = record.kept_verdicts()
    page.run()
    assert record.kept_verdicts() != before


def test_a_face_that_cannot_be_judged_leaves_the_others_their_verdicts(
    three_home, recorded, monkeypatch
):
    record = recorded(three_home)
    judge = face_verdict.face_verdict

    def fail_for_the_first(record, face_id):
        if face_id == 1:
            raise ReadingError("A reading is lost.")
        return judge(record, face_id)

    # every face is to be judged anew
    record.set_setting("units", "inch")
    monkeypatch.setattr(face_verdict, "face_verdict", fail_for_the_first)
    with pytest.raises(ReadingError, match="lost"):
        face_verdict.shop_verdicts(record)
    fresh, stale = face_verdict.fresh_verdicts(record)
    assert len(fresh) == 1
    assert [face.face_id for face in stale] == [1]


def test_faces_that_cannot_be_judged_are_shown_all_the_same(
    open_page, three_home, recorded, monkeypatch
):
    def fail(*_):
        raise ReadingError("A reading is lost.")

    recorded(three_home).set_setting("units", "inch")
    monkeypatch.setattr("scrapeview.dashboard.shop_verdicts.shop_verdicts", fail)
    page = open_page("Shop", three_home)
    assert page.error[0].value == "A reading is lost."
    assert len(shown_cards(page)) == 3


def test_a_face_page_says_the_verdict_in_a_line(open_page, three_home, recorded):
    page = open_page("Face", three_home, face_id=1)
    assert not page.exception
    verdict = recorded(three_home).kept_verdicts()[1]
    (line,) = [e.proto.body for e in page.get("html") if "class='sv-outcome'" in e.proto.body]
    assert unbroken(verdict.reason) in line
    assert "judge" in [each.proto.page for each in page.get("page_link")]


def test_the_table_tells_no_contact_where_no_print_was_found(three_home, recorded):
    record = recorded(three_home)
    found = with_verdicts(record.shop(), {}, {})
    told = shown_table(found, "metric")["contact_percent"].notna()
    assert told.tolist() == (found["passes"] > 0).tolist()
    blank = found.assign(is_print=False)
    assert shown_table(blank, "metric")["contact_percent"].isna().all()
