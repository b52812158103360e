"""What cannot be read is refused by name, in one plain sentence, and nothing else comes out."""

import numpy as np
import pytest

import scrapeview
from scrapeview import FaceError, PhotoError, PlaneError, ScrapeviewError, Settings, SettingsError

CORNERS = ((20, 20), (310, 24), (305, 215), (18, 210))
SIZE_MM = (60.0, 40.0)


@pytest.fixture(scope="module")
def photo():
    rng = np.random.default_rng(1)
    return rng.integers(100, 180, (240, 330, 3), dtype=np.uint8)


def read(photo, corners=CORNERS, size_mm=SIZE_MM, **told):
    plane = scrapeview.Plane.from_corners(corners, size_mm=size_mm)
    return scrapeview.read_print(photo, plane=plane, **told)


def refused(kind, match, call):
    with pytest.raises(kind, match=match) as caught:
        call()
    text = str(caught.value)
    assert type(caught.value) is kind
    assert isinstance(caught.value, ScrapeviewError)
    assert "\n" not in text
    assert text.endswith(".")
    assert not any(word in text for word in ("Traceback", "Error", "ndarray", "None", "nan"))


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"", "is empty"),
        (b"not a photograph at all", "not a photograph"),
        (b"\xff\xd8\xff\xe0" + bytes(50), "not a photograph|damaged"),
        ("no/such/file.jpg", "no/such/file.jpg"),
    ],
)
def test_damaged_files(data, match):
    refused(PhotoError, match, lambda: read(data))


@pytest.mark.parametrize("share", [0.02, 0.3, 0.9])
def test_a_file_cut_short(share, printed, read):
    shot = printed("plain", 2)
    cut = shot.jpeg[: int(share * len(shot.jpeg))]
    refused(PhotoError, "damaged or cut short|not a photograph", lambda: read(shot, photo=cut))


@pytest.mark.parametrize(
    "array",
    [
        np.zeros((0, 0, 3), np.uint8),
        np.zeros((40, 60), np.uint8),
        np.zeros((40, 60, 4), np.uint8),
        np.zeros((40, 60, 3), np.float64),
        np.zeros((40, 60, 3), np.uint16),
    ],
)
def test_arrays_that_are_no_photograph(array):
    refused(PhotoError, "array|pixels", lambda: read(array))


@pytest.mark.parametrize("other", [None, 3.5, [1, 2]])
def test_other_things_are_no_photograph(other):
    with pytest.raises(PhotoError, match="path, bytes or"):
        read(other)


@pytest.mark.parametrize(
    ("corners", "match"),
    [
        (CORNERS[::-1], "clockwise|order"),
        ((CORNERS[0], CORNERS[2], CORNERS[1], CORNERS[3]), "order|cross|convex|clockwise"),
        (((0, 0), (10, 10), (20, 20), (30, 30)), "line|corner"),
        (CORNERS[:3], "Four"),
        (((20, 20), (610, 24), (605, 215), (18, 210)), "outside"),
    ],
)
def test_corners_that_fix_no_plane(corners, match, photo):
    refused(PlaneError, match, lambda: read(photo, corners))


@pytest.mark.parametrize("size_mm", [(0, 40), (60, -1), (60, 4000)])
def test_sizes_that_cannot_be(size_mm, photo):
    refused(PlaneError, "width and height|size|corners", lambda: read(photo, size_mm=size_mm))


@pytest.mark.parametrize(
    ("face", "match"),
    [
        ({"outline_px": [[(20, 20), (900, 30), (40, 200)]]}, "outside the photo"),
        ({"outline_px": [[(20, 20), (90, 90), (90, 20), (20, 90)]]}, "crosses itself"),
        ({"outline_px": []}, "no polygon"),
        ({"outline_px": [[(20, 20), (90, 20)]]}, "three or more"),
        ({"openings_mm": [[(-9, -9), (99, -9), (99, 99), (-9, 99)]]}, "leave nothing"),
    ],
)
def test_faces_without_area(face, match, photo):
    refused(FaceError, match, lambda: read(photo, **face))


@pytest.mark.parametrize("marking", ["green", "", "Blue "])
def test_unknown_markings(marking, photo):
    refused(SettingsError, "choose one of", lambda: read(photo, marking=marking))


@pytest.mark.parametrize("pick", [(5000.0, 20.0), (-400.0, 100.0), (100.0, 9000.0)])
def test_picks_off_the_face(pick, photo):
    picks = Settings(marking_picks_px=(pick,), metal_picks_px=((100.0, 100.0),))
    refused(SettingsError, "off the face", lambda: read(photo, settings=picks))


def test_picks_that_look_alike(photo):
    grey = np.full_like(photo, 140)
    picks = Settings(marking_picks_px=((90.0, 90.0),), metal_picks_px=((100.0, 100.0),))
    refused(SettingsError, "same colour", lambda: read(grey, settings=picks))


@pytest.mark.parametrize("level", [0, 1, 128, 240])
@pytest.mark.parametrize("marking", ["auto", "blue", "red", "black", "rubbed"])
def test_a_flat_picture_has_no_print(level, marking, photo):
    found = read(np.full_like(photo, level), marking=marking)
    assert not found.is_print
    assert found.contact_percent == 0
    assert len(found.points) == 0


@pytest.mark.parametrize("marking", ["auto", "blue", "red", "black", "rubbed"])
def test_noise_has_no_print(marking):
    noise = np.random.default_rng(2).integers(0, 256, (240, 330, 3), dtype=np.uint8)
    found = read(noise, marking=marking)
    assert not found.is_print
    assert len(found.points) == 0


def test_an_opening_that_misses_the_face_is_told(photo):
    found = read(photo, openings_mm=[[(500, 500), (510, 500), (510, 510)]])
    finding = next(c for c in found.checks if c.code == "opening_outside")
    assert finding.severity == "warn"
    assert "Opening 1" in finding.sentence
    assert found.area_mm2 == pytest.approx(2400)


@pytest.mark.parametrize(
    "outline",
    [
        [[1, 2, 3]],
        [[(1, 2), (3, 4)]],
        "no outline",
        [],
        5,
        [[(20, 20), (float("nan"), 30), (50, 50)]],
        [[(20, 20), (float("inf"), 30), (50, 50)]],
    ],
)
def test_outlines_that_are_no_polygons(photo, outline):
    with pytest.raises(FaceError):
        read(photo, outline_px=outline)
