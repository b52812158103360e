"""What is typed on the page Judge: counts by eye and swing tests, kept or refused."""

import numpy as np
import pytest

from scrapeview.bearing import Square
from scrapeview.dashboard.judge_eye import HOW_MANY, NONE_COUNTED
from scrapeview.dashboard.judge_eye_crops import AROUND_MM, DARKENED, WIDTH_PX, framed
from scrapeview.dashboard.judge_swing import line_of
from scrapeview.errors import RecordError
from scrapeview.judge.eye import agreement_of, by_tool
from scrapeview.record import Record
from scrapeview.record.entries import SwingTest


@pytest.fixture
def open_part(open_page, one_pass_home):
    def opened(part):
        return open_page("Judge", one_pass_home).button_group[0].set_value(part).run()

    return opened


@pytest.fixture
def record(recorded, one_pass_home):
    return recorded(one_pass_home)


def press(page, label):
    return next(button for button in page.button if button.label == label).click().run()


def told(page):
    texts = (*page.markdown, *page.caption, *page.info, *page.warning, *page.success)
    return " ".join(text.value for text in texts)


def test_counts_are_kept_beside_the_program_s_and_shown_only_then(open_part, record):
    page = open_part("By eye")
    assert len(page.number_input) == HOW_MANY
    assert not page.dataframe
    assert "against the program" not in told(page)
    page = press(page, "Keep my counts")
    assert NONE_COUNTED in [warning.value for warning in page.warning]
    assert record.eye_counts(1) == ()
    for field, count in zip(page.number_input, (30, 22, 0), strict=False):
        field.set_value(count)
    page = press(page, "Keep my counts")
    assert not page.exception
    assert not page.error
    kept = record.eye_counts(1)
    assert [count.by_eye for count in kept] == [30, 22, 0]
    reading = record.reading(kept[0].reading_id)
    for count in kept:
        found = by_tool(reading.points, count.x_mm, count.y_mm, count.side_mm)
        assert count.by_tool == found > 0
    bias = agreement_of(kept).bias / 1.032256
    assert f"{bias:+.1f} points per 25 mm square" in told(page).replace("\\", "")
    assert list(page.dataframe[0].value["Eye"]) == [0, 22, 30]
    page.button_group[0].set_value("Verdict").run()
    assert "By eye: " in told(page).replace("\\", "")


def test_more_squares_are_others(open_part, record):
    page = open_part("By eye")
    page.number_input[0].set_value(12)
    page = press(page, "Keep my counts")
    page = press(page, "Count more squares of this print")
    page.number_input[1].set_value(15)
    press(page, "Keep my counts")
    one, two = record.eye_counts(1)
    apart = max(abs(one.x_mm - two.x_mm), abs(one.y_mm - two.y_mm))
    assert apart >= one.side_mm - 1e-6


def test_a_square_is_shown_clean_in_its_frame():
    rng = np.random.default_rng(3)
    scale, side = 12.0, 20.0
    shape = round((side + 2 * AROUND_MM) * scale), round((side + 2 * AROUND_MM) * scale)
    view = rng.integers(60, 200, (*shape, 3), dtype=np.uint8)
    view[:] = view.mean(axis=(0, 1)).astype(np.uint8)
    start = 50 - AROUND_MM + 0.5 / scale, 30 - AROUND_MM + 0.5 / scale
    square = Square(50.0, 30.0, side, side**2, 7, 1.0, 1.0, 20.0)
    drawn = framed(view, scale, start, square)
    assert drawn.shape[1] == WIDTH_PX
    enlarged = WIDTH_PX / shape[1]
    low, high = (round(at * scale * enlarged) for at in (AROUND_MM, AROUND_MM + side))
    inside = drawn[low + 1 : high - 1, low + 1 : high - 1]
    assert (inside == view[0, 0]).all()
    outside = drawn[: low - 6, : low - 6]
    assert (outside == np.round(view[0, 0] * DARKENED)).all()
    assert (drawn[low - 2, low + 50] == 255).all()


def test_a_swing_test_is_refused_in_words_until_it_can_be_kept(open_part, record, monkeypatch):
    page = open_part("Shape")
    number = int(record.progress(1)["number"].iloc[-1])
    page.number_input[0].set_value(12.0)
    page.text_input[0].set_value("by *hand*")
    page = press(page, "Keep the swing test")
    assert any("say what the part did" in warning.value for warning in page.warning)

    def refuse(*_):
        raise RecordError("The disk is full.")

    page.radio[0].set_value("hollow")
    with monkeypatch.context() as patched:
        patched.setattr(Record, "add_swing_test", refuse)
        page = press(page, "Keep the swing test")
    assert [error.value for error in page.error] == ["The disk is full."]
    assert record.swing_tests(1) == ()

    page = press(page, "Keep the swing test")
    assert not page.exception
    assert not page.error
    (kept,) = record.swing_tests(1)
    assert (kept.result, kept.pivot_percent, kept.pass_number) == ("hollow", 12.0, number)
    assert "by \\*hand\\*" in told(page)
    assert "The swing test is kept" in told(page)
    assert "the swing test said hollow" in told(page)


def test_a_swing_test_is_told_with_what_is_known_of_it():
    plain = SwingTest(pass_number=4, result="even", made_at_utc="2026-03-02T10:00:00+00:00")
    assert line_of(plain) == "**Pass 4** even \\(2 Mar 2026\\)"
    full = SwingTest(pass_number=5, result="convex", pivot_percent=41.0, who="A", notes="slow")
    assert line_of(full) == (
        "**Pass 5** convex, turned at 41 % of its length from the far end \\(A\\)\\: slow"
    )
