"""The page Face shows what the record holds: figures, charts, prints, readings, notes, files."""

import dataclasses
import json
from base64 import b64decode
from io import BytesIO

import numpy as np
import pandas as pd
import pytest
from plotly.graph_objects import Figure

from scrapeview.bearing import Interval
from scrapeview.charts.shown import interval
from scrapeview.columns import columns_of
from scrapeview.corrections import Correction
from scrapeview.dashboard.face_downloads import file_stem
from scrapeview.dashboard.face_notes import note_line, scrape_words
from scrapeview.dashboard.face_pass import corrections_sentence, figures_table
from scrapeview.dashboard.face_standing import (
    NO_TARGET_WORDS,
    about_line,
    against_words,
    as_written,
    target_line,
)
from scrapeview.face_verdict import face_verdict
from scrapeview.record import PassEntry, Record, Scrape
from scrapeview.record_samples import sample_plan
from scrapeview.samples import find_samples
from scrapeview.tables import table_bytes
from scrapeview.targets import NO_TARGET, SHIPPED_TARGETS

CHARTS = 9
"""Eight of the progress and the map of cells."""


def metrics_of(page):
    return {metric.label: metric.value for metric in page.metric}


def charts_of(page):
    """Figures of all charts on a page, in order."""
    return [Figure(unpacked(json.loads(el.proto.spec))) for el in page.get("plotly_chart")]


def unpacked(value):
    """What plotly packed as the bytes of an array, as numbers again."""
    if isinstance(value, list):
        return [unpacked(v) for v in value]
    if not isinstance(value, dict):
        return value
    if "bdata" not in value:
        return {name: unpacked(v) for name, v in value.items()}
    packed = np.frombuffer(b64decode(value["bdata"]), value["dtype"])
    shape = value.get("shape")
    return packed.reshape([int(n) for n in shape.split(",")]) if shape else packed


def dots_of(figure):
    return sorted(
        (round(x), float(y))
        for trace in figure.data
        if trace.type == "scatter" and trace.mode == "markers"
        for x, y in zip(trace.x, trace.y, strict=True)
    )


def text_of(page):
    return "\n".join(element.value for element in [*page.markdown, *page.caption, *page.info])


def slider_of(page):
    return page.select_slider(key="face-1-pass")


def test_the_charts_show_the_readings_of_the_sample_series(open_page, sample_home, recorded):
    page = open_page("Face", sample_home)
    assert not page.exception
    progress = recorded(sample_home).progress(1)
    charts = charts_of(page)
    assert len(charts) == CHARTS
    assert len(progress) == 8
    for figure, column in ((charts[0], "contact_percent"), (charts[1], "points_per_25mm_square")):
        known = list(zip(progress["number"], progress[column], strict=True))
        assert [number for number, _ in dots_of(figure)] == [number for number, _ in known]
        assert [v for _, v in dots_of(figure)] == pytest.approx([v for _, v in known], rel=1e-9)


def test_it_says_where_the_face_stands(open_page, sample_home, recorded):
    page = open_page("Face", sample_home)
    last = recorded(sample_home).progress(1).iloc[-1]
    shown = metrics_of(page)
    assert shown["Contact"] == f"{last['contact_percent']:.1f} %"
    assert shown["Points/25 mm square"] == f"{last['points_per_25mm_square']:.1f}"
    assert shown["Worst square"] == f"{last['worst_contact_percent']:.1f} %"
    ends = f"{last['contact_low_percent']:.1f} to {last['contact_high_percent']:.1f}"
    assert f"95 % interval {ends}" in text_of(page)
    assert "target at least 24.2: ✓ met" in text_of(page)


def test_an_inch_face_is_shown_in_inches(open_page, sample_home, recorded):
    record = recorded(sample_home)
    face = record.face(1)
    record.change_face(1, dataclasses.replace(face.plan, units="inch"))
    page = open_page("Face", sample_home)
    last = record.progress(1).iloc[-1]
    assert metrics_of(page)["Points/in2"] == f"{last['points_per_square_inch']:.1f}"
    assert metrics_of(page)["Largest bare circle"].endswith(" in")
    assert "target at least 25: ✓ met" in text_of(page)
    points = [v for _, v in dots_of(charts_of(page)[1])]
    assert points == pytest.approx(sorted(record.progress(1)["points_per_square_inch"]), rel=1e-9)


def test_the_slider_chooses_the_pass_that_is_shown(open_page, sample_home, recorded):
    page = open_page("Face", sample_home)
    record = recorded(sample_home)
    assert slider_of(page).value == 8
    page = slider_of(page).set_value(3).run()
    assert not page.exception
    reading = record.reading(int(record.progress(1).iloc[2]["reading_id"]))
    assert figures_table(reading, "metric") in text_of(page)
    map_of_cells = charts_of(page)[-1]
    drawn = [trace.z for trace in map_of_cells.data if trace.type == "heatmap"]
    found = np.sort(np.concatenate([np.ravel(np.array(z, dtype=float)) for z in drawn]))
    known = np.sort(reading.cells["contact_percent"])
    assert found[np.isfinite(found)] == pytest.approx(known, rel=1e-9)
    # the count of a rough print is not mapped
    assert not reading.count_reliable
    assert "not mapped" in text_of(page)


def test_buttons_step_through_the_passes(open_page, sample_home):
    page = open_page("Face", sample_home)
    page = page.button(key="face-1-pass-step-1").click().run()
    assert slider_of(page).value == 7
    assert not page.button(key="face-1-pass-step1").disabled
    page = page.button(key="face-1-pass-step1").click().run()
    assert slider_of(page).value == 8
    assert page.button(key="face-1-pass-step1").disabled


def test_the_page_opens_on_a_pass_that_was_kept_meanwhile(open_page, sample_home, recorded):
    page = open_page("Face", sample_home)
    page = slider_of(page).set_value(5).run()
    keep_again(recorded(sample_home), 1, 8)
    assert slider_of(page.run()).value == 9


def keep_again(record, face_id, number, **changed):
    """Keep the print of a pass once more, as a new pass or a placement."""
    row = record.progress(face_id).set_index("number").loc[number]
    reading = record.reading(int(row["reading_id"]))
    photo = record.photo(reading.photo_sha256)
    return record.keep_print(face_id, [("print.jpg", photo)], reading, again=True, **changed)


def test_one_pass_has_no_slider_and_no_line(open_page, one_pass_home):
    page = open_page("Face", one_pass_home)
    assert not page.exception
    assert len(page.select_slider) == 0
    figure = charts_of(page)[0]
    assert not [trace for trace in figure.data if trace.mode == "lines"]
    assert len(dots_of(figure)) == 1


def test_a_face_without_prints_says_what_to_do(open_page, empty_home, recorded):
    record = recorded(empty_home)
    part = record.add_part(record.add_machine("Test machine").machine_id, "Slide")
    face = record.add_face(part.part_id, sample_plan(find_samples()[0]))
    page = open_page("Face", empty_home)
    assert "no print yet" in page.info[0].value
    assert not charts_of(page)
    record.begin_pass(face.face_id, Scrape(who="A"))
    page = open_page("Face", empty_home)
    assert "Pass 1 is scraped and waits" in page.info[0].value


def test_a_waiting_pass_is_told_and_its_notes_can_be_read(open_page, one_pass_home, recorded):
    recorded(one_pass_home).begin_pass(1, Scrape(who="Test hand", notes="left end"))
    page = open_page("Face", one_pass_home)
    assert "Pass 2 is scraped and waits for its print." in text_of(page)
    assert "**Pass 2** (waits for its print) Test hand: left end" in text_of(page)


def test_placements_of_one_pass_are_told_apart(open_page, one_pass_home, recorded):
    record = recorded(one_pass_home)
    keep_again(record, 1, 1, placement="right end", pass_number=1)
    page = open_page("Face", one_pass_home)
    assert not page.exception
    assert len([m for m in page.metric if m.label == "Contact"]) == 2
    chosen = page.selectbox(key="face-1-print-1")
    assert len(chosen.options) == 2
    page = chosen.set_value(1).run()
    assert "**Pass 1, right end**" in text_of(page)


def test_notes_are_changed(open_page, sample_home, recorded):
    page = open_page("Face", sample_home)
    page = page.selectbox(key="face-1-noted").set_value(3).run()
    record = recorded(sample_home)
    key = f"face-1-notes-{record.passes(1)[2].pass_id}"
    page.text_area(key=f"{key} notes").set_value("*low* in the middle")
    page.number_input(key=f"{key} hours").set_value(7.5)
    keep = next(b for b in page.button if b.label == "Keep the notes")
    page = keep.click().run()
    assert not page.exception
    told = record.passes(1)[2].scrape
    assert (told.notes, told.hours) == ("*low* in the middle", 7.5)
    assert r"\*low\* in the middle" in text_of(page)
    hours = next(t for t in charts_of(page)[6].data if t.type == "bar")
    assert dict(zip(hours.x, hours.y, strict=True))[3] == 7.5


def corrected(record, print_id, why="corrected by hand"):
    """Add a reading with another contact to a print."""
    entry = record.print_entry(print_id)
    reading = record.reading(entry.current_reading_id)
    by_hand = (Correction("remove", ((50.0, 40.0),)), Correction("add", ((60.0, 40.0),), 2.0))
    other = dataclasses.replace(reading, contact_percent=12.3, corrections=by_hand)
    return record.add_reading(print_id, other, why)


def test_another_reading_is_chosen_with_a_reason(open_page, one_pass_home, recorded):
    record = recorded(one_pass_home)
    first = record.print_entry(1).current_reading_id
    second = corrected(record, 1)
    page = open_page("Face", one_pass_home)
    assert metrics_of(page)["Contact"] == "12.3 %"
    assert "1 false point removed, 1 missed point added" in text_of(page)
    assert f"Reading {second} of 2 is the current one" in text_of(page)
    choose = next(b for b in page.button if b.label == "Make it the current one")
    page = choose.click().run()
    assert "Say why" in page.warning[0].value
    assert record.print_entry(1).current_reading_id == second
    next(t for t in page.text_input if t.label == "Why").set_value("the hand was wrong")
    page = next(b for b in page.button if b.label == "Make it the current one").click().run()
    assert record.print_entry(1).current_reading_id == first
    assert record.history(1).iloc[-1]["why"] == "the hand was wrong"
    assert metrics_of(page)["Contact"] != "12.3 %"
    assert f"Reading {first} of 2 is the current one" in text_of(page)


def test_a_missing_photograph_leaves_the_figures_standing(open_page, one_pass_home, recorded):
    record = recorded(one_pass_home)
    sha256 = record.print_entry(1).photo_sha256s[0]
    record.photo_path(sha256).unlink()
    page = open_page("Face", one_pass_home)
    assert not page.exception
    assert page.error
    assert len(charts_of(page)) == CHARTS
    assert "Points counted" in text_of(page)


def test_correcting_leads_to_the_print(open_page, sample_home, recorded):
    page = open_page("Face", sample_home)
    print_id = recorded(sample_home).progress(1).iloc[-1]["print_id"]
    links = [el.proto for el in page.get("page_link") if el.proto.label == "Correct this print"]
    assert len(links) == 1
    assert f"print={print_id}" in links[0].query_string
    assert "face=1" in links[0].query_string


def test_all_there_is_can_be_downloaded(open_page, sample_home):
    page = open_page("Face", sample_home)
    labels = [el.proto.label for el in page.get("download_button")]
    for kind in ("CSV", "Parquet", "JSON"):
        for what in ("Passes", "Points", "Squares", "Readings"):
            assert f"{what}, {kind}" in labels
        assert labels.count(f"Numbers, {kind}") == CHARTS
    assert labels.count("Chart, HTML") == CHARTS
    assert {"Picture, JPEG", "Whole reading, JSON"} <= set(labels)


def test_the_table_of_the_passes_comes_whole(sample_home, recorded):
    progress = recorded(sample_home).progress(1)
    names = [column.name for column in columns_of("passes")]
    assert list(pd.read_csv(BytesIO(table_bytes(progress, "csv")))) == names
    rows = json.loads(table_bytes(progress, "json"))
    assert [row["contact_percent"] for row in rows] == list(progress["contact_percent"])


def test_another_face_is_another_page(open_page, sample_home, recorded):
    record = recorded(sample_home)
    part = record.parts(record.machines()[0].machine_id)[0]
    plan = dataclasses.replace(record.face(1).plan, name="Other face", target=NO_TARGET)
    other = record.add_face(part.part_id, plan).face_id
    row = record.progress(1).iloc[3]
    reading = record.reading(int(row["reading_id"]))
    photo = record.photo(reading.photo_sha256)
    record.keep_print(other, [("print.jpg", photo)], reading)
    page = open_page("Face", sample_home, other)
    assert metrics_of(page)["Contact"] == f"{reading.contact_percent:.1f} %"
    assert NO_TARGET_WORDS in text_of(page)
    assert metrics_of(page)["Points/25 mm square"] == "unreliable"


@pytest.mark.parametrize(
    ("value", "ends", "least", "most", "told"),
    [
        (50, (45, 55), 40, 60, "target 40 to 60 %: ✓ met"),
        (42, (38, 46), 40, 60, "target 40 to 60 %: ✓ met, but its interval reaches below"),
        (58, (54, 62), 40, 60, "target 40 to 60 %: ✓ met, but its interval reaches above"),
        (38, (34, 42), 40, 60, "target 40 to 60 %: ▽ below, but its interval reaches it"),
        (30, (26, 34), 40, 60, "target 40 to 60 %: ▽ below"),
        (70, (66, 74), 40, 60, "target 40 to 60 %: △ above"),
        (70, (56, 84), 40, 60, "target 40 to 60 %: △ above, but its interval reaches it"),
        (50, (45, 55), 40, None, "target at least 40 %: ✓ met"),
        (50, (45, 55), None, None, "no target"),
    ],
)
def test_a_figure_against_its_target(value, ends, least, most, told):
    assert against_words(value, *ends, least, most, " %") == told


def test_ends_in_words():
    assert interval(Interval(14.96, 17.31)) == "15.0 to 17.3"
    assert "too few" in interval(Interval(0.0, float("inf")))


def test_the_target_in_one_line():
    assert target_line(NO_TARGET, "metric") == NO_TARGET_WORDS
    precision = next(target for target in SHIPPED_TARGETS if target.name == "precision slideway")
    assert "at least 20 points per in2" in target_line(precision, "inch")


def test_what_a_person_wrote_is_shown_as_written():
    assert as_written("*a* [b](c) $d$") == r"\*a\* \[b\]\(c\) \$d\$"
    assert as_written("3 µm, Müller") == "3 µm, Müller"


def test_what_a_face_is_in_a_line():
    plan = sample_plan(find_samples()[0])
    told = dataclasses.replace(plan, role="way", reference="plate *2*", notes="two\nlines")
    assert about_line(told) == r"Way, printed against plate \*2\*\. two lines"
    assert about_line(dataclasses.replace(plan, role="", reference="", notes="")) == ""


def test_what_was_done_in_words():
    scrape = Scrape(who="A", scraping="finish", metal_um=12.7, hours=0.75, notes="two\nlines")
    assert scrape_words(scrape, "metric") == "finish, A, 12.7 µm, 0.75 h"
    assert "0.50 thousandths of an inch" in scrape_words(scrape, "inch")
    entry = PassEntry(1, 1, 4, "2026-01-01T00:00:00+00:00", scrape, (1,))
    assert note_line(entry, "metric").endswith("h: two lines")
    assert note_line(dataclasses.replace(entry, scrape=Scrape()), "metric").endswith("noted")


def test_corrections_in_words():
    one, two = Correction("remove", ((1, 2),)), Correction("leave_out", ((0, 0), (5, 0), (5, 5)))
    assert corrections_sentence((one, two, one)) == (
        "Corrected by hand: 2 false points removed, 1 area left out."
    )


def test_names_of_files_are_plain(sample_home, recorded):
    face = recorded(sample_home).face(1)
    stem = file_stem(face, "pass", 3, "left / right")
    assert stem == "Surface-grinder-invented-sample-Cross-slide-Upper-face-pass-3-left-right"


def test_only_the_chosen_pass_is_loaded_and_that_once(
    open_page, sample_home, recorded, monkeypatch
):
    # which keeps the verdict, so that the page need not judge
    face_verdict(recorded(sample_home), 1)
    loaded = []
    whole = Record.reading

    def counted(record, reading_id):
        loaded.append(reading_id)
        return whole(record, reading_id)

    monkeypatch.setattr(Record, "reading", counted)
    page = open_page("Face", sample_home)
    assert loaded == [8]
    page = slider_of(page.run()).set_value(2).run()
    assert loaded == [8, 2]
    slider_of(page).set_value(8).run()
    assert loaded == [8, 2]
