"""The dashboard as a person meets it: the real server in a process, and Debian's Chromium."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, FloatRect, Locator, Request, ViewportSize, sync_playwright

CHROMIUM = Path("/usr/bin/chromium")
CHROMIUM_OPTIONS = [
    "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run",
]  # fmt: skip
BENCH: ViewportSize = {"width": 1280, "height": 900}
PHONE: ViewportSize = {"width": 360, "height": 740}
PATIENCE_MS = 60_000


@dataclass(frozen=True)
class Served:
    """A server that runs: where it is found, and what it has said so far."""

    url: str
    said: list[str]
    process: subprocess.Popen[str]

    @property
    def port(self) -> int:
        """Port that it listens on."""
        return int(self.url.rsplit(":", 1)[1])


@contextmanager
def served(home: Path, *options: str, command: list[str] | None = None) -> Iterator[Served]:
    """Run `scrapeview serve` on a free port over a record in a folder, and stop it at the end.

    Parameters
    ----------
    home : pathlib.Path
    *options : str
        Further options, such as --lan.
    command : list of str, optional
        What to run in place of this checkout's `scrapeview`.
    """
    # -P: a folder of that name where it is started is not taken for the package
    start = command or [sys.executable, "-P", "-m", "scrapeview.cli"]
    env = {name: value for name, value in os.environ.items() if name != "SCRAPEVIEW_RECORD"}
    log = home.parent / f"{home.name}.log"
    with log.open("w") as errors:
        process = subprocess.Popen(
            [*start, "serve", "--port", "0", "--home", str(home), *options],
            stdout=subprocess.PIPE, stderr=errors, text=True, cwd=home.parent, env=env,
        )  # fmt: skip
        try:
            said = _opening_words(process)
            yield Served(re.findall(r"http://localhost:\d+", said[0])[0], said, process)
        finally:
            process.send_signal(signal.SIGINT)
            try:
                said += process.communicate(timeout=60)[0].splitlines()
            except subprocess.TimeoutExpired:
                process.kill()
                process.communicate()


def _opening_words(process: subprocess.Popen[str]) -> list[str]:
    """Read what the server says up to how it is stopped, which it says last."""
    said: list[str] = []
    for line in process.stdout or ():
        said.append(line.rstrip("\n"))
        if "Ctrl-C" in line:
            return said
    raise RuntimeError(f"The server ended with {process.wait()}: {' '.join(said)}")


@contextmanager
def chromium() -> Iterator[Browser]:
    """Start Debian's Chromium, and end it."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=CHROMIUM_OPTIONS)
        try:
            yield browser
        finally:
            browser.close()


class Tab:
    """A tab of the browser on the dashboard, worked by mouse or by thumb.

    Parameters
    ----------
    browser : playwright.sync_api.Browser
    url : str
        Address of the server.
    phone : bool
        Whether the tab is a phone's: 360 px wide, touched.
    **more
        Further options of the browser's context, such as color_scheme.
    """

    def __init__(self, browser: Browser, url: str, *, phone: bool = False, **more: Any) -> None:
        self.url, self.phone = url, phone
        size = PHONE if phone else BENCH
        self.context = browser.new_context(
            viewport=size, has_touch=phone, is_mobile=phone, accept_downloads=True, **more
        )
        self.page = self.context.new_page()
        self.page.set_default_timeout(PATIENCE_MS)
        self.errors: list[str] = []
        self.asked_outside: list[str] = []
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("request", self._noticed)

    def _noticed(self, request: Request) -> None:
        if not request.url.startswith((self.url, self.url.replace("http", "ws"), "data:", "blob:")):
            self.asked_outside.append(request.url)

    def open(self, path: str = "") -> None:
        """Open a page by its address and wait until it stands."""
        self.page.goto(f"{self.url}/{path}")
        self.settle()

    def settle(self) -> None:
        """Wait until the server has nothing more to say to this tab."""
        # a page that is not connected yet has not asked for its script to be run
        idle = (
            '[data-testid="stApp"][data-test-connection-state="CONNECTED"]'
            '[data-test-script-state="notRunning"]'
        )
        quiet = 0
        while quiet < 3:
            self.page.wait_for_selector(idle)
            self.page.wait_for_timeout(120)
            quiet = quiet + 1 if self.page.locator(idle).count() else 0

    def press(self, name: str) -> None:
        """Press a button by the words on it, and wait until the page stands."""
        self._hit(self.page.get_by_role("button", name=name, exact=True).first)
        self.settle()

    def choose_tool(self, kind: str) -> None:
        """Choose what a tap on the face means."""
        self._hit(self.page.get_by_test_id(f"tool-{kind}"))

    def _hit(self, what: Locator) -> None:
        what.scroll_into_view_if_needed()
        if self.phone:
            what.tap()
        else:
            what.click()

    def fill(self, label: str, value: str) -> None:
        """Type into a field by its label."""
        field = self.page.get_by_label(label, exact=True)
        field.fill(value)
        field.press("Tab")
        self.settle()

    def upload(self, photo: Path) -> None:
        """Give a file to the first upload field."""
        field = self.page.get_by_test_id("stFileUploader").first
        field.locator("input[type=file]").set_input_files(photo)
        self.settle()

    def pick(self, places_px: Sequence[Sequence[float]], size_px: tuple[int, int]) -> None:
        """Tap places of a photograph, given in its full-size pixels."""
        for place_px in places_px:
            box = self._stage()
            scale = min(box["width"] / size_px[0], box["height"] / size_px[1])
            rim = (
                (box["width"] - size_px[0] * scale) / 2,
                (box["height"] - size_px[1] * scale) / 2,
            )
            self._tap(*(box[side] + rim[axis] + (place_px[axis] + 0.5) * scale
                        for axis, side in enumerate(("x", "y"))))  # fmt: skip

    def tap_face(self, x_mm: float, y_mm: float) -> None:
        """Tap a place of the face that is shown square-on, in mm, and wait for the answer."""
        box = self._stage()
        stage = self.page.get_by_test_id("picture-stage")
        left, top, scale = (
            float(stage.get_attribute(f"data-{name}") or 0) for name in ("left", "top", "scale")
        )
        self._tap(box["x"] + left + x_mm * scale, box["y"] + top + y_mm * scale)
        self.settle()

    def _stage(self) -> FloatRect:
        stage = self.page.get_by_test_id("picture-stage")
        stage.scroll_into_view_if_needed()
        self.page.wait_for_timeout(200)
        box = stage.bounding_box()
        assert box is not None
        return box

    def _tap(self, x: float, y: float) -> None:
        if self.phone:
            self.page.touchscreen.tap(x, y)
        else:
            self.page.mouse.click(x, y)
        self.page.wait_for_timeout(100)

    def see(self, words: str) -> None:
        """Wait until some words stand on the page."""
        self.page.get_by_test_id("stMain").get_by_text(words).first.wait_for()
        self.settle()

    def figure(self, label: str) -> str:
        """Return the number under a label, as it is shown."""
        return self._metric(label).get_by_test_id("stMetricValue").inner_text()

    def see_figure(self, label: str, value: str) -> None:
        """Wait until a number stands under a label."""
        shown = self._metric(label).get_by_test_id("stMetricValue")
        shown.get_by_text(value, exact=True).wait_for()
        self.settle()

    def _metric(self, label: str) -> Locator:
        return self.page.get_by_test_id("stMetric").filter(
            has=self.page.get_by_text(label, exact=True)
        )

    def complaints(self) -> list[str]:
        """Return what is wrong with the page as it stands; nothing where all is well."""
        found = [f"error in the page: {error}" for error in self.errors]
        found += [f"asked outside: {url}" for url in self.asked_outside]
        for raised in self.page.get_by_test_id("stException").all():
            found.append(f"exception shown: {raised.inner_text()[:200]}")
        wide = self.page.evaluate("document.documentElement.scrollWidth")
        across = (self.page.viewport_size or BENCH)["width"]
        if wide > across:
            found.append(f"{wide} px wide on a screen of {across} px")
        return found

    def close(self) -> None:
        """Close the tab."""
        self.context.close()
