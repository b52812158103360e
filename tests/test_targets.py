"""Targets: what is shipped, where it comes from, and what is refused."""

import pytest

from scrapeview.errors import SettingsError
from scrapeview.targets import PRACTICE, SHIPPED_TARGETS, Target


def test_bearing_area_of_cast_iron_plates_is_the_standard_s():
    """ISO 8512-1:1990 bearing area by grade, second-hand from the text of AS 1004.1-1998."""
    plates = {t.name: t for t in SHIPPED_TARGETS if "surface plate" in t.name}
    by_grade = {"grade 0": 20, "grade 1": 15, "grades 2 and 3": 10}
    assert len(plates) == len(by_grade)
    for grade, percent in by_grade.items():
        target = plates[f"cast-iron surface plate, {grade}"]
        assert target.contact_least_percent == percent
        assert target.source.startswith("ISO 8512-1:1990")


def test_every_other_shipped_target_says_that_it_is_practice():
    others = [t for t in SHIPPED_TARGETS if "surface plate" not in t.name]
    assert others
    assert all(t.source == PRACTICE for t in others)
    assert len({t.name for t in SHIPPED_TARGETS}) == len(SHIPPED_TARGETS)


@pytest.mark.parametrize(
    "changed",
    [
        {"name": "  "},
        {"contact_least_percent": -1},
        {"contact_most_percent": 101},
        {"ppsi_least": -0.1},
        {"ppsi_least": 501},
        {"contact_least_percent": 50, "contact_most_percent": 40},
        {"contact_least_percent": float("nan")},
        {"ppsi_least": float("inf")},
    ],
)
def test_what_cannot_be_is_refused(changed):
    with pytest.raises(SettingsError):
        Target(**{"name": "own"} | changed)
