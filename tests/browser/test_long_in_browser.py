"""A long face under a thumb: the strip fits a phone, and its stretches are stepped through."""

import shutil

from long_record import fill_long
from test_pages_in_browser import LOW_BUTTONS


def test_a_long_face_is_stepped_through_by_thumb(tab, start, made_once):
    server, home = start()
    shutil.copytree(made_once.folder("long", fill_long), home, dirs_exist_ok=True)
    hand = tab(server.url, phone=True, color_scheme="dark")
    hand.open("long-face?face=1")
    hand.see("Where they meet: an estimate")
    bars = hand.page.locator(".js-plotly-plot .barlayer .point").all()
    assert len(bars) == 3
    right = [bar.bounding_box()["x"] + bar.bounding_box()["width"] for bar in bars]
    assert max(right) <= 360
    assert hand.complaints() == []
    hand.open("long-face?face=1&look=Stretch")
    for name, seen in (("Stretch after", "105 to 255 mm"), ("Closer", "142 to 217 mm")):
        button = hand.page.get_by_role("button", name=name)
        assert button.bounding_box()["height"] >= 56
        button.tap()
        hand.see(f"{seen}: middle, pass 2")
    assert hand.page.evaluate(LOW_BUTTONS) == []
    assert hand.complaints() == []
    hand.open("long-face?face=1&look=In line")
    assert hand.page.evaluate(LOW_BUTTONS) == []
    assert hand.complaints() == []
