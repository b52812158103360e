"""Records to open the dashboard on: empty, with one pass, and with the sample series."""

import shutil
from functools import cache
from pathlib import Path

import pytest
from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from scrapeview.face_reading import read_for_face
from scrapeview.record import Record, Scrape
from scrapeview.record_samples import sample_plan
from scrapeview.samples import find_samples

ROOT = Path(__file__).parents[2]
PATHS = {
    "New print": "new-print",
    "Face": "face",
    "Judge": "judge",
    "Long face": "long-face",
    "Side by side": "side-by-side",
    "Settings": "settings",
}


@pytest.fixture(scope="session", autouse=True)
def packages_are_searched_once():
    """Every page that is opened looks for components in all installed packages, which stay."""
    with pytest.MonkeyPatch.context() as patch:
        search = cache(manifest_scanner.scan_component_manifests)
        patch.setattr(manifest_scanner, "scan_component_manifests", search)
        yield


@pytest.fixture(autouse=True)
def faults_are_seen(monkeypatch):
    """Let faults of the program itself reach the test, where a page would say them in words."""

    def reach(error):
        raise error

    monkeypatch.setattr("scrapeview.dashboard.shell.say_unforeseen", reach)


@pytest.fixture(scope="session")
def one_pass_made(made_once):
    """Folder of a record with one machine, part, face and pass; to be copied, not changed."""

    def fill(home):
        record = Record.open(home)
        sample = next(s for s in find_samples() if s.pass_number == 7)
        part = record.add_part(record.add_machine("Test machine").machine_id, "Slide")
        face = record.add_face(part.part_id, sample_plan(sample))
        photo = sample.photo.read_bytes()
        reading = read_for_face(face.plan, photo, sample.plane)
        record.keep_print(face.face_id, [(sample.photo.name, photo)], reading, Scrape(who="A"))
        record.close()

    return made_once.folder("one_pass", fill)


@pytest.fixture
def empty_home(tmp_path):
    """Folder of no record yet."""
    return tmp_path / "empty"


@pytest.fixture
def sample_home(tmp_path, sample_made):
    """Folder of a record with the sample series that a test may change."""
    return Path(shutil.copytree(sample_made, tmp_path / "sample"))


@pytest.fixture
def one_pass_home(tmp_path, one_pass_made):
    """Folder of a record with one pass that a test may change."""
    return Path(shutil.copytree(one_pass_made, tmp_path / "one_pass"))


@pytest.fixture
def open_page(monkeypatch):
    """Open a page by its name in the menu on a record's folder, through the entry file."""
    monkeypatch.delenv("SCRAPEVIEW_RECORD", raising=False)

    def opened(name, home, face_id=None):
        monkeypatch.setenv("SCRAPEVIEW_HOME", str(home))
        app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=120)
        if name in PATHS:
            # switch_page of AppTest knows pages in files only
            app._page_hash = calc_hash(PATHS[name])
        if face_id is not None:
            app.query_params["face"] = str(face_id)
        return app.run()

    return opened


@pytest.fixture
def recorded():
    """Open the record in a folder for a look; it is closed at the end of the test."""
    opened = []

    def look(home):
        opened.append(Record.open(home))
        return opened[-1]

    yield look
    for record in opened:
        record.close()
