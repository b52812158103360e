"""Points corrected by hand: removed, added, joined, parted, left out."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrapeview.corrections import Correction
from scrapeview.errors import CorrectionError

PLACES = ((10.0, 10.0), (30.0, 10.0), (10.0, 30.0), (30.0, 30.0), (50.0, 20.0))


@pytest.fixture
def five(drawn):
    face = drawn()
    for x, y in PLACES:
        face.disc(x, y, 2.0)
    return face


def found(face, *corrections):
    return face.found(corrections=corrections)


def area_mm2(bearing, face):
    return bearing.contact.sum() / face.px_per_mm**2


def test_without_corrections_nothing_is_by_hand(five):
    assert len(found(five).points) == 5
    assert not found(five).points["by_hand"].any()


def test_a_removed_mark_is_neither_point_nor_contact(five):
    before, after = found(five), found(five, Correction("remove", ((30.5, 10.4),)))
    assert len(after.points) == 4
    assert area_mm2(before, five) - area_mm2(after, five) == pytest.approx(np.pi * 4, rel=0.02)
    assert not ((after.points["x_mm"] - 30) ** 2 + (after.points["y_mm"] - 10) ** 2 < 1).any()


def test_a_removed_mark_leaves_the_others_as_they_were(five):
    before, after = found(five), found(five, Correction("remove", ((30.5, 10.4),)))
    kept = before.points[before.points["y_mm"].ne(before.points["y_mm"].iloc[1])]
    same = after.points.merge(kept, on=["x_mm", "y_mm", "area_mm2", "diameter_mm"])
    assert len(same) == len(kept)


def test_a_click_beside_a_mark_takes_the_nearest(five):
    assert len(found(five, Correction("remove", ((33.2, 10.0),))).points) == 4


@pytest.mark.parametrize("place", [(20.0, 20.0), (-400.0, 10.0), (1e6, 1e6)])
def test_a_click_on_nothing_is_refused(five, place):
    with pytest.raises(CorrectionError, match="no mark within 2 mm"):
        found(five, Correction("remove", (place,)))


def test_an_added_point_counts_and_bears(five):
    before, after = found(five), found(five, Correction("add", ((20.0, 20.0),), 3.0))
    new = after.points[after.points["by_hand"]]
    assert len(after.points) == 6
    assert len(new) == 1
    assert new["x_mm"].item() == pytest.approx(20, abs=0.1)
    assert new["y_mm"].item() == pytest.approx(20, abs=0.1)
    assert new["diameter_mm"].item() == pytest.approx(3, rel=0.03)
    assert not new["split"].item()
    assert area_mm2(after, five) > area_mm2(before, five)


def test_an_added_point_counts_however_small(five):
    assert len(found(five, Correction("add", ((20.0, 20.0),), 0.3)).points) == 6


def test_an_added_point_can_be_removed_again(five):
    steps = Correction("add", ((20.0, 20.0),), 3.0), Correction("remove", ((20.0, 20.0),))
    before, after = found(five), found(five, *steps)
    assert np.array_equal(before.contact, after.contact)
    assert len(after.points) == 5


def test_adding_on_a_point_or_off_the_face_is_refused(five):
    with pytest.raises(CorrectionError, match="counted already"):
        found(five, Correction("add", ((10.0, 10.0),), 2.0))
    for place in ((-3.0, 10.0), (500.0, 10.0)):
        with pytest.raises(CorrectionError, match="off the face"):
            found(five, Correction("add", (place,), 2.0))


def test_joined_points_count_once_and_bear_the_same(five):
    before = found(five)
    after = found(five, Correction("merge", ((10.0, 10.0), (30.0, 10.0))))
    joined = after.points[after.points["by_hand"]]
    assert len(after.points) == 4
    assert np.array_equal(before.contact, after.contact)
    assert joined["area_mm2"].item() == pytest.approx(2 * np.pi * 4, rel=0.02)
    with pytest.raises(CorrectionError, match="only one point"):
        found(five, Correction("merge", ((10.0, 10.0), (10.5, 10.0))))


def test_a_line_parts_the_points_it_crosses_and_no_other(five):
    before = found(five)
    after = found(five, Correction("split", ((5.0, 10.0), (35.0, 10.0))))
    assert len(after.points) == 7
    assert after.points["by_hand"].sum() == 4
    assert after.points.loc[after.points["by_hand"], "split"].all()
    assert np.array_equal(before.contact, after.contact)


def test_a_line_beside_all_points_is_refused(five):
    with pytest.raises(CorrectionError, match="crosses no point"):
        found(five, Correction("split", ((20.0, 15.0), (22.0, 25.0))))


def test_what_was_parted_can_be_joined_again(five):
    steps = (
        Correction("split", ((5.0, 10.0), (15.0, 10.0))),
        Correction("merge", ((10.0, 9.0), (10.0, 11.0))),
    )
    after = found(five, *steps)
    assert len(after.points) == 5
    assert not after.points["split"].any()


def test_necks_split_without_need_can_be_joined(drawn):
    face = drawn().disc(20, 20, 2.5).disc(24, 20, 2.5)
    assert len(face.found().points) == 2
    after = face.found(corrections=[Correction("merge", ((20.0, 20.0), (24.0, 20.0)))])
    assert len(after.points) == 1
    assert not after.points["split"].item()


@given(order=st.permutations(range(5)), gone=st.integers(0, 5))
def test_removing_in_any_order_leaves_the_same(drawn, order, gone):
    face = drawn()
    for x, y in PLACES:
        face.disc(x, y, 2.0)
    steps = [Correction("remove", (PLACES[i],)) for i in order[:gone]]
    after = face.found(corrections=steps)
    assert len(after.points) == 5 - gone
    again = face.found(corrections=sorted(steps, key=lambda step: step.places_mm))
    assert np.array_equal(after.contact, again.contact)


@pytest.mark.parametrize(
    ("kind", "places", "diameter"),
    [
        ("remove", (), 0.0),
        ("remove", ((1.0, float("nan")),), 0.0),
        ("merge", ((1.0, 2.0),), 0.0),
        ("split", ((1.0, 2.0), (3.0, 4.0), (5.0, 6.0)), 0.0),
        ("add", ((1.0, 2.0),), 0.0),
        ("add", ((1.0, 2.0),), 51.0),
        ("leave_out", ((1.0, 2.0), (3.0, 4.0)), 0.0),
        ("polish", ((1.0, 2.0),), 0.0),
        ("remove", (1.0, 2.0), 0.0),
    ],
)
def test_what_is_no_correction_is_refused(kind, places, diameter):
    with pytest.raises(CorrectionError):
        Correction(kind, places, diameter)
