"""What the picture sends: numbered events, checked, each taken once."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

MOST_PLACES = 400
MOST_EVENTS = 200


@dataclass(frozen=True)
class Event:
    """One thing a person did on a picture.

    Parameters
    ----------
    number : int
        Running number in the tab, from 1.
    kind : str
        "picks", or the kind of the tool.
    places : tuple of (x, y)
        Full-size photo pixels for picks, else mm of the face.
    diameter_mm : float
        Of an added point, else 0.
    """

    number: int
    kind: str
    places: tuple[tuple[float, float], ...]
    diameter_mm: float = 0.0


def fresh_events(state: Any, taken: int) -> tuple[Event, ...]:
    """Return the events of a component's state that were not taken yet, in their order.

    Parameters
    ----------
    state : mapping or None
        What the browser holds: it is not trusted, and what is no event is left out.
    taken : int
        Number up to which events were taken.
    """
    sent = state.get("events") if hasattr(state, "get") else None
    if not isinstance(sent, list):
        return ()
    found = (_event(one) for one in sent[-MOST_EVENTS:])
    fresh = {event.number: event for event in found if event is not None and event.number > taken}
    return tuple(fresh[number] for number in sorted(fresh))


def last_number(events: Sequence[Event], taken: int) -> int:
    """Return the number up to which events are taken once these are."""
    return max((event.number for event in events), default=taken)


def _event(sent: Any) -> Event | None:
    try:
        places = tuple((float(x), float(y)) for x, y in sent["places"])
        event = Event(
            int(sent["number"]), str(sent["kind"]), places, float(sent.get("diameter_mm", 0.0))
        )
    except (AttributeError, KeyError, TypeError, ValueError, OverflowError):
        return None
    numbers = [*(value for place in places for value in place), event.diameter_mm]
    sound = len(places) <= MOST_PLACES and all(math.isfinite(value) for value in numbers)
    return event if sound else None
