"""The page Judge on a phone: every part stands, and points are counted by eye with a thumb."""

from test_pages_in_browser import LOW_BUTTONS

from scrapeview.dashboard.judge_page import SECTIONS
from scrapeview.record import Record


def test_every_part_stands_on_a_phone_and_counts_are_kept(tab, sample_server):
    server, home = sample_server
    hand = tab(server.url, phone=True, color_scheme="dark")
    for part in SECTIONS:
        hand.open(f"judge?face=1&look={part.replace(' ', '+')}")
        chosen = hand.page.locator('[data-testid="stButtonGroup"] button[aria-checked="true"]')
        assert chosen.first.inner_text() == part
        assert hand.complaints() == []
        assert hand.page.evaluate(LOW_BUTTONS) == [], f"too low for a thumb: {part}"
    assert "Eye beside program" not in hand.page.content()
    assert hand.page.get_by_label("Points in square A", exact=True).bounding_box()["height"] >= 44
    hand.fill("Points in square A", "31")
    hand.press("Keep my counts")
    hand.page.get_by_text("Eye beside program").wait_for()
    record = Record.open(home)
    try:
        assert [count.by_eye for count in record.eye_counts(1)] == [31]
    finally:
        record.close()
