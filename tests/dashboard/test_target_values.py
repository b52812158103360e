"""Values of targets are shown and given in the shop's units, and refused in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview.dashboard.target_values import (
    hint_of,
    long_name,
    origin_given,
    short_name,
    shown_value,
    stored_value,
    target_given,
    value_words,
    with_own_values,
)
from scrapeview.errors import SettingsError
from scrapeview.targets import (
    ASKED,
    ASKED_BY_NAME,
    NO_TARGET,
    OWN,
    SHIPPED_TARGETS,
    SURE_WORDS,
    Origin,
    Target,
)

PPSI, SQUARE, BARE, CONTACT = (
    ASKED_BY_NAME[name]
    for name in ("ppsi_least", "square_ppsi_least", "bare_circle_most_mm", "contact_most_percent")
)
BOTH = ("metric", "inch")


@pytest.mark.parametrize(
    ("asked", "value", "units", "shown"),
    [
        # 1 in2 = 1.032256 squares of 25 mm (exact)
        (PPSI, 20.0, "metric", 19.38),
        (PPSI, 20.0, "inch", 20.0),
        (BARE, 12.7, "metric", 12.7),
        (BARE, 19.05, "inch", 0.75),
        (CONTACT, 60.0, "inch", 60.0),
    ],
)
def test_a_value_is_shown_in_the_units_of_the_shop(asked, value, units, shown):
    assert shown_value(asked, value, units) == shown


@pytest.mark.parametrize(
    ("asked", "given_", "units", "stored"),
    [
        (PPSI, 20.0, "metric", 20.64512),
        (SQUARE, 10.0, "inch", 10.0),
        (BARE, 0.5, "inch", 12.7),
        (CONTACT, 55.0, "metric", 55.0),
        (PPSI, None, "metric", None),
    ],
)
def test_what_is_given_is_stored_in_the_units_of_the_package(asked, given_, units, stored):
    assert stored_value(asked, given_, units) == (stored and pytest.approx(stored, rel=1e-9))


@given(
    asked=st.sampled_from(ASKED),
    share=st.floats(0, 1),
    units=st.sampled_from(BOTH),
)
def test_a_value_left_alone_stays_exactly_as_it_was(asked, share, units):
    value = share * asked.most
    assert stored_value(asked, shown_value(asked, value, units), units, value) == value


@given(asked=st.sampled_from(ASKED), share=st.floats(0, 1), units=st.sampled_from(BOTH))
def test_all_that_is_shown_can_be_given(asked, share, units):
    stored = stored_value(asked, shown_value(asked, share * asked.most, units), units)
    assert stored == pytest.approx(share * asked.most, rel=6e-4)
    Target(name="mine", **{asked.name: stored})


@pytest.mark.parametrize(
    ("asked", "given_", "units", "said"),
    [
        (PPSI, 500.0, "metric", "per 25 mm square of the whole face, at least: give 0 to 484.4"),
        (PPSI, 501.0, "inch", "per square inch of the whole face, at least: give 0 to 500, not"),
        (BARE, 40.0, "inch", "at most, in: give 0 to 39.37, not 40"),
        (CONTACT, -1.0, "metric", "Contact, at most, %: give 0 to 100, not -1"),
        (CONTACT, float("nan"), "metric", "give 0 to 100"),
    ],
)
def test_what_is_out_of_range_is_refused_in_the_units_of_the_shop(asked, given_, units, said):
    with pytest.raises(SettingsError) as refused:
        stored_value(asked, given_, units)
    assert said in str(refused.value)


@pytest.mark.parametrize("units", BOTH)
def test_every_value_is_named_with_its_unit(units):
    for asked in ASKED:
        names = short_name(asked, units), long_name(asked, units)
        other = {"metric": ("in2", "square inch"), "inch": ("25 mm",)}[units]
        assert not any(unit in name for unit in other for name in names)
        if asked.unit == "mm":
            assert all(name.endswith({"metric": "mm", "inch": " in"}[units]) for name in names)
        if asked.unit == "%":
            assert all(name.endswith("%") for name in names)
    assert len({(short_name(a, units), "least" in a.name) for a in ASKED}) == len(ASKED)
    assert len({long_name(asked, units) for asked in ASKED}) == len(ASKED)


def test_what_a_value_is_asked_for_is_said_where_its_name_does_not():
    assert hint_of(CONTACT) == "More wrings, and starves of oil"
    assert hint_of(PPSI) is None


def test_the_side_that_is_asked_stands_before_a_value():
    assert value_words(PPSI, 20.0, "inch") == "≥ 20"
    assert value_words(BARE, 12.7, "metric") == "≤ 12.7"


@pytest.mark.parametrize("sure", ["read", "second-hand"])
def test_what_is_called_published_must_name_its_source(sure):
    with pytest.raises(SettingsError, match="Contact, at most: it is said") as refused:
        origin_given(CONTACT, sure, "  ", "metric")
    assert SURE_WORDS["practice"] in str(refused.value)
    assert origin_given(CONTACT, sure, " a  book ", "metric") == Origin(sure, "a book")


def test_what_is_not_published_needs_no_source():
    assert origin_given(CONTACT, "practice", "", "inch") == Origin("practice")


def test_least_above_most_is_refused():
    given_ = {"contact_least_percent": (60.0, OWN), "contact_most_percent": (40.0, OWN)}
    with pytest.raises(SettingsError, match="more contact than it allows"):
        target_given("mine", given_)


def test_values_changed_for_one_face_become_its_own_and_the_others_keep_their_origin():
    target = SHIPPED_TARGETS[0]
    values = {asked.name: getattr(target, asked.name) for asked in ASKED}
    assert with_own_values(target, values, "own") is target
    changed = with_own_values(target, values | {"ppsi_least": 30.0}, "own")
    assert (changed.name, changed.ppsi_least) == (target.name, 30.0)
    assert changed.origin("ppsi_least") == OWN != target.origin("ppsi_least")
    others = [asked.name for asked in ASKED if asked.name != "ppsi_least"]
    assert [changed.origin(name) for name in others] == [target.origin(name) for name in others]


def test_values_without_a_target_are_the_faces_own_target():
    values = {asked.name: None for asked in ASKED}
    assert with_own_values(NO_TARGET, values, "own") == NO_TARGET
    assert with_own_values(NO_TARGET, values | {"ppsi_least": 12.0}, "own") == Target(
        name="own", ppsi_least=12.0
    )
