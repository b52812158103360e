"""What the browser sends is checked, and each event is taken once."""

import pytest

from scrapeview.dashboard.picture.events import (
    MOST_EVENTS,
    MOST_PLACES,
    Event,
    fresh_events,
    last_number,
)


def sent(*events):
    return {"events": list(events)}


def tap(number, **more):
    return {"number": number, "kind": "remove", "places": [[1.5, 2]]} | more


def test_events_come_in_order_each_once():
    found = fresh_events(sent(tap(3), tap(2), tap(2)), 1)
    assert [event.number for event in found] == [2, 3]
    assert found[0] == Event(2, "remove", ((1.5, 2.0),))
    assert last_number(found, 1) == 3


def test_what_was_taken_is_not_taken_again():
    assert fresh_events(sent(tap(1), tap(2)), 2) == ()
    assert last_number((), 2) == 2


def test_a_size_is_kept():
    (found,) = fresh_events(sent(tap(1, kind="add", diameter_mm=2.5)), 0)
    assert (found.kind, found.diameter_mm) == ("add", 2.5)


@pytest.mark.parametrize(
    "odd",
    [
        None,
        7,
        "text",
        {},
        {"number": 1, "kind": "remove"},
        tap("many"),
        tap(1, places=[[1]]),
        tap(1, places="ab"),
        tap(1, places=[[1, float("nan")]]),
        tap(1, places=[[1, float("inf")]]),
        tap(float("inf")),
        tap(1, diameter_mm="wide"),
        tap(1, places=[[0, 0]] * (MOST_PLACES + 1)),
    ],
)
def test_what_is_no_event_is_left_out(odd):
    assert [event.number for event in fresh_events(sent(odd, tap(5)), 0)] == [5]


@pytest.mark.parametrize("state", [None, {}, [], "x", {"events": None}, {"events": {"a": 1}}])
def test_a_state_without_events_has_none(state):
    assert fresh_events(state, 0) == ()


def test_a_flood_is_cut_to_its_end():
    flood = fresh_events(sent(*(tap(number) for number in range(1, MOST_EVENTS + 50))), 0)
    assert len(flood) == MOST_EVENTS
    assert flood[-1].number == MOST_EVENTS + 49
