"""Two prints laid over each other in a real browser: divider, blinking, enlarging."""

import pytest
from bench_browser import Tab

IN_SHADOW = """(script) => {
  const root = [...document.querySelectorAll("*")].map((e) => e.shadowRoot)
    .find((r) => r?.querySelector("[data-testid=sheet-after]"));
  const AsyncFunction = (async () => {}).constructor;
  return new AsyncFunction("root", script)(root);
}"""
CHANGES = """
  const sheet = root.querySelector("[data-testid=sheet-after]");
  let changes = 0;
  const watcher = new MutationObserver((seen) => { changes += seen.length; });
  watcher.observe(sheet, { attributes: true, attributeFilter: ["style"] });
  return new Promise((done) => setTimeout(() => { watcher.disconnect(); done(changes); }, 3100));
"""


def open_page(hand):
    hand.open("side-by-side?face=1")
    hand.page.get_by_test_id("divider").wait_for()
    return hand


@pytest.fixture
def opened(tab, sample_server):
    return lambda **more: open_page(tab(sample_server[0].url, **more))


@pytest.fixture(scope="module")
def bench_tab(browser, sample_server):
    hand = Tab(browser, sample_server[0].url)
    yield open_page(hand)
    hand.close()


@pytest.fixture
def bench(bench_tab):
    """A tab at the bench with a divider between the prints, whatever was looked at before."""
    bench_tab.page.get_by_text("Swipe", exact=True).click()
    bench_tab.page.get_by_test_id("divider").wait_for()
    bench_tab.settle()
    return bench_tab


def share(hand):
    return int(hand.page.get_by_test_id("divider").get_attribute("aria-valuenow"))


def test_the_divider_follows_mouse_tap_and_keys(bench):
    divider = bench.page.get_by_test_id("divider")
    box = divider.bounding_box()
    wide = bench.page.get_by_test_id("sheet-after").bounding_box()["width"]
    assert share(bench) == 50
    bench.page.mouse.move(box["x"] + 22, box["y"] + 90)
    bench.page.mouse.down()
    bench.page.mouse.move(box["x"] + 22 - 0.3 * wide, box["y"] + 90, steps=5)
    bench.page.mouse.up()
    assert share(bench) == pytest.approx(20, abs=1)
    divider.press("ArrowRight")
    assert share(bench) == pytest.approx(22, abs=1)
    bench.page.mouse.click(box["x"] + 22 + 0.25 * wide, box["y"] + 60)
    assert share(bench) == pytest.approx(75, abs=1)
    clipped = bench.page.get_by_test_id("sheet-after").evaluate("sheet => sheet.style.clipPath")
    assert clipped.endswith("75%)") or "74." in clipped or "75." in clipped


def test_a_thumb_drags_the_divider(opened):
    hand = opened(phone=True)
    divider = hand.page.get_by_test_id("divider")
    divider.scroll_into_view_if_needed()
    box = divider.bounding_box()
    x, y = box["x"] + 22, box["y"] + box["height"] / 2
    thumb = hand.page.context.new_cdp_session(hand.page)

    def touch(kind, *places):
        points = [{"x": px, "y": py} for px, py in places]
        thumb.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", (x, y))
    for step in range(1, 8):
        touch("touchMove", (x - 15 * step, y + 2 * step))
    touch("touchEnd")
    assert share(hand) < 25


def test_blinking_is_never_faster_than_twice_a_second_and_can_be_stopped(bench):
    bench.page.get_by_text("Blink", exact=True).click()
    bench.page.get_by_test_id("pause").wait_for()
    bench.page.get_by_test_id("pace-500").click()
    fastest = bench.page.evaluate(IN_SHADOW, CHANGES)
    assert 1 <= fastest <= 7
    bench.page.get_by_test_id("pause").click()
    assert bench.page.get_by_test_id("pause").inner_text() == "Run"
    assert bench.page.evaluate(IN_SHADOW, CHANGES) == 0


def test_who_wants_no_motion_is_shown_none(opened):
    hand = opened(reduced_motion="reduce")
    hand.page.get_by_text("Blink", exact=True).click()
    hand.page.get_by_test_id("pause").wait_for()
    assert hand.page.get_by_test_id("pause").inner_text() == "Run"
    assert hand.page.evaluate(IN_SHADOW, CHANGES) == 0
    before = hand.page.get_by_test_id("sheet-before").is_visible()
    hand.page.get_by_test_id("other").click()
    assert hand.page.get_by_test_id("sheet-before").is_visible() != before


def test_both_prints_are_enlarged_and_moved_together(bench):
    bench.page.get_by_text("Both", exact=True).click()
    bench.page.get_by_test_id("divider").wait_for(state="detached")
    bench.settle()
    bench.page.get_by_test_id("zoom-2").click()
    scrolled = bench.page.evaluate(
        IN_SHADOW,
        """
        const [one, two] = root.querySelectorAll(".frame");
        const wait = (ms) => new Promise((done) => setTimeout(done, ms));
        const until = async (holds) => {
          for (let tries = 0; tries < 100 && !holds(); tries++) await wait(100);
        };
        // enlarging moves both to keep the middle, which has to be over before they are moved
        let last = -1;
        await until(() => {
          const still = one.scrollWidth > 1.9 * one.clientWidth && one.scrollLeft === last;
          last = one.scrollLeft;
          return still;
        });
        one.scrollLeft = 77;
        await until(() => two.scrollLeft === 77);
        return [two.scrollLeft, two.scrollTop === one.scrollTop,
          one.scrollWidth > 1.9 * one.clientWidth];
        """,
    )
    assert scrolled == [77, True, True]
    assert bench.complaints() == []


def test_marks_are_shown_and_hidden_without_a_new_picture(bench):
    def drawn():
        return bench.page.evaluate(
            IN_SHADOW, 'return root.querySelectorAll("[data-testid=sheet-after] path").length'
        )

    def see_drawn(paths):
        for _ in range(100):
            if drawn() == paths:
                break
            bench.page.wait_for_timeout(100)
        assert drawn() == paths

    see_drawn(4)
    before = share(bench)
    bench.page.get_by_text("came (", exact=False).first.click()
    see_drawn(2)
    assert share(bench) == before
