"""What a surface plate may be out of flat, by the grades read in their source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview.errors import SettingsError
from scrapeview.flatness import GRADES, NOT_KNOWN, ReferenceFlatness, plate_error_um

INCH = 25.4
UM_PER_MICROINCH = 0.0254
sides = st.floats(50, 5000)


@pytest.mark.parametrize(
    ("length_in", "width_in", "microinch"), [(24, 18, 76.00), (72, 48, 339.52), (96, 48, 500.80)]
)
def test_grade_aa_of_the_listed_sizes(length_in, width_in, microinch):
    # GGG-P-463c / ASME B89.3.7, AA = 40 + D^2 / 25 (read, recomputed): exact to both decimals
    found = plate_error_um("GGG-P-463c AA", length_in * INCH, width_in * INCH)
    assert found / UM_PER_MICROINCH == pytest.approx(microinch, abs=1e-9)


@pytest.mark.parametrize(
    ("grade", "expected_um"), [("0", 6.52), ("I", 16.3), ("II", 32.6), ("III", 65.2)]
)
def test_din_876_of_a_plate_of_630_by_400(grade, expected_um):
    # DIN 876: 4 + L / 250, 10 + L / 100, 20 + L / 50, 40 + L / 25 (read, recomputed)
    assert plate_error_um(f"DIN 876 grade {grade}", 630, 400) == pytest.approx(expected_um)


@given(sides, sides)
def test_b_allows_twice_what_a_does_and_a_twice_aa_whichever_side_is_longer(length_mm, width_mm):
    aa, a, b = (plate_error_um(f"GGG-P-463c {g}", length_mm, width_mm) for g in ("AA", "A", "B"))
    assert (a, b) == (pytest.approx(2 * aa), pytest.approx(4 * aa))
    for grade in GRADES[1:]:
        turned = plate_error_um(grade, width_mm, length_mm)
        assert turned == pytest.approx(plate_error_um(grade, length_mm, width_mm))
        assert plate_error_um(grade, length_mm + 10, width_mm + 10) > turned


def test_its_own_error_goes_before_the_grade():
    known = {"grade": "GGG-P-463c B", "length_mm": 24 * INCH, "width_mm": 18 * INCH}
    assert ReferenceFlatness(**known).error_um == pytest.approx(4 * 76 * UM_PER_MICROINCH)
    assert ReferenceFlatness(**known, own_um=1.5).error_um == 1.5
    assert ReferenceFlatness(own_um=0.0).error_um == 0.0


def test_nothing_is_guessed_where_a_side_is_missing():
    assert NOT_KNOWN.error_um is None
    assert ReferenceFlatness(grade="GGG-P-463c A", length_mm=600).error_um is None
    assert ReferenceFlatness(grade="DIN 876 grade 0").error_um is None
    assert ReferenceFlatness(length_mm=600, width_mm=400).error_um is None
    # DIN 876 goes by the longer side alone
    assert ReferenceFlatness(grade="DIN 876 grade I", width_mm=500).error_um == pytest.approx(15)


@pytest.mark.parametrize(
    ("known", "match"),
    [
        ({"grade": "ISO 8512 grade 0", "length_mm": 630, "width_mm": 400}, "no grade"),
        ({"grade": "DIN 876 grade 0", "length_mm": -630, "width_mm": 400}, "length"),
        ({"grade": "DIN 876 grade 0", "length_mm": 630, "width_mm": float("nan")}, "width"),
        ({"own_um": -0.1}, "error of the reference"),
        ({"own_um": float("inf")}, "error of the reference"),
    ],
)
def test_values_that_are_none_are_refused_in_words(known, match):
    with pytest.raises(SettingsError, match=match):
        _ = ReferenceFlatness(**known).error_um


@pytest.mark.parametrize("grade", ["", "GGG-P-463c AA"])
def test_a_plate_without_grade_or_side_has_no_error(grade):
    with pytest.raises(SettingsError, match="sides"):
        plate_error_um(grade, 600, 0)
