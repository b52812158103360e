"""The page opens without an exception and shows what the reading says."""

import tomllib
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from scrapeview.dashboard.cached import key_of
from scrapeview.samples import find_samples

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def opened():
    return AppTest.from_file(str(ROOT / "app.py"), default_timeout=120).run()


def chosen(page, name):
    sample = next(s for s in find_samples() if s.name == name)
    return page.selectbox[0].set_value(sample).run(), sample.read()


def shown_metrics(page):
    return {metric.label: metric.value for metric in page.metric}


def test_the_first_sample_is_shown(opened):
    assert not opened.exception
    assert not opened.warning
    assert shown_metrics(opened)["Points/in2"] == "unreliable"
    assert any("do not rely on the count" in error.value for error in opened.error)


def test_a_sound_print_shows_its_figures(opened):
    page, reading = chosen(opened, "cross-slide-pass-8")
    assert not page.exception
    shown = shown_metrics(page)
    assert shown["Contact"] == f"{reading.contact_percent:.1f} %"
    assert shown["Points/in2"] == f"{reading.points_per_square_inch:.1f}"
    assert len(page.dataframe[0].value) == len(reading.points)


def test_units_change_the_lengths(opened):
    page = opened.radio[0].set_value("inch").run()
    assert not page.exception
    assert shown_metrics(page)["Area read"].endswith(" in2")
    assert shown_metrics(page)["Median point"].endswith(" in")
    opened.radio[0].set_value("metric").run()


def test_without_samples_the_page_says_what_to_do(monkeypatch, tmp_path):
    monkeypatch.setattr("scrapeview.samples.FOLDER_NAME", "nowhere")
    monkeypatch.chdir(tmp_path)
    page = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60).run()
    assert not page.exception
    assert "nowhere" in page.info[0].value


def test_samples_are_told_apart_by_photograph_and_place():
    keys = {key_of(sample) for sample in find_samples()}
    assert len(keys) == len(find_samples())


def test_the_entry_is_a_router_and_nothing_else():
    lines = (ROOT / "app.py").read_text().splitlines()
    assert len([line for line in lines if line.strip()]) <= 6


def test_the_server_listens_on_this_machine_only():
    config = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text())
    assert config["server"]["address"] == "localhost"
    assert config["browser"]["gatherUsageStats"] is False
