"""What is made once of a print: previews with their scale, and the key of a reading."""

import hashlib
from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from scrapeview.corrections import Correction
from scrapeview.dashboard.cached_prints import LONG_PREVIEW_PX, PREVIEW_PX, Asked, preview_of
from scrapeview.errors import PhotoError
from scrapeview.plane import Plane
from scrapeview.record import FacePlan
from scrapeview.settings import Settings

DOT_PX = (2954.0, 803.0)


def dotted(size, kind="JPEG", orientation=1):
    """A photograph with a soft dark dot at `DOT_PX` of the upright picture."""
    width, height = size
    x, y = np.arange(width)[None, :], np.arange(height)[:, None]
    dot = np.exp(-((x - DOT_PX[0]) ** 2 + (y - DOT_PX[1]) ** 2) / (2 * 25.0**2))
    grey = np.round(220 - 180 * dot).astype(np.uint8)
    stored = np.rot90(grey) if orientation == 6 else grey
    picture = Image.fromarray(np.ascontiguousarray(stored)).convert("RGB")
    exif = Image.Exif()
    exif[0x0112] = orientation
    held = BytesIO()
    picture.save(held, kind, quality=92, exif=exif)
    return held.getvalue()


def middle_of_dot(jpeg):
    grey = np.asarray(Image.open(BytesIO(jpeg)).convert("L"), dtype=float)
    weight = np.clip(215 - grey, 0, None)
    y, x = np.indices(grey.shape)
    return np.array([(x * weight).sum(), (y * weight).sum()]) / weight.sum()


@pytest.mark.parametrize(
    ("size", "kind", "orientation"),
    [
        ((4032, 3024), "JPEG", 1),
        ((4003, 3001), "JPEG", 1),
        ((5200, 1501), "JPEG", 6),
        ((3203, 1203), "PNG", 1),
    ],
)
def test_a_pick_on_a_preview_is_a_place_of_the_photograph(size, kind, orientation):
    photo = dotted(size, kind, orientation)
    preview = preview_of(hashlib.sha256(photo).hexdigest(), photo)
    assert preview.full_size_px == size
    shown = Image.open(BytesIO(preview.picture.jpeg)).size
    assert max(shown) <= PREVIEW_PX or shown[0] * shown[1] <= PREVIEW_PX**2 * 0.76
    assert max(shown) <= LONG_PREVIEW_PX
    found = (middle_of_dot(preview.picture.jpeg) + 0.5) * preview.scale - 0.5
    np.testing.assert_allclose(found, DOT_PX, atol=0.5)


def test_a_small_photograph_is_shown_as_it_is():
    photo = dotted((1203, 901))
    preview = preview_of(hashlib.sha256(photo).hexdigest(), photo)
    assert preview.scale == (1.0, 1.0)


def test_what_cannot_be_decoded_is_said():
    with pytest.raises(PhotoError):
        preview_of("0" * 64, b"\xff\xd8\xff\xe0" + bytes(100))


def asked(**changed):
    plane = Plane.from_corners([(0, 0), (300, 0), (300, 200), (0, 200)], (30.0, 20.0))
    known = {"sha256": "a" * 64, "plan": FacePlan(name="f"), "plane": plane} | changed
    return Asked(**known)


def test_the_same_question_has_the_same_key():
    assert asked().key == asked().key
    assert len(asked().key) == 64
    # what does not touch the reading does not ask for another one
    assert asked(plan=FacePlan(name="other", notes="n")).key == asked().key


@pytest.mark.parametrize(
    "changed",
    [
        {"sha256": "b" * 64},
        {"plan": FacePlan(name="f", marking="red")},
        {"plan": FacePlan(name="f", openings_mm=(((1.0, 1.0), (2.0, 1.0), (2.0, 2.0)),))},
        {"plan": FacePlan(name="f", settings=replace(Settings(), smallest_point_mm=1.0))},
        {"corrections": (Correction("remove", ((3.0, 4.0),)),)},
        {"marking_px": ((1.0, 1.0),), "metal_px": ((2.0, 2.0),)},
        {"plane": Plane.from_corners([(0, 0), (301, 0), (300, 200), (0, 200)], (30.0, 20.0))},
    ],
)
def test_another_question_has_another_key(changed):
    assert asked(**changed).key != asked().key


def test_samples_of_one_kind_alone_ask_nothing_new():
    assert asked(marking_px=((1.0, 1.0),)).key == asked().key
