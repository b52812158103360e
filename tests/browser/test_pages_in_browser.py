"""Every page in a real browser: narrow enough for a phone, whole, and asking nobody outside."""

import pytest

from scrapeview.record import Record

PAGES = ["", "new-print", "face", "judge", "long-face", "side-by-side", "settings"]
TITLES = ["Shop", "New print", "Face", "Judge", "Long face", "Side by side", "Settings"]

# Streamlit's own small ones: tools of charts and tables, whose work is offered beside them too, the
# question mark of a help, and the arrow in a field that is pressed as a whole
LOW_BUTTONS = """
[...document.querySelectorAll('[data-testid="stMain"] button, [data-testid="stMain"] a[href]')]
  .filter(pressed => !pressed.closest('.modebar, .stElementToolbar, [aria-hidden="true"], p, li, '
    + '[tabindex="-1"], [aria-label^="Help for"]'))
  .map(pressed => [pressed.innerText || pressed.title || pressed.outerHTML.slice(0, 120),
                   Math.round(pressed.getBoundingClientRect().height)])
  .filter(([_, high]) => high > 0 && high < 44)
"""


@pytest.mark.parametrize(
    ("phone", "scheme"), [(False, "light"), (True, "dark")], ids=["bench", "phone"]
)
def test_every_page_of_a_full_record_stands(tab, sample_server, phone, scheme):
    server, _ = sample_server
    hand = tab(server.url, phone=phone, color_scheme=scheme)
    for page, title in zip(PAGES, TITLES, strict=True):
        hand.open(f"{page}?face=1")
        assert hand.page.get_by_role("heading", name=title, level=1).count() == 1
        assert hand.complaints() == []
        if phone:
            assert hand.page.evaluate(LOW_BUTTONS) == [], f"too low for a thumb: {title}"
        if title == "Settings":
            # what is folded away must fit as well
            for folded in hand.page.locator('[data-testid="stExpander"] summary').all():
                folded.click()
            hand.settle()
            assert hand.complaints() == []


def test_an_empty_record_says_what_to_do_next_and_is_filled_with_one_press(tab, start):
    server, home = start()
    hand = tab(server.url, phone=True)
    for page in PAGES:
        hand.open(page)
        assert hand.complaints() == []
        assert (
            hand.page.get_by_test_id("stAlert").count()
            + hand.page.get_by_role("button", name="Load the sample series").count()
        )
    hand.open()
    hand.press("Load the sample series")
    hand.page.get_by_text("Surface grinder (invented sample)").first.wait_for()
    hand.settle()
    record = Record.open(home)
    try:
        assert len(record.passes(record.faces()[0].face_id)) == 8
    finally:
        record.close()
    assert hand.complaints() == []


def test_a_phone_logs_in_and_stays_logged_in(tab, start):
    server, _ = start("--lan")
    passphrase = next(line for line in server.said if line.startswith("Passphrase: "))[12:]
    hand = tab(server.url, phone=True)
    hand.page.goto(f"{server.url}/settings")
    hand.page.get_by_label("Passphrase").fill("wrong words are here")
    hand.page.get_by_role("button").tap()
    hand.page.get_by_text("That is not the passphrase.").wait_for()
    assert hand.complaints() == []
    hand.page.get_by_label("Passphrase").fill(passphrase.title())
    hand.page.get_by_role("button").tap()
    hand.page.wait_for_url(f"{server.url}/settings")
    hand.settle()
    assert hand.page.get_by_role("heading", name="Settings", level=1).count() == 1
    hand.page.reload()
    hand.settle()
    assert hand.page.get_by_role("heading", name="Settings", level=1).count() == 1
    assert passphrase not in hand.page.url
    assert hand.complaints() == []
    # scripts of the page cannot read the login
    assert "scrapeview_login" not in hand.page.evaluate("document.cookie")
