"""Settings keep to their ranges and come back from JSON as they were."""

import json
from dataclasses import FrozenInstanceError, fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview import Settings, SettingsError
from scrapeview.settings import _RANGES


@pytest.mark.parametrize("name", _RANGES)
@pytest.mark.parametrize("wrong", ["below", "above", "nan", "inf"])
def test_a_value_out_of_range_is_named(name, wrong):
    low, high = _RANGES[name]
    value = {"below": low - 0.01, "above": high * 1.01, "nan": float("nan"), "inf": float("inf")}
    with pytest.raises(SettingsError, match=rf"^{name} is .*; give a value from .* to .*\.$"):
        Settings(**{name: value[wrong]})


@pytest.mark.parametrize("name", _RANGES)
def test_the_ends_of_a_range_are_in_it(name):
    others = {"smallest_point_mm": 0.5, "largest_point_mm": 50.0}
    for value in _RANGES[name]:
        assert getattr(Settings(**(others | {name: value})), name) == value


def test_every_number_has_a_range():
    numbers = {f.name for f in fields(Settings) if f.type in (float, "float")}
    assert numbers == set(_RANGES)


def test_the_smallest_point_must_be_smaller_than_the_largest():
    with pytest.raises(SettingsError, match="must be smaller than"):
        Settings(smallest_point_mm=5.0, largest_point_mm=5.0)


@pytest.mark.parametrize("picks", [((1,),), ((1, 2, 3),), "12a", 5, ((1, "b"),), (None,)])
def test_picks_must_be_pairs(picks):
    with pytest.raises(SettingsError, match="list of x, y pairs"):
        Settings(marking_picks_px=picks, metal_picks_px=((1, 2),))


@pytest.mark.parametrize("name", ["marking_picks_px", "metal_picks_px"])
def test_picks_come_in_both_kinds_or_none(name):
    with pytest.raises(SettingsError, match="both the marking and the bare metal"):
        Settings(**{name: ((1, 2),)})


pairs = st.lists(st.tuples(st.floats(0, 5000), st.floats(0, 4000)), min_size=1, max_size=4)


@given(st.floats(0.2, 0.9), st.floats(1, 100), pairs, pairs)
def test_json_keeps_them(smallest, largest, marking, metal):
    before = Settings(
        smallest_point_mm=smallest, largest_point_mm=largest,
        marking_picks_px=marking, metal_picks_px=metal,
    )  # fmt: skip
    assert Settings.from_dict(json.loads(json.dumps(before.as_dict()))) == before


def test_unknown_names_are_refused():
    with pytest.raises(SettingsError, match=r"^Unknown settings: colour, size\.$"):
        Settings.from_dict({"size": 1, "colour": 2})


def test_settings_are_frozen_and_named():
    with pytest.raises(FrozenInstanceError):
        Settings().cell_mm = 25.0
    with pytest.raises(TypeError):
        Settings(0.8)
