"""Targets: what is shipped, where each value comes from, and what is refused."""

import dataclasses
import json

import pytest

from scrapeview.errors import SettingsError
from scrapeview.targets import (
    ASKED,
    NO_TARGET,
    OWN,
    SHIPPED_TARGETS,
    SURE_WORDS,
    Origin,
    Target,
    origin_of_source,
)

KINDS = ("reference face", "precision slideway", "general slideway", "gib", "bonded liner",
         "fixed joint", "plain bearing shell")  # fmt: skip
PUBLISHED = ("read", "second-hand")
OLD_PRACTICE = "common practice, no source"
"""What a target told of its one source before each value had its own."""


def asked_of(target):
    return [asked.name for asked in ASKED if getattr(target, asked.name) is not None]


def test_bearing_area_of_cast_iron_plates_is_the_standard_s():
    """ISO 8512-1:1990 bearing area by grade, second-hand from the text of AS 1004.1-1998."""
    plates = {t.name: t for t in SHIPPED_TARGETS if "surface plate" in t.name}
    by_grade = {"grade 0": 20, "grade 1": 15, "grades 2 and 3": 10}
    assert len(plates) == len(by_grade)
    for grade, percent in by_grade.items():
        target = plates[f"cast-iron surface plate, {grade}"]
        assert target.contact_least_percent == percent
        origin = target.origin("contact_least_percent")
        assert origin.sure == "second-hand"
        assert origin.source.startswith("ISO 8512-1:1990")


def test_no_other_shipped_value_passes_for_a_standard_s():
    published = [
        (target.name, name)
        for target in SHIPPED_TARGETS
        for name in asked_of(target)
        if target.origin(name).sure in PUBLISHED
    ]
    plates = [target.name for target in SHIPPED_TARGETS if "surface plate" in target.name]
    assert sorted(published) == sorted((name, "contact_least_percent") for name in plates)


def test_every_kind_of_face_is_shipped_once_and_says_where_each_value_is_from():
    names = [target.name for target in SHIPPED_TARGETS]
    assert set(KINDS) <= set(names)
    assert len(set(names)) == len(names)
    for target in SHIPPED_TARGETS:
        assert target.asks
        told = dict(target.origins)
        assert list(told) == sorted(asked_of(target))
        assert OWN not in told.values()


@pytest.mark.parametrize("target", [*SHIPPED_TARGETS, NO_TARGET], ids=lambda target: target.name)
def test_a_target_comes_back_from_plain_values(target):
    told = json.loads(json.dumps(target.as_dict()))
    assert Target.from_dict(told) == target
    # as tables of frozen records write it: pairs in place of a dictionary
    assert Target.from_dict(json.loads(json.dumps(dataclasses.asdict(target)))) == target


@pytest.mark.parametrize(
    ("source", "origin"),
    [
        ("", OWN),
        (SURE_WORDS["own"], OWN),
        (OLD_PRACTICE, Origin("practice")),
        ("ISO 8512-1:1990 bearing area", Origin("second-hand", "ISO 8512-1:1990 bearing area")),
        ("the shop", Origin("own", "the shop")),
    ],
)
def test_one_source_told_for_a_whole_target_holds_for_each_of_its_values(source, origin):
    told = {"name": "own", "ppsi_least": 20, "contact_least_percent": None, "source": source}
    target = Target.from_dict(told)
    assert target.origins == (("ppsi_least", origin),)
    assert origin_of_source(source) == origin


def test_an_origin_is_kept_only_of_what_is_asked():
    origin = Origin("practice")
    told = [(name, origin) for name in ("ppsi_least", "haze_most_percent", "name", "asks", "more")]
    target = Target(name="own", ppsi_least=20, origins=tuple(told))
    assert target.origins == (("ppsi_least", origin),)
    assert target.origin("haze_most_percent") == OWN


def test_how_sure_is_said_with_the_source():
    assert Origin("practice").words == OLD_PRACTICE
    assert Origin("read", "a text").words == "published, read in the source: a text"


@pytest.mark.parametrize(
    "changed",
    [
        {"name": "  "},
        {"contact_least_percent": -1},
        {"contact_most_percent": 101},
        {"ppsi_least": -0.1},
        {"ppsi_least": 501},
        {"bare_circle_most_mm": 1001},
        {"prints_apart_most_percent": float("inf")},
        {"contact_least_percent": 50, "contact_most_percent": 40},
        {"ppsi_least": 10, "square_ppsi_least": 11},
        {"contact_least_percent": float("nan")},
        {"ppsi_least": float("inf")},
        {"origins": (("ppsi_least", Origin("rumour")),)},
        {"origins": (("ppsi_least", Origin("own", None)),)},
    ],
)
def test_what_cannot_be_is_refused(changed):
    with pytest.raises(SettingsError):
        Target(**{"name": "own"} | changed)


@pytest.mark.parametrize(
    "changed",
    [
        {"more": 1},
        {"name": 5},
        {"name": None},
        {"ppsi_least": "20"},
        {"ppsi_least": [20]},
        {"origins": 5},
        {"origins": ["ppsi_least"]},
        {"origins": {"ppsi_least": "own"}},
        {"origins": {"ppsi_least": ["own", "", ""]}},
        {"origins": {"ppsi_least": 5}},
        {"origins": {"ppsi_least": [["own"], ""]}},
        {"source": 5},
    ],
)
def test_plain_values_that_are_no_target_are_refused_in_words(changed):
    with pytest.raises(SettingsError):
        Target.from_dict({"name": "own"} | changed)


def test_no_value_at_all_is_refused_in_words():
    with pytest.raises(SettingsError, match="needs a name"):
        Target.from_dict({})
