"""The sample photographs: made again they are the same, and each says how to read it."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from scrapeview.simulate.samples import write_samples
from scrapeview.simulate.scene import FaceShape
from scrapeview.simulate.series import PASSES

FOLDER = Path(__file__).parents[2] / "sample_images"
SMALL = {
    "shape": FaceShape(size_mm=(46.0, 34.0), border_mm=0.0, slots=((0.1, 0.48, 0.9, 0.53),)),
    "passes": PASSES[:3],
    "px_per_mm": 4.0,
}


def test_made_again_they_are_the_same(tmp_path):
    first = write_samples(tmp_path / "first", **SMALL)
    again = write_samples(tmp_path / "again", **SMALL)
    assert len(first) == 6
    for one, other in zip(first, again, strict=True):
        assert one.read_bytes() == other.read_bytes()
        assert one.with_suffix(".json").read_text() == other.with_suffix(".json").read_text()


def test_the_series_is_complete_and_small_enough():
    notes = [json.loads(path.read_text()) for path in FOLDER.glob("*.json")]
    passes = sorted(note["pass"] for note in notes if note["pass"])
    assert passes == list(range(1, 9))
    assert len(notes) == 11
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < 12e6


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.json")), ids=lambda path: path.stem)
def test_each_has_what_is_needed_to_read_it(path):
    note = json.loads(path.read_text())
    with Image.open(path.with_suffix(".jpg")) as image:
        width, height = image.size
    corners = np.array(note["corners_px"])
    assert corners.shape == (4, 2)
    assert (corners > 0).all()
    assert (corners < (width, height)).all()
    assert note["size_mm"] == [220.0, 150.0]
    assert note["marking"] == "blue"
    assert note["computed"] is True
    assert 0 < note["truth"]["contact_percent"] < 100


def test_points_grow_over_the_series():
    paths = [FOLDER / f"cross-slide-pass-{number}.json" for number in range(1, 9)]
    truths = [json.loads(path.read_text())["truth"] for path in paths]
    counts = [truth["points_per_square_inch"] for truth in truths]
    assert counts == sorted(counts)
    assert counts[-1] > 15
