"""A shim of known thickness tells what a film unit is worth; what cannot be is refused."""

import pytest
from in_line_coverage import SHIM_AT_MM, SHIM_FACE_MM, shim_unit
from simulated_long_faces import Rub, box, contact_of, reading_of_contact, shim_contact, textured

from scrapeview.errors import ReadingError, SettingsError
from scrapeview.judge.inline import film_unit_from_shim

RUB = Rub(film_um=3.0)


@pytest.fixture(scope="module")
def prints():
    height, _ = textured(2, SHIM_FACE_MM, px_per_mm=1.0)
    outline = [box(0, 0, *SHIM_FACE_MM)]
    return tuple(
        reading_of_contact(contact, height.grid, outline)
        for contact in (
            contact_of(height, (0.0, SHIM_FACE_MM[0]), RUB),
            shim_contact(height, 20.0, SHIM_AT_MM, RUB),
        )
    )


@pytest.mark.parametrize("shim_um", [10.0, 20.0])
def test_the_film_unit_of_a_shim_holds_the_deviation_of_the_heights(shim_um):
    unit, deviation_um = shim_unit("and waves of 40 mm", 3, shim_um)
    assert unit.how == "shim"
    assert unit.low_um < deviation_um < unit.high_um
    assert unit.high_um < 2 * unit.low_um


def test_a_shim_said_to_be_twice_as_thick_gives_twice_the_unit(prints):
    one, other = (
        film_unit_from_shim(*prints, shim_um=um, shim_at_mm=SHIM_AT_MM, rests_at_mm=0.0)
        for um in (20.0, 40.0)
    )
    assert other.um == pytest.approx(2 * one.um)
    assert other.high_um == pytest.approx(2 * one.high_um)


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"shim_um": 0.0}, "tilts nothing"),
        ({"shim_um": float("nan")}, "tilts nothing"),
        ({"rests_at_mm": SHIM_AT_MM - 30}, "30 mm from where"),
        ({"shim_at_mm": 10 * SHIM_AT_MM}, "from the face's left end"),
        ({"rests_at_mm": -300.0}, "from the face's left end"),
    ],
)
def test_a_shim_that_cannot_be_is_refused(prints, told, says):
    usual = {"shim_um": 20.0, "shim_at_mm": SHIM_AT_MM, "rests_at_mm": 0.0}
    with pytest.raises(SettingsError, match=says):
        film_unit_from_shim(*prints, **(usual | told))


def test_contact_that_does_not_fade_towards_the_shim_is_refused(prints):
    level, shimmed = prints
    usual = {"shim_um": 20.0, "shim_at_mm": SHIM_AT_MM, "rests_at_mm": 0.0}
    with pytest.raises(ReadingError, match="does not fade"):
        film_unit_from_shim(level, level, **usual)
    with pytest.raises(ReadingError, match="does not fade"):
        film_unit_from_shim(shimmed, level, **usual)
