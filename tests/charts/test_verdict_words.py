"""Sentences of a verdict: the number first, its unit beside it, one sentence, in both units."""

import dataclasses
import itertools
import math
import re

import pytest

from scrapeview.bearing import Interval
from scrapeview.charts import verdict_words as words
from scrapeview.charts.verdict_advice import BY_WHY, PHOTO_ADVICE
from scrapeview.charts.verdict_reasons import PHOTO_REASONS
from scrapeview.judge import Balance, Criterion, Verdict, Zone
from scrapeview.judge.verdict.bounds import told
from scrapeview.judge.verdict.outcome import WEIGHT, outcome_of
from scrapeview.photo.checks import CHECK_CODES

UNITS = ("metric", "inch")
FIGURES = {
    "ppsi_least": (18.2, "1/in2", 20.0, True),
    "square_ppsi_least": (7.0, "1/in2", 12.0, True),
    "contact_least_percent": (31.0, "%", 40.0, True),
    "contact_most_percent": (66.0, "%", 60.0, False),
    "bare_circle_most_mm": (25.4, "mm", 12.7, False),
    "spread_most_percent": (50.0, "%", 35.0, False),
    "balance_most_percent": (40.0, "%", 25.0, False),
    "prints_apart_most_percent": (40.0, "%", 25.0, False),
}
OWN_WHY = {
    "balance_most_percent": ("points", "contact"),
    "prints_apart_most_percent": ("points", "contact", "contact, scraped between"),
}
WITHOUT_BOUNDS = (
    ("print", "clears", ""), ("photograph", "clears", ""), ("haze_most_percent", "clears", ""),
    ("count", "clears", ""), ("target", "open", "no target"), ("print", "cannot tell", "no print"),
    ("print", "cannot tell", "hardly told"), ("print", "cannot tell", "smeared"),
    ("print", "open", "part not printed"), ("haze_most_percent", "cannot tell", "heavy film"),
    ("haze_most_percent", "open", "haze not seen"), ("count", "falls short", "merged"),
    ("count", "cannot tell", "merged, heavy film"),
    ("prints_apart_most_percent", "open", "second print missing"),
    ("prints_apart_most_percent", "open", "second print not usable"),
    *(("photograph", "open", code.code) for code in CHECK_CODES),
    *(("photograph", "cannot tell", code.code) for code in CHECK_CODES),
)  # fmt: skip


def bounded(name, stands, why="", zone=""):
    """A criterion whose bounds lie as it stands."""
    figure, unit, target, at_least = FIGURES[name]
    good = stands == "clears"
    middle = {"clears": target * (1.2 if at_least else 0.8), "open": target}.get(stands, figure)
    low, high = 0.95 * middle, 1.05 * middle
    return Criterion(
        name=name, zone=zone, figure=middle, unit=unit, interval=Interval(low, high),
        target=target, at_least=at_least, stands=stands, why=why,
        margin=(low - target if at_least else target - high) if good or stands else 0.0,
    )  # fmt: skip


def unknown(name, stands, why):
    """A criterion whose figure there is none of."""
    _, unit, target, at_least = FIGURES[name]
    return Criterion(
        name=name, figure=math.nan, unit=unit, interval=Interval(-math.inf, math.inf),
        target=target, at_least=at_least, margin=math.nan, stands=stands, why=why,
    )  # fmt: skip


def everything():
    for name, stands in itertools.product(FIGURES, ("clears", "open", "falls short")):
        for why in OWN_WHY.get(name, ("",)):
            zone = "left end / right end" if name == "balance_most_percent" else ""
            yield bounded(name, stands, why, zone)
    for name in (name for name in FIGURES if name not in OWN_WHY):
        for why in ("photograph", "count unreliable", "heavy film", "no print", "hardly told"):
            yield bounded(name, "cannot tell", why)
        yield bounded(name, "open", "too few squares", "region 2")
    for name in (*OWN_WHY, "square_ppsi_least", "spread_most_percent"):
        yield unknown(name, "cannot tell", "no print")
        yield unknown(name, "open", "too few squares")
    yield dataclasses.replace(
        unknown("prints_apart_most_percent", "open", "too few squares"), figure=50.0
    )
    for name, stands, why in WITHOUT_BOUNDS:
        yield told(name, stands, why, figure=33.0, unit="%", target=20.0)


def verdict_of(*criteria, balances=()):
    outcome, decided_by = outcome_of(criteria)
    return Verdict(
        outcome=outcome, decided_by=decided_by, criteria=criteria, zones=(), balances=balances,
        pass_number=7, compared_with=6,
    )  # fmt: skip


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("one", tuple(everything()), ids=lambda c: f"{c.name}-{c.stands}-{c.why}")
def test_every_criterion_is_one_sentence_with_its_number_first(one, units):
    sentence = words.criterion_sentence(one, units)
    assert re.match(r"\d", sentence)
    assert sentence.endswith(".")
    assert ". " not in sentence
    assert not re.search(r"nan|None|[{}_]|inf\b|unknown", sentence)
    assert one.name in WEIGHT
    assert words.criterion_title(one, units)
    for part in (words.figure_words, words.bounds_words, words.target_words, words.margin_words):
        assert part(one, units)
        assert "nan" not in part(one, units)


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("one", tuple(everything()), ids=lambda c: f"{c.name}-{c.stands}-{c.why}")
def test_every_verdict_is_one_sentence_that_ends_in_what_follows(one, units):
    verdict = verdict_of(one)
    sentence = words.verdict_sentence(verdict, units)
    assert re.match(r"\d", sentence)
    assert sentence.count(".") == 1 + len(re.findall(r"\d\.\d", sentence))
    follows = {
        "done": "so it is done.", "nearly": "so it is nearly done.",
        "print again": "so print again.", "keep scraping": "so keep scraping.",
    }  # fmt: skip
    if one.why == "no target":
        assert sentence.endswith("so choose one.")
    elif not sentence.endswith("so the face is done."):
        assert sentence.endswith(follows[verdict.outcome])


@pytest.mark.parametrize("one", tuple(everything()), ids=lambda c: f"{c.name}-{c.stands}-{c.why}")
def test_every_verdict_says_what_to_do(one):
    balance = Balance(
        kind="end to end", first="left end", second="right end", figure="points",
        difference_percent=-40.0, interval=Interval(-50.0, -30.0), allowed_percent=25.0,
        stands="falls short",
    )  # fmt: skip
    lines = words.advice(verdict_of(one, balances=(balance,)), "metric")
    if (one.name, one.why) != ("balance_most_percent", "contact"):
        assert lines
    assert all(line.endswith(".") and "{" not in line for line in lines)


def test_the_example_reads_as_a_rebuilder_would_say_it():
    one = bounded("ppsi_least", "falls short")
    assert words.verdict_sentence(verdict_of(one), "inch") == (
        "19.1 points per in2 is what the face bears at most: the target is at least 20.0, so keep "
        "scraping."
    )
    assert words.verdict_sentence(verdict_of(one), "metric") == (
        "18.5 points per 25 mm square is what the face bears at most: the target is at least 19.4, "
        "so keep scraping."
    )


def test_units_change_the_unit_and_not_the_meaning():
    bare = bounded("bare_circle_most_mm", "falls short")
    assert words.figure_words(bare, "metric") == "25.4 mm"
    assert words.figure_words(bare, "inch") == "1.00 in"
    assert words.target_words(bare, "inch") == "at most 0.50 in"
    assert words.margin_words(bounded("ppsi_least", "falls short"), "inch") == (
        "-2.7 points per in2"
    )


def zone(name, contact_percent):
    bounds = Interval(0.0, 100.0)
    return Zone(
        name=name, kind="regions", area_mm2=6000.0, points=90, points_per_square_inch=9.7,
        contact_percent=contact_percent, ppsi_interval=bounds, contact_interval=bounds,
    )  # fmt: skip


@pytest.mark.parametrize(("contact", "told"), [(4.0, "Leave region 2 alone"), (30.0, "Scrape")])
def test_a_rail_that_hardly_bears_is_left_and_the_other_is_scraped(contact, told):
    balance = Balance(
        kind="rail to rail", first="region 1", second="region 2", figure="points",
        difference_percent=90.0, interval=Interval(70.0, 99.0), allowed_percent=25.0,
        stands="falls short",
    )  # fmt: skip
    verdict = dataclasses.replace(
        verdict_of(
            bounded("ppsi_least", "falls short", zone="region 2"),
            bounded("contact_least_percent", "falls short", zone="region 2"),
            bounded("balance_most_percent", "falls short", "points", "region 1 / region 2"),
            balances=(balance,),
        ),
        zones=(zone("region 1", 40.0), zone("region 2", contact)),
    )
    lines = words.advice(verdict, "metric")
    assert all(line.startswith(told) for line in lines[:-1])
    higher = "Scrape region 1 more than region 2: it stands higher."
    assert (lines[-1] == higher) is (contact < 20)


def test_nothing_is_scraped_for_a_balance_that_chance_may_explain():
    one = bounded("balance_most_percent", "open", "contact", "region 1 / region 2")
    (line,) = words.advice(verdict_of(one), "metric")
    assert line == (
        "Print once more before you scrape on: the balance asked for may be reached already."
    )


@pytest.mark.parametrize("units", UNITS)
def test_a_stretch_is_named_where_only_it_is_meant(units):
    none = dataclasses.replace(told("print", "cannot tell", "no print"), zone="left")
    assert words.verdict_sentence(verdict_of(none), units).endswith("(left), so print again.")
    short = bounded("ppsi_least", "falls short", zone="left, region 1")
    assert "the stretch (left, region 1) bears" in words.criterion_sentence(short, units)


def test_more_that_falls_short_is_counted():
    three = [bounded(n, "falls short") for n in ("ppsi_least", "bare_circle_most_mm")]
    three.append(bounded("contact_least_percent", "falls short", zone="left end"))
    sentence = words.verdict_sentence(verdict_of(*three), "inch")
    assert sentence.startswith("19.1 points per in2 ")
    assert sentence.endswith("so keep scraping; 2 more figures fall short.")


def test_done_is_told_by_the_bound():
    verdict = verdict_of(
        bounded("ppsi_least", "clears"), bounded("contact_least_percent", "clears")
    )
    assert words.verdict_sentence(verdict, "inch").startswith(
        "22.8 points per in2 is what the face bears at least: the target is 20.0"
    )


def test_done_by_contact_says_that_it_is_contact():
    sentence = words.verdict_sentence(
        verdict_of(bounded("contact_least_percent", "clears")), "inch"
    )
    assert sentence.startswith(
        "45.6 % contact is what the face bears at least: the target is 40.0 %"
    )


def test_outcomes_are_told_apart_without_colour():
    assert len({sign for sign, _ in words.OUTCOME.values()}) == 4
    assert set(words.OUTCOME) == {"done", "nearly", "keep scraping", "print again"}


def test_every_check_of_a_photograph_has_its_words():
    codes = {code.code for code in CHECK_CODES}
    assert set(PHOTO_REASONS) == set(PHOTO_ADVICE) == codes
    assert not codes & set(BY_WHY)


@pytest.mark.parametrize(
    ("percent", "figure", "told_as"),
    [
        (12.0, "points", "12 % more points"),
        (-12.0, "points", "12 % fewer points"),
        (-12.0, "contact", "12 % less contact"),
    ],
)  # fmt: skip
def test_balance_says_which_part_has_more(percent, figure, told_as):
    balance = Balance(
        kind="end to end", first="left end", second="right end", figure=figure,
        difference_percent=percent, interval=Interval(percent - 5, percent + 5),
        allowed_percent=25.0, stands="clears",
    )  # fmt: skip
    assert words.balance_sentence(balance, "metric") == (
        f"{told_as} the left end has than the right end: 25 % is allowed."
    )
