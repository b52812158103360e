"""The strip of a long face: bars and squares where they belong, and the right words beside them."""

import dataclasses

import numpy as np
import pytest

from scrapeview.charts import long_words as words
from scrapeview.charts.long_bars import bar_text, lanes_of
from scrapeview.charts.long_joints import (
    estimate_row,
    joint_signs,
    joints_table,
    overlaps_table,
    shown_overlaps,
)
from scrapeview.charts.long_progress import stretches_chart, stretches_table
from scrapeview.charts.long_stretches import Stretch, followed, from_left, latest_of_each
from scrapeview.charts.long_strip import (
    NOT_SEEN,
    ContactMap,
    StripView,
    contact_map_table,
    long_strip,
)
from scrapeview.judge.inline.estimates import Estimate, Joint, Overlap
from scrapeview.placements import Placement
from scrapeview.targets import NO_TARGET

BOUNDS = (0.0, 0.0, 1200.0, 120.0)


def stretch(name, start_mm=None, length_mm=500.0, side="", *, number=1, print_id=1, **figures):
    placement = Placement(
        name=name, start_mm=start_mm, length_mm=None if start_mm is None else length_mm, side=side
    )
    return Stretch(
        pass_number=number, print_id=print_id, reading_id=print_id, placement=placement, **figures
    )


def three(number=1, shift_mm=0.0):
    """Three placements of an invented pass; every one is another print."""
    starts = (("left end", 0.0), ("middle", 350.0), ("right end", 700.0))
    return [
        stretch(name, start + shift_mm, number=number, print_id=10 * number + at)
        for at, (name, start) in enumerate(starts)
    ]


def face_map():
    """Contact that rises from the left to the right; the fourth column nobody has seen."""
    percent = np.tile(np.linspace(10, 40, 12), (3, 1))
    percent[:, 3] = np.nan
    return ContactMap(percent, 1 / 100, (50.0, 20.0), np.ones((3, 12), dtype=bool))


def joint(step, along, first="left end", second="middle", at_mm=425.0):
    told = [
        Estimate("height", step, step - 1, step + 1),
        Estimate("tilt", along, along - 1, along + 1),
    ]
    return Joint(first, second, at_mm, 150.0, *told, Estimate("tilt", 0.1, -1, 1))


@pytest.mark.parametrize(("units", "per_unit"), [("metric", 1.0), ("inch", 25.4)])
def test_bars_and_squares_lie_where_they_are_on_the_face(units, per_unit):
    drawn = long_strip(StripView(BOUNDS, three(), face_map()), units)
    bars = next(trace for trace in drawn.data if trace.type == "bar")
    assert np.array(bars.base) * per_unit == pytest.approx([0, 350, 700])
    assert np.array(bars.x) * per_unit == pytest.approx([500, 500, 500])
    heat = next(trace for trace in drawn.data if trace.type == "heatmap")
    assert heat.x[4] * per_unit == pytest.approx(450)
    assert np.array(heat.z)[0, 11] == pytest.approx(40)
    assert np.array(drawn.layout.xaxis.range) * per_unit == pytest.approx([0, 1200])


def test_what_nobody_has_seen_is_hatched_and_in_no_table():
    drawn = long_strip(StripView(BOUNDS, three(), face_map()))
    hatched = next(trace for trace in drawn.data if trace.name == NOT_SEEN)
    assert hatched.fillpattern.shape == "/"
    x = [at for at in hatched.x if at is not None]
    assert min(x) == pytest.approx(300, abs=15)
    assert max(x) == pytest.approx(400, abs=15)
    table = contact_map_table(face_map())
    assert len(table["x_mm"]) == 33
    assert 350.0 not in table["x_mm"]
    whole = dataclasses.replace(face_map(), percent=np.full((3, 12), 20.0))
    assert not long_strip(StripView(BOUNDS, three(), whole)).layout.showlegend


def test_a_picture_takes_the_place_of_the_map():
    view = StripView(
        BOUNDS, three(), face_map(), picture="data:image/jpeg;base64,", picture_mm=BOUNDS
    )
    drawn = long_strip(view, "inch")
    assert "heatmap" not in {trace.type for trace in drawn.data}
    assert drawn.layout.images[0].sizex == pytest.approx(1200 / 25.4)


def test_no_bar_covers_another_and_the_far_side_comes_first():
    both = [*three(), stretch("far", 0.0, side="far"), stretch("near", 100.0, side="near")]
    ordered = from_left(both)
    lanes = dict(zip((one.name for one in ordered), lanes_of(ordered), strict=True))
    assert lanes["far"] == 0
    assert lanes["near"] == max(lanes.values())
    assert lanes["left end"] == lanes["right end"] != lanes["middle"]


def test_a_bar_carries_its_name_only_where_a_phone_has_room_for_it():
    assert bar_text(1, stretch("left end", 0.0), 1200.0) == "1 left end"
    assert bar_text(2, stretch("a name that is long", 0.0), 1200.0) == "2"
    assert bar_text(3, stretch("a name that is long", 0.0, side="far"), 1200.0) == "3 ▲"


def test_joints_stand_where_stretches_meet_with_signs_and_words():
    signs = joint_signs([joint(3, -4), joint(-3, 0.2, at_mm=775.0)], "metric")
    assert [(one.letter, one.sign) for one in signs] == [("A", "▲∧"), ("B", "▼")]
    drawn = long_strip(StripView(BOUNDS, three(), face_map(), signs))
    named = next(trace for trace in drawn.data if trace.name == "joints")
    assert list(named.x) == [425.0, 775.0]
    assert "left end to middle" in named.hovertext[0]
    assert [line.x0 for line in drawn.layout.shapes] == [425.0, 775.0]
    untold = Joint("left end", "middle", 425.0, 5.0, None, None, None, "Too little is covered.")
    assert joint_signs([joint(0.1, 0.2), untold], "metric")[0].sign == "≈"
    assert joint_signs([untold], "metric")[0].sign == "?"
    table = joints_table([joint(3, -4), untold])
    assert list(table["what"]) == ["step", "tilt along", "tilt across"] * 2
    assert table["value"][0] == 3
    assert estimate_row(None)["value"] is None


def test_stretches_are_followed_by_where_they_lie_and_else_by_name():
    moved = [
        stretch("left", 90.0, number=2, print_id=21),
        stretch("mid", 460.0, number=2, print_id=22),
    ]
    named = stretch("Right End", number=2, print_id=23)
    lines = followed([*three(), *moved, named])
    told = [[one.print_id for one in line.stretches] for line in lines]
    # 410 of 500 mm and 390 of 500 mm are the same; the third is not placed, and named alike
    assert told == [[10, 21], [11, 22], [12, 23]]
    assert [line.name for line in lines] == ["left", "mid", "Right End"]


def test_stretches_too_far_apart_or_on_another_side_are_others():
    apart = followed([stretch("a", 0.0), stretch("a", 210.0, number=2, print_id=2)])
    assert [len(line.stretches) for line in apart] == [1, 1]
    sides = followed([stretch("a", 0.0, side="far"), stretch("a", 0.0, number=2, print_id=2)])
    assert [len(line.stretches) for line in sides] == [1, 1]


def test_of_two_prints_of_one_stretch_in_a_pass_the_later_counts():
    again = stretch("left again", 20.0, print_id=99)
    assert [one.print_id for one in latest_of_each([*three(), again])] == [99, 11, 12]


def lines_of(*contacts, ppsi=(20.0, 20.0, 20.0), **more):
    stretches = [
        dataclasses.replace(
            one, contact_percent=contact, contact_low=contact - 2, contact_high=contact + 2,
            ppsi=points, ppsi_low=points - 1, ppsi_high=points + 1, **more,
        )
        for one, contact, points in zip(three(3), contacts, ppsi, strict=True)
    ]  # fmt: skip
    return followed(stretches)


def test_the_stretch_that_is_behind_is_named_with_its_number_first():
    sentence = words.behind_sentence(lines_of(30.0, 32.0, 18.0), NO_TARGET, "inch")
    assert sentence.startswith("18.0 % contact in right end (pass 3): 13.0 behind")
    assert "Scrape there first" in sentence
    points = lines_of(30.0, 30.0, 30.0, ppsi=(14.0, 20.0, 22.0))
    assert words.behind_sentence(points, NO_TARGET, "inch").startswith(
        "14.0 points/in2 in left end"
    )
    alike = words.behind_sentence(lines_of(30.0, 31.0, 29.0), NO_TARGET, "inch")
    assert "chance may explain it" in alike
    assert "Scrape" not in alike
    merged = lines_of(30.0, 32.0, 18.0, ppsi=(1.0, 20.0, 20.0), count_reliable=False)
    assert words.behind_sentence(merged, NO_TARGET, "inch").startswith("18.0 % contact")
    assert words.behind_sentence(followed(three()[:1]), NO_TARGET, "inch") == ""


def test_progress_shows_each_stretch_over_the_passes_in_the_readers_units():
    lines = followed([*three(1), *three(2, shift_mm=30.0)])
    lines = followed([
        dataclasses.replace(one, contact_percent=10.0 + one.print_id, ppsi=20.0)
        for line in lines for one in line.stretches
    ])  # fmt: skip
    drawn = stretches_chart(lines, NO_TARGET, "metric")
    contact = [trace for trace in drawn.data if trace.yaxis == "y2"]
    assert [list(trace.y) for trace in contact] == [[20, 30], [21, 31], [22, 32]]
    points = [trace for trace in drawn.data if trace.yaxis == "y"]
    assert points[0].y[0] == pytest.approx(20 / 1.032256)
    assert len({trace.line.dash for trace in contact}) == 3
    assert len({trace.marker.symbol for trace in contact}) == 3
    table = stretches_table(lines)
    assert list(table["start_mm"]) == [0, 30, 350, 380, 700, 730]


def test_an_unreliable_count_is_hollow_and_not_joined():
    lines = followed([dataclasses.replace(three()[0], count_reliable=False, ppsi=7.0)])
    drawn = stretches_chart(lines, NO_TARGET, "inch")
    points = [trace for trace in drawn.data if trace.yaxis == "y"]
    assert [trace.mode for trace in points] == ["markers"]
    assert points[0].marker.symbol.endswith("-open")


def test_words_have_their_units():
    one = stretch("left end", 350.0, side="far")
    assert words.where_words(one, "metric") == "350 to 850 mm, far side"
    assert words.where_words(one, "inch") == "13.8 to 33.5 in, far side"
    assert "not told" in words.where_words(stretch("left end"), "metric")
    assert "98 % of the face is shown by 1 placement" in words.covered_sentence(98.2, 4, 1)
    assert "count of points unreliable" in words.stretch_line(
        dataclasses.replace(one, count_reliable=False), "inch"
    )
    assert words.gone_sentence(followed([*three(1), *three(2)[:2]]), 2) == (
        "1 stretch was not printed in pass 2: right end."
    )


def test_overlaps_are_told_in_the_readers_units():
    overlap = Overlap("left end", "middle", 350.0, 500.0, 18.0, 17.0, 5, 4, 12, 3, 1.0, "agree")
    assert shown_overlaps([overlap], "inch")["from, in"][0] == pytest.approx(13.8)
    assert overlaps_table([overlap])["from_mm"][0] == 350.0
