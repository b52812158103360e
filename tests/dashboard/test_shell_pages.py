"""Every page comes up on an empty record, on one pass and on a full one."""

import pytest

PAGES = ("Shop", "New print", "Face", "Judge", "Long face", "Side by side", "Settings")
RECORDS = ("empty_home", "one_pass_home", "sample_home")


@pytest.mark.parametrize("record", RECORDS)
@pytest.mark.parametrize("name", PAGES)
def test_every_page_comes_up(request, open_page, name, record):
    page = open_page(name, request.getfixturevalue(record))
    assert not page.exception
    assert not page.error
    assert page.title[0].value == name


@pytest.mark.parametrize("name", ["New print", "Face", "Judge", "Long face", "Side by side"])
def test_a_page_of_one_face_says_what_to_do_on_an_empty_record(open_page, empty_home, name):
    page = open_page(name, empty_home)
    assert "sample series" in page.info[0].value
    assert page.button(key="load_samples").label == "Load the sample series"
