"""The page Judge: each part shows, stands alone, and says what to do where it has nothing."""

import dataclasses
import shutil

import cv2
import numpy as np
import pytest

from scrapeview.charts.verdict_words import criterion_sentence, verdict_sentence, waiting_sentence
from scrapeview.dashboard import judge_balance, judge_criteria
from scrapeview.dashboard.judge_balance import NOT_COMPARED
from scrapeview.dashboard.judge_criteria import NO_TARGET, shown_table, with_sources
from scrapeview.dashboard.judge_next import FIRST
from scrapeview.dashboard.judge_over import ONE_PRINT
from scrapeview.dashboard.judge_page import SECTIONS
from scrapeview.dashboard.judge_part import NO_PRINT
from scrapeview.dashboard.judge_progress import NOT_FORECAST
from scrapeview.errors import ReadingError
from scrapeview.face_reading import read_for_face
from scrapeview.face_verdict import face_verdict
from scrapeview.judge.verdict.verdict_table import criteria_table
from scrapeview.record import Scrape
from scrapeview.targets import NO_TARGET as NOTHING_ASKED
from scrapeview.targets import SHIPPED_TARGETS

EXPECTED = {
    "Verdict": "Where this says done",
    "Shape": "texture heights lie between",
    "Last passes": "missed by the scraper or scraped over",
    "Next pass": "points to take",
    "Progress": "where the face itself is heading",
    "By eye": "Square A",
}


@pytest.fixture(scope="module")
def judged_home(tmp_path_factory, sample_made):
    """Folder of the sample series that this module only looks at, so that pages keep what took
    long."""
    home = tmp_path_factory.mktemp("judged") / "home"
    shutil.copytree(sample_made, home)
    return home


@pytest.fixture
def open_part(open_page):
    """Open a part of the page by its name."""

    def opened(part, home):
        page = open_page("Judge", home)
        return page if part == SECTIONS[0] else page.button_group[0].set_value(part).run()

    return opened


def told(page):
    texts = (*page.markdown, *page.caption, *page.info, *page.warning)
    said = " ".join([text.value for text in texts] + [e.proto.body for e in page.get("html")])
    return said.replace("\N{NO-BREAK SPACE}", " ")


def test_every_part_of_the_page_comes_up(open_part, judged_home):
    assert set(EXPECTED) == set(SECTIONS)
    for part, words in EXPECTED.items():
        page = open_part(part, judged_home)
        assert not page.exception
        assert not page.error, part
        assert words in told(page), part


def test_the_verdict_is_told_with_its_reason_and_every_criterion(open_part, judged_home, recorded):
    page = open_part("Verdict", judged_home)
    verdict = face_verdict(recorded(judged_home), 1)
    assert verdict.outcome.capitalize() in told(page)
    assert verdict_sentence(verdict, "metric") in told(page)
    for criterion in verdict.criteria:
        assert criterion_sentence(criterion, "metric") in told(page)
    assert "5 % at most" in told(page)


def test_only_what_does_not_clear_is_told_outside_a_fold(open_part, judged_home, recorded):
    page = open_part("Verdict", judged_home)
    verdict = face_verdict(recorded(judged_home), 1)
    folded = " ".join(e.proto.body for box in page.expander for e in box.get("html"))
    folded = folded.replace("\N{NO-BREAK SPACE}", " ")
    for criterion in verdict.criteria:
        sentence = criterion_sentence(criterion, "metric")
        assert (sentence in folded) == (criterion.stands == "clears")


def test_where_the_verdict_hangs_on_more_than_the_forecast_it_says_so(open_part, judged_home):
    assert NOT_FORECAST in told(open_part("Progress", judged_home))


def test_before_the_next_pass_comes_what_the_verdict_asks(open_part, one_pass_home, recorded):
    verdict = face_verdict(recorded(one_pass_home), 1)
    page = open_part("Next pass", one_pass_home)
    first = [FIRST[verdict.outcome]] if verdict.outcome in FIRST else []
    assert [warning.value for warning in page.warning] == first


def test_the_program_s_figures_do_not_lead_the_eye(open_part, judged_home, recorded):
    verdict = face_verdict(recorded(judged_home), 1)
    page = open_part("By eye", judged_home)
    assert verdict_sentence(verdict, "metric") not in told(page)
    assert verdict_sentence(verdict, "metric") in told(open_part("Shape", judged_home))


def test_a_part_that_fails_says_so_and_the_others_stand(open_part, judged_home, monkeypatch):
    def fail(*_):
        raise ReadingError("The chart of criteria cannot be drawn.")

    monkeypatch.setattr(judge_criteria, "criteria_chart", fail)
    page = open_part("Verdict", judged_home)
    assert [error.value for error in page.error] == ["The chart of criteria cannot be drawn."]
    headings = [heading.value for heading in page.subheader]
    assert "Parts against each other" in headings
    assert "Figures of each part" in [box.label for box in page.expander]


def test_without_a_target_it_says_how_to_choose_one(open_part, one_pass_home, recorded):
    record = recorded(one_pass_home)
    plan = dataclasses.replace(record.face(1).plan, target=NOTHING_ASKED)
    record.change_face(1, plan)
    page = open_part("Verdict", one_pass_home)
    assert not page.exception
    assert not page.error
    assert "? Without a target" in told(page)
    assert "Keep scraping" not in told(page)
    assert NO_TARGET in [info.value for info in page.info]
    assert "Shop" in [link.proto.label for link in page.get("page_link")]
    page.button_group[0].set_value("Progress").run()
    assert not page.exception
    assert "choose one with the face" in told(page)


def test_one_print_is_judged_as_far_as_it_goes(open_part, one_pass_home):
    page = open_part("Verdict", one_pass_home)
    assert not page.exception
    assert not page.error
    assert "Done" not in told(page)
    page.button_group[0].set_value("Last passes").run()
    assert page.info[0].value == ONE_PRINT


def test_a_pass_that_waits_for_its_print_is_told(open_part, one_pass_home, recorded):
    record = recorded(one_pass_home)
    number = record.begin_pass(1, Scrape()).number
    page = open_part("Progress", one_pass_home)
    assert page.info[0].value == waiting_sentence(number)


def test_a_photograph_without_a_print_is_said_to_be_none(open_part, one_pass_home, recorded):
    record = recorded(one_pass_home)
    _keep_bare(record)
    page = open_part("Verdict", one_pass_home)
    assert not page.exception
    assert "Print again" in told(page)
    assert NOT_COMPARED in [info.value for info in page.info]
    for part in ("Shape", "Next pass", "By eye"):
        page.button_group[0].set_value(part).run()
        assert not page.exception
        assert not page.error
        assert "o print was found" in told(page), part
    assert NO_PRINT in [info.value for info in page.info]


def _keep_bare(record):
    """Keep a photograph of bare metal as the second pass."""
    kept = record.reading(int(record.progress(1)["reading_id"].iloc[-1]))
    width, height = kept.photo_size_px
    grain = np.random.default_rng(5).normal(150, 6, (height // 4, width // 4, 1))
    grey = np.repeat(np.clip(grain, 0, 255).astype(np.uint8), 3, axis=2)
    _, coded = cv2.imencode(".png", cv2.resize(grey, (width, height)))
    photo = coded.tobytes()
    reading = read_for_face(record.face(1).plan, photo, kept.plane)
    assert not reading.is_print
    record.keep_print(1, [("bare.png", photo)], reading, Scrape())


def test_a_face_without_print_says_what_to_do_next(open_page, one_pass_home, recorded):
    record = recorded(one_pass_home)
    plan = dataclasses.replace(record.face(1).plan, name="Bare")
    face = record.add_face(record.parts(1)[0].part_id, plan)
    page = open_page("Judge", one_pass_home, face.face_id)
    assert "first one" in page.info[0].value
    assert [link.proto.label for link in page.get("page_link")] == ["New print"]


def test_an_inch_shop_is_told_all_in_inches(open_part, one_pass_home, recorded):
    recorded(one_pass_home).set_setting("units", "inch")
    page = open_part("Verdict", one_pass_home)
    assert "points per in2" in told(page)
    page.button_group[0].set_value("Next pass").run()
    assert "From the left, in" in page.dataframe[0].value.columns
    assert "of Letter" in told(page)
    assert " mm" not in told(page)


def test_each_placement_of_the_last_pass_can_be_looked_at(open_part, one_pass_home, recorded):
    record = recorded(one_pass_home)
    progress = record.progress(1)
    reading = record.reading(int(progress["reading_id"][0]))
    record.keep_print(
        1, [("again.jpg", record.photo(reading.photo_sha256))], reading, Scrape(),
        placement="left end", pass_number=int(progress["number"][0]), again=True,
    )  # fmt: skip
    page = open_part("Next pass", one_pass_home)
    assert not page.exception
    assert "left end" in [heading.value for heading in page.subheader][-1]
    page.selectbox[1].set_value(0).run()
    assert "left end" not in [heading.value for heading in page.subheader][-1]


def test_the_table_of_criteria_says_where_each_target_comes_from(judged_home, recorded):
    verdict = face_verdict(recorded(judged_home), 1)
    target = SHIPPED_TARGETS[1]
    shown = shown_table(verdict, target, "metric").set_index("Criterion")
    assert shown.loc["Contact, least", "Where the target comes from"].startswith("common practice")
    assert shown.loc["Print", "Where the target comes from"] == ""
    told_in = with_sources(criteria_table(verdict), target).set_index("criterion")["target_from"]
    assert told_in["haze_most_percent"].startswith("our suggestion")
    assert told_in["count"] == ""


def test_parts_of_a_face_are_told_in_their_units(judged_home, recorded):
    verdict = face_verdict(recorded(judged_home), 1)
    metric, inch = (judge_balance.shown_zones(verdict, units) for units in ("metric", "inch"))
    zone = verdict.zones[0]
    assert inch["Points/in2"][0] == round(zone.points_per_square_inch, 1)
    assert metric["Points/25 mm square"][0] == round(zone.points_per_square_inch / 1.032256, 1)
    assert len(judge_balance.zones_table(verdict)) == len(verdict.zones)
