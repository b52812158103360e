"""The picture under mouse, keys and fingers: picks, loupe, zoom, layers, numbers and tools."""

import pytest

NEXT_FRAME = "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"


class Hand:
    """A tab with a photograph to pick on, and what a pointer does there."""

    def __init__(self, tab, photo):
        self.tab = tab
        tab.open("new-print?face=1")
        tab.upload(photo)
        self.stage = self.find("picture-stage")
        self.stage.wait_for()
        if self.find("clear-picks").is_enabled():
            self.find("clear-picks").click()
        self.touch = tab.context.new_cdp_session(tab.page)

    def find(self, testid):
        # what a hand does is drawn with the next frame
        self.tab.page.evaluate(NEXT_FRAME)
        return self.tab.page.get_by_test_id(testid)

    def place_px(self, handle):
        found = self.find(f"handle-{handle}")
        return tuple(float(found.get_attribute(f"data-{axis}")) for axis in "xy")

    def middle(self, testid):
        box = self.find(testid).bounding_box()
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def handles(self):
        self.tab.page.evaluate(NEXT_FRAME)
        return self.stage.locator(".handle").count()

    def fingers(self, kind, *places):
        points = [{"x": x, "y": y, "id": at} for at, (x, y) in enumerate(places)]
        message = {"type": f"touch{kind}", "touchPoints": points}
        self.touch.send("Input.dispatchTouchEvent", message)
        self.tab.page.wait_for_timeout(40)

    def beside(self, x, y):
        """Whether the loupe is seen and does not lie under a place of the page."""
        box = self.find("loupe").bounding_box()
        across = box["x"] <= x <= box["x"] + box["width"]
        return not (across and box["y"] <= y <= box["y"] + box["height"])


@pytest.fixture
def hand(tab, sample_server, shot, tmp_path):
    """Open a tab with the photograph of pass 6, as a file that is not in the record."""

    def opened(phone):
        server, _ = sample_server
        photo = tmp_path / "print.jpg"
        photo.write_bytes(shot(6).photo.read_bytes() + b"\0")
        return Hand(tab(server.url, phone=phone), photo)

    return opened


def test_picks_are_dragged_nudged_and_taken_back_by_mouse_and_keys(hand, shot):
    bench, print_6 = hand(False), shot(6)
    bench.tab.pick(print_6.corners_px, print_6.size_px)
    assert bench.handles() == 4
    x, y = bench.place_px(3)
    bench.find("nudge-right").click()
    assert bench.place_px(3) == pytest.approx((x + 1, y), abs=0.011)
    bench.stage.focus()
    bench.tab.page.keyboard.press("ArrowUp")
    bench.tab.page.keyboard.press("Shift+ArrowLeft")
    assert bench.place_px(3) == pytest.approx((x - 9, y - 1), abs=0.011)

    left, top = bench.middle("handle-1")
    before = bench.place_px(1)
    mouse = bench.tab.page.mouse
    mouse.move(left, top)
    mouse.down()
    mouse.move(left - 30, top + 40, steps=4)
    assert bench.beside(left - 30, top + 40)
    mouse.up()
    moved = bench.place_px(1)
    ratio = (before[0] - moved[0]) / 30
    assert ratio > 1
    assert moved[1] - before[1] == pytest.approx(40 * ratio, rel=0.05)
    bench.find("undo-pick").click()
    assert bench.place_px(1) == before

    mouse.move(left - 60, top + 60)
    mouse.wheel(0, -300)
    assert [bench.place_px(1), bench.handles()] == [before, 4]
    bench.find("zoom-whole").click()
    bench.find("clear-picks").click()
    assert bench.handles() == 0
    assert bench.find("picks-done").is_disabled()
    bench.find("undo-pick").click()
    assert bench.handles() == 4
    assert bench.tab.complaints() == []


def test_a_finger_places_by_the_loupe_and_two_fingers_zoom(hand):
    phone = hand(True)
    phone.stage.scroll_into_view_if_needed()
    box = phone.stage.bounding_box()
    x, y = box["x"] + 0.3 * box["width"], box["y"] + 0.4 * box["height"]
    phone.fingers("Start", (x, y))
    for step in range(1, 6):
        phone.fingers("Move", (x + 4 * step, y + 2 * step))
        assert phone.beside(x + 4 * step, y + 2 * step)
    phone.fingers("End")
    assert phone.handles() == 1
    assert phone.middle("handle-0") == pytest.approx((x + 20, y + 10), abs=1.5)
    assert not phone.find("loupe").is_visible()

    placed = phone.place_px(0)
    phone.fingers("Start", (x + 60, y), (x + 100, y))
    for step in range(1, 8):
        phone.fingers("Move", (x + 60 - 5 * step, y), (x + 100 + 5 * step, y))
    phone.fingers("End")
    assert [phone.handles(), phone.place_px(0)] == [1, placed]
    away = phone.middle("handle-0")[0] - (x + 80)
    # 60 px left of the fingers' middle before they spread from 40 to 110 px
    assert away == pytest.approx(-60 * 110 / 40, abs=12)
    buttons = phone.tab.page.locator(".picture button:not(.handle):visible").all()
    heights = [button.bounding_box()["height"] for button in buttons]
    assert min(heights) >= 44
    assert phone.tab.complaints() == []


def test_a_thumb_sees_numbers_switches_layers_and_leaves_an_area_out(hand, shot):
    phone, print_6 = hand(True), shot(6)
    phone.tab.pick(print_6.corners_px, print_6.size_px)
    phone.tab.press("Read with these corners")
    phone.find("hint").wait_for()
    phone.tab.tap_face(110, 40)
    note = phone.find("picture-note")
    assert note.is_visible()
    assert "mm" in note.inner_text() or "contact" in note.inner_text()
    assert all(
        entry.bounding_box()["height"] >= 44 for entry in phone.tab.page.locator(".entry").all()
    )
    for layer in ("cells", "contact", "point"):
        phone.find(f"layer-{layer}").tap()
        assert not phone.find(f"layer-{layer}").is_checked()

    phone.tab.choose_tool("leave_out")
    corners = ((30, 20), (70, 20), (70, 50), (30, 50))
    for corner in corners:
        phone.tab.tap_face(*corner)
    assert "4 corners" in phone.find("hint").inner_text()
    phone.find("undo-tap").tap()
    assert "3 corners" in phone.find("hint").inner_text()
    phone.find("finish-taps").tap()
    phone.tab.see("Corrected by hand (1)")
    # a layer that was switched off stays off when the print is read again
    assert not phone.find("layer-cells").is_checked()
    assert phone.find("layer-left_out").is_checked()
    assert phone.tab.complaints() == []
