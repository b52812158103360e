"""Every rule of the verdict by a case made for it."""

import dataclasses

import numpy as np
import pytest
from simulated_faces import PROCESSES, laid_points, printed, reading_of

from scrapeview.bearing import Interval
from scrapeview.errors import ReadingError, SettingsError
from scrapeview.film import Heaviness
from scrapeview.judge import JudgedPrint, judge_face
from scrapeview.photo import Check
from scrapeview.targets import Target

SIZE_MM = (96.0, 64.0)
EASY = Target(
    name="easy",
    ppsi_least=12,
    square_ppsi_least=5,
    contact_least_percent=20,
    contact_most_percent=60,
    bare_circle_most_mm=20,
    spread_most_percent=60,
    balance_most_percent=40,
    haze_most_percent=15,
    prints_apart_most_percent=25,
)
"""What the face of these tests is plainly beyond."""


@pytest.fixture(scope="module")
def readings():
    """Two prints of one face, about 22 points per square inch and 34 % contact."""
    rng = np.random.default_rng(3)
    points = laid_points(PROCESSES[0], SIZE_MM, rng)
    return [reading_of(printed(points, rng), SIZE_MM, rng, errors=False) for _ in range(2)]


def prints_of(readings, passes=(4, 4), **changed):
    """The readings as prints; what is changed is so in the last one."""
    last = dataclasses.replace(readings[-1], **changed)
    return [
        JudgedPrint(number, i, "", reading)
        for i, (number, reading) in enumerate(zip(passes, (readings[0], last), strict=True), 1)
    ]


def judged(readings, target=EASY, passes=(4, 4), **changed):
    return judge_face(prints_of(readings, passes, **changed), target)


def of(verdict, name, zone=""):
    (found,) = [one for one in verdict.criteria if (one.name, one.zone) == (name, zone)]
    return found


def changed_target(**values):
    return dataclasses.replace(EASY, **values)


def heavy(percent=30.0):
    return Heaviness(percent, 0.0, 0.0)


def check(code, severity):
    return (Check(code, severity, 1.0, "", ""),)


def test_a_face_that_clears_everything_is_done(readings):
    verdict = judged(readings)
    assert verdict.outcome == "done"
    assert verdict.decided_by == ()
    assert {one.stands for one in verdict.criteria} == {"clears"}
    assert (verdict.pass_number, verdict.compared_with) == (4, 4)


def test_two_passes_that_agree_confirm_each_other(readings):
    verdict = judged(readings, passes=(3, 4))
    assert (verdict.outcome, verdict.compared_with) == ("done", 3)


def test_the_bound_decides_and_not_the_figure(readings):
    figure, bounds = readings[-1].points_per_square_inch, readings[-1].ppsi_interval
    for asked, outcome, stands in (
        (bounds.low - 0.5, "done", "clears"),
        ((bounds.low + figure) / 2 + 0.2, "nearly", "open"),
        (bounds.high + 0.5, "keep scraping", "falls short"),
    ):
        verdict = judged(readings, changed_target(ppsi_least=asked))
        one = of(verdict, "ppsi_least")
        assert (verdict.outcome, one.stands) == (outcome, stands)
        assert one.margin == pytest.approx(one.interval.low - asked)
        assert verdict.decided_by[:1] == ((one,) if outcome != "done" else ())


def test_too_much_contact_is_not_done_either(readings):
    figure, bounds = readings[-1].contact_percent, readings[-1].contact_interval
    for asked, outcome in (
        (bounds.high + 0.5, "done"),
        (figure + 0.2, "nearly"),
        (bounds.low - 0.5, "keep scraping"),
    ):
        target = changed_target(contact_most_percent=asked)
        assert judged(readings, target).outcome == outcome


@pytest.mark.parametrize(
    ("changed", "outcome"),
    [
        ({"square_ppsi_least": 11.9}, "keep scraping"),
        ({"bare_circle_most_mm": 3.0}, "keep scraping"),
        ({"spread_most_percent": 1.0}, "keep scraping"),
    ],
)
def test_each_figure_the_target_asks_for_is_judged(readings, changed, outcome):
    (name,) = changed
    square = dataclasses.replace(readings[-1].worst_square, points_per_square_inch=9.0, points=9)
    verdict = judged(readings, changed_target(**changed), worst_square=square)
    assert verdict.outcome == outcome
    assert [one.name for one in verdict.decided_by] == [name]


def test_what_is_not_asked_is_not_judged(readings):
    verdict = judged(readings, Target(name="contact only", contact_least_percent=20))
    assert verdict.outcome == "done"
    assert {one.name for one in verdict.criteria} == {
        "print", "photograph", "haze_most_percent", "contact_least_percent",
        "prints_apart_most_percent",
    }  # fmt: skip


def test_a_bound_without_end_is_never_done(readings):
    unknown = Interval(0.0, float("inf"))
    verdict = judged(readings, ppsi_interval=unknown)
    assert verdict.outcome == "nearly"
    assert [(one.name, one.why) for one in verdict.decided_by] == [
        ("ppsi_least", "too few squares")
    ]


def test_one_print_alone_is_nearly(readings):
    verdict = judge_face(prints_of(readings)[-1:], EASY)
    assert (verdict.outcome, verdict.compared_with) == ("nearly", None)
    assert [one.why for one in verdict.decided_by] == ["second print missing"]


def test_a_photograph_kept_twice_does_not_confirm_itself(readings):
    same = [dataclasses.replace(one, photo_sha256="a" * 64) for one in readings]
    verdict = judged(same)
    assert (verdict.outcome, verdict.compared_with) == ("nearly", None)
    assert [one.why for one in verdict.decided_by] == ["second print missing"]
    assert judged([same[0], dataclasses.replace(same[1], photo_sha256="b" * 64)]).outcome == "done"


def test_prints_of_one_pass_that_differ_ask_for_another(readings):
    fewer = readings[0].points.iloc[::2]
    apart = dataclasses.replace(readings[0], points=fewer)
    verdict = judged([apart, readings[1]])
    assert verdict.outcome == "print again"
    (one,) = verdict.decided_by
    assert (one.name, one.stands, one.why) == ("prints_apart_most_percent", "falls short", "points")
    assert one.figure == pytest.approx(67, abs=5)


def test_passes_that_differ_have_scraping_between_them(readings):
    apart = dataclasses.replace(readings[0], points=readings[0].points.iloc[::2])
    verdict = judged([apart, readings[1]], passes=(3, 4))
    assert verdict.outcome == "nearly"
    assert [one.why for one in verdict.decided_by] == ["points, scraped between"]


def test_prints_that_differ_do_not_stop_what_plainly_falls_short(readings):
    apart = dataclasses.replace(readings[0], points=readings[0].points.iloc[::2])
    verdict = judged([apart, readings[1]], changed_target(ppsi_least=60))
    assert verdict.outcome == "keep scraping"
    assert "prints_apart_most_percent" not in [one.name for one in verdict.decided_by]


@pytest.mark.parametrize(
    "spoilt",
    [
        {"checks": check("sharpness", "bad")},
        {"heaviness": heavy()},
        {"merged_percent": 40.0},
        {"is_print": False},
    ],
)
def test_a_poor_print_confirms_nothing(readings, spoilt):
    verdict = judged([dataclasses.replace(readings[0], **spoilt), readings[1]])
    assert verdict.outcome == "nearly"
    assert [one.why for one in verdict.decided_by] == ["second print not usable"]


def test_an_older_print_of_the_pass_confirms_where_the_last_but_one_is_poor(readings):
    poor = dataclasses.replace(readings[0], checks=check("glare", "bad"))
    prints = [
        JudgedPrint(4, i, "", one) for i, one in enumerate((readings[0], poor, readings[1]), 1)
    ]
    assert judge_face(prints, EASY).outcome == "done"


def test_a_poor_photograph_is_taken_again(readings):
    assert judged(readings, checks=check("uneven_light", "warn")).outcome == "nearly"
    verdict = judged(readings, changed_target(ppsi_least=60), checks=check("tilt", "bad"))
    assert verdict.outcome == "print again"
    assert [(one.name, one.why) for one in verdict.decided_by] == [("photograph", "tilt")]


def test_no_print_is_printed_again(readings):
    verdict = judged(readings, is_print=False)
    assert verdict.outcome == "print again"
    assert [one.why for one in verdict.decided_by] == ["no print"]
    assert of(verdict, "ppsi_least").stands == "cannot tell"


def test_marks_that_hardly_differ_from_metal_are_printed_again(readings):
    faint = dataclasses.replace(readings[-1].separability, explained=0.7)
    verdict = judged(readings, EASY, separability=faint)
    assert verdict.outcome == "print again"
    assert [one.why for one in verdict.decided_by] == ["hardly told"]
    # strokes that pass for points only add to them
    short = judged(readings, changed_target(ppsi_least=60), separability=faint)
    assert short.outcome == "keep scraping"


def test_smeared_film_passes_for_contact(readings):
    assert judged(readings, checks=check("smear", "bad")).outcome == "print again"
    assert judged(readings, checks=check("smear", "warn")).outcome == "nearly"


def test_heavy_film_is_wiped_thinner(readings):
    verdict = judged(readings, heaviness=heavy(15.1))
    assert verdict.outcome == "print again"
    assert [one.why for one in verdict.decided_by] == ["heavy film"]
    assert of(verdict, "contact_least_percent").stands == "cannot tell"
    assert of(verdict, "contact_most_percent").stands == "clears"
    assert judged(readings, heaviness=heavy(15.0)).outcome == "done"


def test_heavy_film_is_judged_where_the_target_does_not_speak_of_it(readings):
    target = changed_target(haze_most_percent=None)
    assert judged(readings, target, heaviness=heavy()).outcome == "print again"


def test_what_falls_short_under_heavy_film_falls_short_all_the_more(readings):
    target = changed_target(contact_least_percent=55)
    verdict = judged(readings, target, heaviness=heavy())
    assert verdict.outcome == "keep scraping"
    assert [one.name for one in verdict.decided_by] == ["contact_least_percent"]


def test_too_much_contact_may_be_the_heavy_films(readings):
    target = changed_target(contact_most_percent=22)
    assert judged(readings, target, heaviness=heavy()).outcome == "print again"


def test_film_that_cannot_be_seen_is_left_open(readings):
    verdict = judged(readings, marking="black", heaviness=heavy(0.0))
    assert [(one.name, one.why) for one in verdict.decided_by] == [
        ("haze_most_percent", "haze not seen")
    ]
    target = changed_target(haze_most_percent=None)
    assert judged(readings, target, marking="black", heaviness=heavy(0.0)).outcome == "done"


def test_merged_patches_of_thin_film_are_broken_up(readings):
    verdict = judged(readings, merged_percent=60.0)
    assert verdict.outcome == "keep scraping"
    assert [one.why for one in verdict.decided_by] == ["merged"]
    for name in ("ppsi_least", "square_ppsi_least", "spread_most_percent"):
        assert of(verdict, name).why == "count unreliable"


def test_merged_patches_of_heavy_film_are_printed_again(readings):
    verdict = judged(readings, merged_percent=60.0, heaviness=heavy())
    assert verdict.outcome == "print again"
    assert [one.why for one in verdict.decided_by] == ["heavy film", "merged, heavy film"]


def test_merged_patches_do_not_matter_where_no_points_are_asked(readings):
    target = Target(name="contact only", contact_least_percent=20)
    merged = [dataclasses.replace(one, merged_percent=60.0) for one in readings]
    assert judged(merged, target).outcome == "done"


@pytest.mark.parametrize(
    "target",
    [Target(name="nothing"), Target(name="film only", haze_most_percent=15)],
)
def test_without_a_target_nothing_is_done(readings, target):
    verdict = judged(readings, target)
    assert verdict.outcome == "keep scraping"
    assert [one.why for one in verdict.decided_by] == ["no target"]


def test_a_smaller_risk_asks_for_more(readings):
    prints = prints_of(readings)
    lows = [
        [of(judge_face(prints, EASY, risk=r), n).interval.low for r in (0.2, 0.05, 0.025, 0.001)]
        for n in ("ppsi_least", "contact_least_percent")
    ]
    for found in lows:
        assert found == sorted(found, reverse=True)
    # a print of even points: at 5 % the bounds are the ends of the reading's own interval
    assert lows[0][1] == pytest.approx(readings[-1].ppsi_interval.low, rel=0.02)


def test_nothing_to_judge_and_no_risk_are_refused(readings):
    with pytest.raises(ReadingError, match="keep a print"):
        judge_face([], EASY)
    for risk in (0.0, 0.5, float("nan")):
        with pytest.raises(SettingsError, match="risk"):
            judge_face(prints_of(readings), EASY, risk=risk)


def test_the_weightiest_reason_comes_first(readings):
    target = changed_target(ppsi_least=60, contact_least_percent=55, bare_circle_most_mm=3)
    verdict = judged(readings, target)
    assert [one.name for one in verdict.decided_by] == [
        "ppsi_least", "contact_least_percent", "bare_circle_most_mm",
    ]  # fmt: skip
