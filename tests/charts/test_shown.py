"""Figures are shown in the units asked for, each with its unit."""

import dataclasses

import pytest

from scrapeview.bearing import Interval
from scrapeview.charts import shown

SEED = 2


def test_lengths_and_areas():
    assert shown.length(25.4, "metric") == "25.4 mm"
    assert shown.length(25.4, "inch") == "1.00 in"
    assert shown.area(645.16, "inch") == "1.00 in2"
    assert shown.area(645.16, "metric") == "6.5 cm2"


@pytest.mark.parametrize(("mm", "told"), [(25.4, "1 in"), (12.7, "0.5 in"), (25, "25 mm")])
def test_a_cell_is_called_as_it_was_set(mm, told):
    assert shown.side(mm) == told


def test_places():
    assert shown.place(93.4, 27.5, "metric") == "93 mm from the left, 28 mm from the top"
    assert shown.place(50.8, -0.01, "inch") == "2.0 in from the left, 0.0 in from the top"
    assert shown.place(-0.2, 3, "metric") == "0 mm from the left, 3 mm from the top"


def test_intervals():
    assert shown.interval(Interval(14.96, 17.31)) == "15.0 to 17.3"
    assert "too few" in shown.interval(Interval(0.0, float("inf")))


def test_spacing_is_told_in_words():
    words = [shown.spacing(index).split(" (")[0] for index in (0, 0.5, 1.0, 1.4, 2.0)]
    assert len(set(words)) == 5
    assert "random" in words[2]


def test_smear_is_told_with_its_direction(reading):
    found = reading("plain", SEED)
    heavy = dataclasses.replace(found.heaviness, smear_percent=12.0, smear_direction_deg=90.0)
    assert shown.film(dataclasses.replace(found, heaviness=heavy)).endswith("smear 12 % along y")
    assert "no undercoat" in shown.film(found)
