"""What a person types is read into the numbers meant, or refused in a plain sentence."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview import typed
from scrapeview.errors import PlaneError, ScrapeviewError, SettingsError
from scrapeview.picks import (
    parse_length_mm,
    parse_pick,
    parse_picks,
    parse_shape,
    parse_size_mm,
)

PARSERS = (parse_pick, parse_picks, parse_length_mm, parse_size_mm, parse_shape)
coordinates = st.floats(-9e5, 9e5, allow_nan=False).map(lambda v: round(v, 3))
pairs = st.tuples(coordinates, coordinates)


def is_plain(error):
    text = str(error)
    return text.endswith(".") and "\n" not in text and "Traceback" not in text and text.isascii()


def refusal_of(parse, text):
    """What is said where the text is refused, else None."""
    try:
        parse(text, "--what")
    except SettingsError as error:
        return str(error)
    return None


@given(st.lists(pairs, min_size=1, max_size=12), st.sampled_from([" ", "  ", "; ", " ;\t", "\n"]))
def test_picks_come_back_as_typed(picks, between):
    text = between.join(f"{x:.3f},{y:.3f}" for x, y in picks)
    assert parse_picks(text, "--rim") == tuple(picks)


@pytest.mark.parametrize("text", ["412,380 3610,402", "412 , 380  3610, 402", " 412,380;3610,402 "])
def test_blanks_round_commas_do_not_matter(text):
    assert parse_picks(text, "--scale") == ((412.0, 380.0), (3610.0, 402.0))


@given(st.text(max_size=60) | st.from_regex(r"[-+.,;xrd0-9 mcinpx\"]{0,30}", fullmatch=True))
def test_anything_typed_is_read_or_refused_in_a_sentence(text):
    for parse in PARSERS:
        told = refusal_of(parse, text)
        assert told is None or (is_plain(told) and told.startswith("--what"))


@given(st.text(max_size=40))
def test_circles_are_read_or_refused_in_a_sentence(text):
    told = refusal_of(parse_shape, f"circle {text}")
    assert told is None or is_plain(told)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("100mm", 100), ("10 cm", 100), ("4in", 101.6), ("4 inch", 101.6), ('2.5"', 63.5),
     (".5IN", 12.7), ("1inches", 25.4)],
)  # fmt: skip
def test_lengths(text, mm):
    assert parse_length_mm(text, "--length") == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "size_mm"),
    [("254x178mm", (254, 178)), ("10x7in", (254, 177.8)), ("10 x 7 in", (254, 177.8)),
     ("10in x 178mm", (254, 178)), ("254×178 mm", (254, 178)), ("254mmX178mm", (254, 178))],
)  # fmt: skip
def test_sizes(text, size_mm):
    assert parse_size_mm(text, "--size") == pytest.approx(size_mm, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["100", "100px", "mm", "", "-4in", "0mm", "1e3mm", "nanmm", "1,5mm"]
)
def test_what_is_no_length_is_refused(text):
    with pytest.raises(SettingsError, match="--length"):
        parse_length_mm(text, "--length")


@pytest.mark.parametrize("text", ["254x178", "254mm", "x7in", "0x7in", "10x-7in", "10x7x2in"])
def test_what_is_no_size_is_refused(text):
    with pytest.raises(SettingsError, match="--size"):
        parse_size_mm(text, "--size")


@pytest.mark.parametrize(
    "text", ["", " ", "412", "412,380,2", "412;380", "a,b", "1e3,4", "9999999,2"]
)
def test_what_is_no_pick_is_refused(text):
    with pytest.raises(SettingsError):
        parse_picks(text, "--corners")


def test_picks_have_no_unit_of_length():
    with pytest.raises(SettingsError, match="photo pixels"):
        parse_picks("4mm,5mm 6mm,7mm", "--corners")
    assert parse_picks("4px,5px", "--corners") == ((4.0, 5.0),)


@pytest.mark.parametrize(
    ("text", "in_mm", "centre", "radius"),
    [("circle 476,295 r48", False, (476, 295), 48), ("Circle 40mm,30mm r5mm", True, (40, 30), 5),
     ("circle 40mm, 30mm  d 10 mm", True, (40, 30), 5),
     ("circle 1in,2in r.5in", True, (25.4, 50.8), 12.7),
     ("circle 476px,295px r48px", False, (476, 295), 48)],
)  # fmt: skip
def test_circles(text, in_mm, centre, radius):
    shape = parse_shape(text, "--opening")
    assert shape.in_mm is in_mm
    assert shape.polygon.mean(axis=0) == pytest.approx(centre)
    x, y = shape.polygon.T
    area = 0.5 * abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
    assert area == pytest.approx(math.pi * radius**2, rel=1e-9)


def test_polygons_in_pixels_and_on_the_face():
    in_px = parse_shape("10,20 30,20 30,50", "--opening")
    assert not in_px.in_mm
    assert in_px.polygon.tolist() == [[10, 20], [30, 20], [30, 50]]
    on_face = parse_shape("1in,0in 2in,0in 2in,1in", "--opening")
    assert on_face.in_mm
    assert on_face.polygon == pytest.approx(np.array([[25.4, 0], [50.8, 0], [50.8, 25.4]]))


@pytest.mark.parametrize(
    "text",
    ["10,20 30,20", "10mm,20mm 30,20 5,5", "10mm,20in 1mm,1in 4mm,4in", "circle 40mm,30mm r5",
     "circle 40,30 r5mm", "circle 40,30", "circle 40,30 r0", "circle 40,30 r-4",
     "circle 1,1 2,2 r4", "square 1,1 r4"],
)  # fmt: skip
def test_what_is_no_shape_is_refused(text):
    with pytest.raises(SettingsError) as caught:
        parse_shape(text, "--opening")
    assert is_plain(caught.value)


SQUARE = "100,100 500,100 500,400 100,400"


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "--corners and --size"),
        ({"corners": SQUARE}, "--corners needs --size"),
        ({"size": "40x30mm"}, "--size needs --corners"),
        ({"rim": SQUARE}, "--rim needs --diameter"),
        ({"length": "4in"}, "--length needs --scale"),
        ({"corners": SQUARE, "size": "40x30mm", "rim": SQUARE}, "two ways"),
        ({"corners": SQUARE, "size": "40x30mm", "centre": "3,3"}, "--centre belongs to --rim"),
        ({"scale": "1,1 2,2 3,3", "length": "4in"}, "two picks"),
        ({"centre": "3,3"}, "--rim"),
    ],
)
def test_what_does_not_fix_a_plane_is_refused(given, says):
    with pytest.raises(PlaneError, match=says) as caught:
        typed.plane_from(typed.PlaneText(**given))
    assert is_plain(caught.value)


def test_a_plane_is_the_one_that_was_typed():
    plane = typed.plane_from(typed.PlaneText(corners=SQUARE, size="40x30mm"))
    assert plane.to_mm([[100, 100], [500, 400]]) == pytest.approx(np.array([[0, 0], [40, 30]]))
    by_length = typed.plane_from(typed.PlaneText(scale="0,0 0,254", length="1in"))
    assert by_length.px_per_mm_at([[5, 5]]) == pytest.approx([10])
    turn = np.linspace(0, 2 * np.pi, 8, endpoint=False)
    rim = " ".join(
        f"{300 + 200 * c:.3f},{250 + 200 * s:.3f}"
        for c, s in zip(np.cos(turn), np.sin(turn), strict=True)
    )
    round_face = typed.plane_from(typed.PlaneText(rim=rim, diameter="100mm", centre="300,250"))
    assert round_face.to_mm([[300, 250]]) == pytest.approx(np.array([[50, 50]]), abs=1e-3)


@given(
    st.dictionaries(st.sampled_from(list(typed.PlaneText.__annotations__)), st.text(max_size=20))
)
def test_no_plane_text_breaks_it(given):
    with pytest.raises(ScrapeviewError) as caught:
        typed.plane_from(typed.PlaneText(**given))
    assert is_plain(caught.value)


def test_settings_are_those_typed():
    found = typed.settings_from(
        smallest="1mm", largest=None, cell="25mm",
        marking_picks=["1,2", "3,4 5,6"], metal_picks=["7,8"],
    )  # fmt: skip
    assert (found.smallest_point_mm, found.largest_point_mm, found.cell_mm) == (1.0, 10.0, 25.0)
    assert found.marking_picks_px == ((1, 2), (3, 4), (5, 6))
    assert found.metal_picks_px == ((7, 8),)


def test_an_outline_on_the_face_is_refused():
    with pytest.raises(SettingsError, match="photo pixels"):
        typed.outlines_from(["1mm,1mm 2mm,1mm 2mm,2mm"])
    assert typed.outlines_from([]) is None
