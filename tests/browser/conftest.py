"""A real browser on a real server; skipped with a reason where there is no Chromium."""

import json
import os
import shutil
import sys
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "docs"))

from bench_browser import CHROMIUM, Tab, chromium, served  # noqa: E402

SAMPLES = ROOT / "sample_images"


@pytest.fixture(autouse=True)
def _own_surroundings(monkeypatch):
    monkeypatch.delenv("SCRAPEVIEW_RECORD", raising=False)
    monkeypatch.delenv("SCRAPEVIEW_HOME", raising=False)


# for each module, as what drives the browser keeps an event loop of its own while it runs
@pytest.fixture(scope="module")
def browser():
    """Debian's Chromium."""
    if not CHROMIUM.is_file():
        reason = f"there is no browser at {CHROMIUM}"
        if "browser" in os.environ.get("SCRAPEVIEW_REQUIRE", "").split(","):
            pytest.fail(reason)
        pytest.skip(reason)
    with chromium() as started:
        yield started


@pytest.fixture
def start(tmp_path):
    """Start a server over a fresh record; give it and the record's folder."""
    with ExitStack() as running:

        def begin(*options):
            home = tmp_path / "home"
            return running.enter_context(served(home, *options)), home

        yield begin


@pytest.fixture(scope="module")
def sample_server(tmp_path_factory, sample_made):
    """A server over a record with the sample series."""
    home = tmp_path_factory.mktemp("sample") / "home"
    shutil.copytree(sample_made, home)
    with served(home) as running:
        yield running, home


@pytest.fixture
def tab(browser):
    """Open tabs; each is closed at the end."""
    opened = []

    def open_tab(url, **more):
        opened.append(Tab(browser, url, **more))
        return opened[-1]

    yield open_tab
    for one in opened:
        one.close()


@dataclass(frozen=True)
class Shot:
    """A sample photograph and where its face lies."""

    photo: Path
    corners_px: list
    size_mm: tuple
    size_px: tuple


@pytest.fixture(scope="session")
def shot():
    """Sample photograph of a pass."""

    def of_pass(number):
        photo = SAMPLES / f"cross-slide-pass-{number}.jpg"
        told = json.loads(photo.with_suffix(".json").read_text())
        with Image.open(photo) as picture:
            size_px = picture.size
        return Shot(photo, told["corners_px"], tuple(told["size_mm"]), size_px)

    return of_pass
