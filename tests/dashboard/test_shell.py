"""The shell: errors in words, the record of the right place, and each tab its own face."""

import pytest
from streamlit.testing.v1 import AppTest

from scrapeview.dashboard import shell
from scrapeview.record import FacePlan

say_unforeseen = shell.say_unforeseen


def failing():
    import os

    import streamlit as st
    from sqlalchemy.exc import OperationalError

    from scrapeview.dashboard.shell import page
    from scrapeview.errors import RecordError

    with page("Trial"):
        st.write("before")
        kind = os.environ["TRIAL"]
        if kind == "own":
            raise RecordError("The record is asleep: wake it.")
        if kind == "database":
            raise OperationalError("SELECT secret", {}, Exception("database is locked"))
        if kind == "fault":
            raise KeyError("secret")
        if kind == "disk":
            raise OSError(28, "No space left on device", "photo.jpg")
    st.write("after")


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("own", "The record is asleep: wake it."),
        ("database", "database is locked"),
        ("disk", "'photo.jpg' could not be read or written: No space left on device"),
    ],
)
def test_a_failure_is_said_in_words_and_the_page_goes_on(monkeypatch, kind, said):
    monkeypatch.setenv("TRIAL", kind)
    page = AppTest.from_function(failing).run()
    assert not page.exception
    (error,) = page.error
    assert said in error.value
    assert "SELECT" not in error.value
    assert "Traceback" not in error.value
    assert [text.value for text in page.markdown] == ["before", "after"]


def test_a_fault_of_the_program_is_said_in_words_and_logged(monkeypatch, caplog):
    monkeypatch.setattr(shell, "say_unforeseen", say_unforeseen)
    monkeypatch.setenv("TRIAL", "fault")
    page = AppTest.from_function(failing).run()
    assert not page.exception
    assert "fault of the program" in page.error[0].value
    assert "secret" not in page.error[0].value
    assert "secret" in caplog.text


def test_a_test_sees_a_fault_of_the_program(monkeypatch):
    monkeypatch.setenv("TRIAL", "fault")
    assert AppTest.from_function(failing).run().exception


def test_without_a_failure_nothing_is_said(monkeypatch):
    monkeypatch.setenv("TRIAL", "none")
    assert not AppTest.from_function(failing).run().error


@pytest.mark.parametrize("name", ["Shop", "New print", "Face", "Side by side", "Settings"])
def test_a_record_that_cannot_be_opened_is_said_on_every_page(open_page, tmp_path, name):
    (tmp_path / "record.sqlite").write_bytes(b"no record at all" * 64)
    page = open_page(name, tmp_path)
    assert not page.exception
    assert str(tmp_path) in page.error[0].value


@pytest.fixture
def two_faces(sample_home, recorded):
    """Folder of the sample series with a second face in it."""
    record = recorded(sample_home)
    record.add_face(
        record.parts(1)[0].part_id, FacePlan(name="Zig side", width_mm=90, height_mm=20)
    )
    return sample_home


def face_box(page):
    return next(box for box in page.selectbox if box.label == "Face")


def chosen(page):
    return face_box(page).value, page.query_params.get("face")


def test_the_address_holds_the_face(open_page, two_faces):
    assert chosen(open_page("Side by side", two_faces, face_id=2)) == (2, "2")
    assert chosen(open_page("Side by side", two_faces, face_id=1)) == (1, "1")


def test_without_an_address_the_first_face_is_shown_and_put_into_it(open_page, two_faces):
    assert chosen(open_page("Side by side", two_faces)) == (1, "1")


def test_choosing_another_face_changes_the_address(open_page, two_faces):
    page = open_page("Side by side", two_faces, face_id=1)
    face_box(page).set_value(2).run()
    assert not page.exception
    assert chosen(page) == (2, "2")


def test_two_tabs_each_keep_their_own_face(open_page, two_faces):
    one = open_page("Side by side", two_faces, face_id=1)
    other = open_page("Side by side", two_faces, face_id=2)
    face_box(one).set_value(2).run()
    face_box(other).set_value(1).run()
    assert chosen(one.run()) == (2, "2")
    assert chosen(other.run()) == (1, "1")


@pytest.mark.parametrize("asked", ["99", "first", "-1", "1.0", ""])
def test_a_face_that_is_not_there_is_never_another_one(open_page, two_faces, asked):
    page = open_page("Side by side", two_faces, face_id=asked)
    assert not page.exception
    assert face_box(page).value is None
    assert "not in the record" in page.info[0].value


def test_a_face_taken_away_meanwhile_is_never_another_one(open_page, two_faces, recorded):
    page = open_page("Side by side", two_faces, face_id=1)
    recorded(two_faces).remove_machine(1)
    page.run()
    assert not page.exception
    assert "empty" in page.info[0].value


def test_where_there_are_machines_but_no_faces_the_shop_is_named(open_page, empty_home, recorded):
    recorded(empty_home).add_machine("Bare")
    page = open_page("Face", empty_home)
    assert "Add one to a part on the page Shop" in page.info[0].value
    assert page.get("page_link")
