"""The first start: the sample series is in the record after one press, as it is read."""

import pytest

from scrapeview.record_samples import MACHINE_NAME, keep_samples
from scrapeview.samples import find_samples
from scrapeview.targets import ASKED


def test_one_press_loads_the_series_and_shows_it(open_page, empty_home, recorded):
    page = open_page("Shop", empty_home)
    assert page.button(key="add_machine").label == "Add your own machine"
    page.button(key="load_samples").click().run()
    assert not page.exception
    assert not page.error
    assert any(MACHINE_NAME.split(" (")[0] in heading.value for heading in page.subheader)
    assert len(recorded(empty_home).progress(1)) == 8


def test_the_record_holds_the_series_as_it_is_read(sample_home, recorded):
    record = recorded(sample_home)
    progress = record.progress(1)
    series = [sample for sample in find_samples() if sample.pass_number is not None]
    assert list(progress["number"]) == [sample.pass_number for sample in series]
    reading = series[3].read()
    kept = progress.iloc[3]
    assert kept["contact_percent"] == reading.contact_percent
    assert kept["points_per_square_inch"] == reading.points_per_square_inch
    assert kept["points"] == len(reading.points)
    assert record.photo(reading.photo_sha256) == series[3].photo.read_bytes()


def test_it_says_that_it_is_invented(sample_home, recorded):
    record = recorded(sample_home)
    assert "invented" in record.machines()[0].name
    assert "Invented" in record.machines()[0].notes
    target = record.face(1).plan.target
    assert all("invented" in target.origin(asked.name).source for asked in ASKED)


def test_a_second_time_changes_nothing(sample_home, recorded):
    record = recorded(sample_home)
    before = record.progress(1)
    steps = []
    keep_samples(record, lambda *step: steps.append(step))
    assert record.progress(1).equals(before)
    assert len(record.machines()) == len(record.faces()) == 1
    assert [done for done, _, _ in steps] == list(range(9))


class BrokenOffError(Exception):
    pass


def test_a_series_broken_off_is_finished_at_the_next_press(empty_home, recorded):
    record = recorded(empty_home)

    def break_off(done, *_):
        if done == 2:
            raise BrokenOffError

    with pytest.raises(BrokenOffError):
        keep_samples(record, break_off)
    assert len(record.progress(1)) == 2
    keep_samples(record)
    assert list(record.progress(1)["number"]) == list(range(1, 9))


def test_without_the_sample_photographs_the_page_says_what_to_do(
    open_page, empty_home, monkeypatch, tmp_path
):
    monkeypatch.setattr("scrapeview.samples.FOLDER_NAME", "nowhere")
    monkeypatch.chdir(tmp_path)
    page = open_page("Shop", empty_home)
    page.button(key="load_samples").click().run()
    assert not page.exception
    assert "nowhere" in page.error[0].value
