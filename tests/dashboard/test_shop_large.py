"""A shop with many faces: cards come by portions, what waits is folded, the record is as asked."""

import pytest
from large_record import make_large_record

FACES, PASSES, LONG_PASSES = 101, 130, 12


@pytest.fixture(scope="module")
def large_home(tmp_path_factory):
    """Folder of a record with many faces, which tests only look at."""
    home = tmp_path_factory.mktemp("large")
    make_large_record(home, FACES, PASSES, LONG_PASSES)
    return home


def cards(page):
    bodies = [element.proto.body for element in page.get("html")]
    return [body for body in bodies if "class='sv-name'" in body]


def test_the_record_is_as_large_as_asked(large_home, recorded):
    record = recorded(large_home)
    shop = record.shop()
    assert len(shop) == FACES
    assert shop["passes"].sum() == PASSES
    assert len(record.progress(1)) == LONG_PASSES
    assert shop["passes"].iloc[1:].max() - shop["passes"].iloc[1:].min() <= 1
    reading = record.reading(record.prints(1)[-1].current_reading_id)
    assert len(reading.points) == record.progress(1)["points"].iloc[-1] > 1000


def test_cards_come_by_portions(open_page, large_home):
    page = open_page("Shop", large_home)
    assert not page.exception
    assert len(cards(page)) == 24
    assert any(f"24 of {FACES} faces" in text.value for text in page.caption)
    page.button(key="shop_more").click().run()
    assert len(cards(page)) == 48


def test_one_machine_is_shown_whole(open_page, large_home, recorded):
    shop = recorded(large_home).shop()
    name = shop["machine"].iloc[0]
    page = open_page("Shop", large_home)
    page.selectbox(key="shop_machine").set_value(name).run()
    assert len(cards(page)) == (shop["machine"] == name).sum()


def test_many_that_wait_are_folded(open_page, large_home):
    page = open_page("Shop", large_home)
    assert page.subheader[0].value == "Waiting for a print: 10"
    assert page.expander[0].label == "4 more"
