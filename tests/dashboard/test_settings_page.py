"""The Settings page: units, names, check, archive, reading again and exports."""

import dataclasses
import json
from io import BytesIO
from pathlib import Path

import pandas as pd
import pytest

from scrapeview.archive import write_archive
from scrapeview.dashboard.settings_archive import archive_name
from scrapeview.record import Machine
from scrapeview.record_samples import MACHINE_NAME
from scrapeview.record_tables import WHATS, record_table


def pressed(page, key):
    page.button(key=key).click().run()
    assert not page.exception
    return page


def test_the_units_of_the_shop_are_kept(open_page, sample_home, recorded):
    page = open_page("Settings", sample_home)
    page.radio(key="settings_units").set_value("inch").run()
    assert not page.exception
    assert recorded(sample_home).setting("units", "metric") == "inch"
    assert open_page("Settings", sample_home).radio(key="settings_units").value == "inch"


def test_names_of_scrapers_are_kept_once_and_can_go(open_page, sample_home, recorded):
    recorded(sample_home).set_setting("scrapers", ["Ann", "Bo"])
    page = open_page("Settings", sample_home)
    assert page.multiselect(key="settings_scrapers").value == ["Ann", "Bo"]
    page.multiselect(key="settings_scrapers").set_value(["Bo"]).run()
    assert not page.exception
    assert recorded(sample_home).setting("scrapers", []) == ["Bo"]


def test_a_name_is_added_beside_those_of_another_tab(open_page, sample_home, recorded):
    page = open_page("Settings", sample_home)
    recorded(sample_home).set_setting("scrapers", ["Ann"])
    page.multiselect(key="settings_scrapers").set_value([" Bo "]).run()
    assert not page.exception
    assert recorded(sample_home).setting("scrapers", []) == ["Ann", "Bo"]
    assert page.multiselect(key="settings_scrapers").value == ["Ann", "Bo"]


def test_a_tab_that_stood_open_does_not_undo_what_another_one_set(open_page, sample_home, recorded):
    page = open_page("Settings", sample_home)
    recorded(sample_home).set_setting("units", "inch")
    page.run()
    assert page.radio(key="settings_units").value == "inch"
    assert recorded(sample_home).setting("units", "metric") == "inch"


def test_where_the_record_lives_is_told(open_page, sample_home):
    page = open_page("Settings", sample_home)
    assert any(str(sample_home) in text.value for text in page.markdown)


def test_a_sound_record_is_said_to_be_sound(open_page, sample_home):
    page = pressed(open_page("Settings", sample_home), "check_record")
    assert "sound" in page.success[0].value
    assert not page.warning


def test_a_lost_photograph_is_named(open_page, sample_home, recorded):
    record = recorded(sample_home)
    record.photo_path(record.prints(1)[2].photo_sha256s[0]).unlink()
    page = pressed(open_page("Settings", sample_home), "check_record")
    assert page.error[0].value == "1 thing is wrong with the record."
    assert "pass 3" in page.warning[0].value


def test_an_archive_is_offered_for_download_once_it_is_written(open_page, sample_home):
    page = open_page("Settings", sample_home)
    before = len(page.get("download_button"))
    pressed(page, "archive_write")
    assert not page.error
    assert len(page.get("download_button")) == before + 1


def test_an_archive_is_taken_in(open_page, sample_home, empty_home, recorded, tmp_path):
    path = tmp_path / "grinder.zip"
    write_archive(recorded(sample_home), 1, path)
    page = open_page("Settings", empty_home)
    page.get("file_uploader")[0].set_value(("grinder.zip", path.read_bytes(), "application/zip"))
    pressed(page.run(), "archive_read")
    assert MACHINE_NAME in page.success[0].value
    assert len(recorded(empty_home).progress(recorded(empty_home).faces()[0].face_id)) == 8


def test_a_damaged_archive_is_refused_in_words(open_page, empty_home, recorded):
    page = open_page("Settings", empty_home)
    page.get("file_uploader")[0].set_value(("x.zip", b"PK no archive", "application/zip"))
    pressed(page.run(), "archive_read")
    assert page.error[0].value.endswith(".")
    assert not recorded(empty_home).machines()


@pytest.mark.parametrize(
    ("name", "file"),
    [("Knee mill", "knee-mill.zip"), ("../../etc", "etc.zip"), ("//", "machine.zip")],
)
def test_an_archive_is_named_after_its_machine(name, file):
    assert archive_name(Machine(1, name)) == file


def test_prints_that_are_up_to_date_are_left_alone(open_page, one_pass_home, recorded):
    page = pressed(open_page("Settings", one_pass_home), "reread")
    assert "nothing to do" in page.success[0].value
    assert len(recorded(one_pass_home).prints(1)[0].reading_ids) == 1


def test_prints_are_read_again_after_a_change_of_settings(open_page, one_pass_home, recorded):
    record = recorded(one_pass_home)
    plan = record.face(1).plan
    coarser = dataclasses.replace(plan.settings, smallest_point_mm=2.0)
    record.change_face(1, dataclasses.replace(plan, settings=coarser))
    page = pressed(open_page("Settings", one_pass_home), "reread")
    assert page.success[0].value == "1 print was read again."
    assert len(record.prints(1)[0].reading_ids) == 2


@pytest.mark.parametrize("what", ["faces", "passes", "points", "cells"])
def test_tables_of_the_whole_record_name_machine_part_and_face(sample_home, recorded, what):
    record = recorded(sample_home)
    table = record_table(record, what)
    assert set(table["machine"]) == {MACHINE_NAME}
    assert {"part", "face"} <= set(table.columns)
    assert (
        len(table)
        == {
            "faces": 1,
            "passes": 8,
            "points": int(record.progress(1)["points"].sum()),
            "cells": 8 * len(record.reading(record.prints(1)[0].current_reading_id).cells),
        }[what]
    )


@pytest.mark.parametrize("what", WHATS)
def test_tables_of_an_empty_record_are_empty(empty_home, recorded, what):
    assert record_table(recorded(empty_home), what).empty


@pytest.mark.parametrize("kind", ["csv", "parquet", "json"])
def test_all_passes_are_taken_out_as_a_file(open_page, sample_home, recorded, kind):
    page = open_page("Settings", sample_home)
    page.selectbox(key="export_what").set_value("passes")
    page.selectbox(key="export_kind").set_value(kind).run()
    pressed(page, "export_make")
    what, made, content = page.session_state["export_ready"]
    assert (what, made) == ("passes", kind)
    read = {
        "csv": lambda: pd.read_csv(BytesIO(content)),
        "parquet": lambda: pd.read_parquet(BytesIO(content)),
        "json": lambda: pd.DataFrame(json.loads(content)),
    }[kind]()
    kept = recorded(sample_home).progress(1)["contact_percent"]
    assert list(read["contact_percent"]) == pytest.approx(list(kept))


def test_the_written_archive_is_a_file_of_its_own(open_page, sample_home):
    page = open_page("Settings", sample_home)
    first = Path(pressed(page, "archive_write").session_state["archive_ready"][1])
    second = Path(pressed(page, "archive_write").session_state["archive_ready"][1])
    assert second.is_file()
    assert not first.exists()
