"""Computed prints and their readings, each made once a run, and masks drawn by closed forms."""

import numpy as np
import pytest
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings
from made_once import MadeOnce
from scipy.spatial import cKDTree

import scrapeview
from scrapeview.bearing import find_points
from scrapeview.record import Record
from scrapeview.record_samples import keep_samples
from scrapeview.simulate import SCENES, render

# no deadline and no check of speed: a busy machine is no fault
hypothesis_settings.register_profile(
    "fixed",
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
hypothesis_settings.load_profile("fixed")

LONG = ("browser", "serve", "test_reread.py")
"""Folders and files that take longest."""


def pytest_collection_modifyitems(items):
    """Begin with what takes longest, so that no core is left alone with it at the end."""
    items.sort(key=lambda item: not set(LONG) & set(item.path.parts))


SIZE_MM = (110.0, 70.0)
PX_PER_MM = 8.5
OWN_SIZE_MM = {"disc": (84.0, 84.0), "rails": (60.0, 110.0), "wet_bar": (150.0, 22.0)}


def _printed(scene, seed):
    size_mm = OWN_SIZE_MM.get(scene if isinstance(scene, str) else scene.name, SIZE_MM)
    described = SCENES[scene] if isinstance(scene, str) else scene
    px_per_mm = min(PX_PER_MM, described.camera.px_per_mm + 0.5)
    return render(described, seed=seed, px_per_mm=px_per_mm, size_mm=size_mm)


def _plane(shot):
    if shot.diameter_mm:
        return scrapeview.Plane.from_circle(
            shot.rim_px, diameter_mm=shot.diameter_mm, centre_px=shot.centre_px
        )
    return scrapeview.Plane.from_corners(shot.corners_px, size_mm=shot.size_mm)


def _read(shot, *, photo=None, plane=None, marking=None, **changed):
    face = {"outline_px": shot.outline_px, "openings_mm": shot.openings_mm} | changed
    return scrapeview.read_print(
        shot.jpeg if photo is None else photo,
        plane=_plane(shot) if plane is None else plane,
        marking=shot.marking if marking is None else marking,
        **face,
    )


def _matched_f1(found_mm, known_mm, known_mm2):
    """F1 of points found against points known, each matched at most once, nearest first."""
    if len(found_mm) == 0 or len(known_mm) == 0:
        return float(len(found_mm) == len(known_mm))
    reach = np.maximum(0.8, 0.7 * np.sqrt(known_mm2 / np.pi))
    near = cKDTree(found_mm).query_ball_point(known_mm, reach)
    pairs = sorted(
        (np.hypot(*(found_mm[j] - known_mm[i])), i, j) for i, js in enumerate(near) for j in js
    )
    known, found = set(), set()
    for _, i, j in pairs:
        if i not in known and j not in found:
            known.add(i)
            found.add(j)
    return 2 * len(known) / (len(found_mm) + len(known_mm))


@pytest.fixture(scope="session")
def made_once(tmp_path_factory, worker_id):
    """What is shared by all processes of this run."""
    folder = tmp_path_factory.getbasetemp()
    if worker_id != "master":
        folder = folder.parent
    shared = folder / "made_once"
    shared.mkdir(exist_ok=True)
    return MadeOnce(shared)


@pytest.fixture(scope="session")
def sample_made(made_once):
    """Folder of a record with the sample series; to be copied, not changed."""

    def fill(home):
        record = Record.open(home)
        keep_samples(record)
        record.close()

    return made_once.folder("sample", fill)


@pytest.fixture(scope="session")
def printed(made_once):
    """Photograph and truth of a scene (name or PrintScene) and a seed."""

    def printed_once(scene, seed):
        return made_once.value(("printed", scene, seed), lambda: _printed(scene, seed))

    return printed_once


@pytest.fixture(scope="session")
def plane_of():
    return _plane


@pytest.fixture(scope="session")
def read():
    """Read a rendered photograph, or another photo of it, with changed arguments."""
    return _read


@pytest.fixture(scope="session")
def reading(made_once, printed):
    """Reading of a scene and a seed."""

    def read_once(scene, seed, marking=None):
        key = "reading", scene, seed, marking
        return made_once.value(key, lambda: _read(printed(scene, seed), marking=marking))

    return read_once


@pytest.fixture(scope="session")
def matched_f1():
    return _matched_f1


@pytest.fixture
def own_home(tmp_path, monkeypatch):
    """Folder of a record of the test's own; no command touches the user's own record."""
    monkeypatch.delenv("SCRAPEVIEW_RECORD", raising=False)
    monkeypatch.setenv("SCRAPEVIEW_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


class Drawn:
    """Marks drawn on a raster around a face of `size_mm`, which starts at (0, 0) mm."""

    def __init__(self, size_mm=(60.0, 40.0), px_per_mm=8.0, margin_mm=6.0):
        self.px_per_mm = px_per_mm
        self.size_mm = size_mm
        w, h = (round((side + 2 * margin_mm) * px_per_mm) for side in size_mm)
        self.origin_mm = (0.5 / px_per_mm - margin_mm,) * 2
        self.x = self.origin_mm[0] + np.arange(w)[None, :] / px_per_mm
        self.y = self.origin_mm[1] + np.arange(h)[:, None] / px_per_mm
        self.marks = np.zeros((h, w), bool)
        self.face = self.box(0, 0, *size_mm)

    def box(self, x0, y0, x1, y1):
        return (self.x > x0) & (self.x < x1) & (self.y > y0) & (self.y < y1)

    def circle(self, x, y, radius):
        return (self.x - x) ** 2 + (self.y - y) ** 2 < radius**2

    def disc(self, x, y, radius):
        self.marks |= self.circle(x, y, radius)
        return self

    def ring(self, x, y, radius, middle):
        self.marks |= self.circle(x, y, radius) & ~self.circle(x, y, middle)
        return self

    def bar(self, x0, y0, x1, y1):
        self.marks |= self.box(x0, y0, x1, y1)
        return self

    def found(self, *, face=None, seen=None, regions=None, **sizes):
        """Find the points of what was drawn; all of the raster is seen unless `seen` is given."""
        if regions is None:
            regions = self.face if face is None else face
        everywhere = np.ones_like(self.marks)
        known = {"smallest_point_mm": 0.8, "largest_point_mm": 10.0, "neck_depth_mm": 0.12} | sizes
        return find_points(
            self.marks if seen is None else self.marks & seen,
            regions.astype(np.int16),
            everywhere if seen is None else seen,
            np.zeros_like(self.marks),
            self.marks.astype(np.float32),
            self.px_per_mm,
            self.origin_mm,
            **known,
        )


@pytest.fixture(scope="session")
def drawn():
    return Drawn
