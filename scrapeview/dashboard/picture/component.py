"""The picture component, of Streamlit's v2 kind: plain JavaScript and CSS, nothing from outside."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

import streamlit as st

from scrapeview.dashboard.own_component import own_component
from scrapeview.dashboard.picture.events import Event, fresh_events, last_number

_COMPONENT = own_component("picture")


@dataclass(frozen=True)
class Picture:
    """A picture to show.

    Parameters
    ----------
    key : str
        64 letters that tell it from every other picture, such as a SHA-256 of what made it.
    jpeg : bytes
    """

    key: str
    jpeg: bytes


@dataclass(frozen=True, kw_only=True)
class Places:
    """What is to be picked on a photograph, and the words for it.

    Parameters
    ----------
    names : tuple of str
        What each pick is; the last name serves all further picks.
    least, most : int
        How many picks are enough and how many are taken; 50 or more means as many as one likes.
    line : {"closed", "open", "ring", "none"}
        How the picks are joined.
    prompt : str
        What to do next; "{name}" stands for the next pick's name.
    ready, busy : str
        What is said when all is picked, and while the server works.
    done : str
        Words of the button that sends the picks.
    """

    names: tuple[str, ...]
    least: int
    most: int
    line: Literal["closed", "open", "ring", "none"]
    prompt: str
    ready: str
    busy: str
    done: str


@dataclass(frozen=True)
class Tool:
    """What a tap on the face means.

    Parameters
    ----------
    kind : str
        Kind of the event it sends.
    label, hint : str
        Words on its button, and what to do with it.
    taps : {0, 1, 2, 3}
        Taps an event takes: 0 only looks, 3 is a polygon of three or more.
    second : str
        What to do after the first tap; with a polygon, after the third.
    """

    kind: str
    label: str
    hint: str
    taps: int
    second: str = ""


def events_of(key: str) -> tuple[Event, ...]:
    """Return what was sent from the picture of this key since the last call, each event once.

    Call it before the picture is shown, and act on all of it: the next showing tells the browser
    that they are dealt with.
    """
    found = fresh_events(st.session_state.get(key), _taken(key))
    st.session_state[_taken_key(key)] = last_number(found, _taken(key))
    return found


def pick_places(
    key: str,
    picture: Picture,
    scale: tuple[float, float],
    places: Places,
    picks_px: Sequence[Sequence[float]] = (),
    version: str = "",
) -> None:
    """Show a photograph to pick places on; `events_of` gives them, in full-size photo pixels.

    Parameters
    ----------
    key : str
    picture : Picture
    scale : (float, float)
        Full-size pixels per pixel of the picture, across and down.
    places : Places
    picks_px : sequence of (x, y)
        Picks that are offered, in full-size photo pixels.
    version : str
        Another one takes `picks_px` in place of what was picked so far.
    """
    _mount(key, picture, {
        "mode": "picks", "scale": list(scale), "version": version,
        "picks_px": [[float(x), float(y)] for x, y in picks_px], **asdict(places),
    })  # fmt: skip


def show_layers(
    key: str,
    picture: Picture,
    layered: Mapping[str, Any],
    tools: Sequence[Tool],
    *,
    summary: str = "",
    busy: str = "",
) -> None:
    """Show a face square-on with layers; `events_of` gives the taps, in mm of the face.

    Parameters
    ----------
    key : str
    picture : Picture
    layered : mapping
        What `scrapeview.charts.layers_data.layered` gives, with the place of the picture.
    tools : sequence of Tool
        The first one is chosen to begin with.
    summary : str
        The figures in one line, to be seen beside the picture while it is worked on.
    busy : str
        What is said while the server works.
    """
    _mount(key, picture, {
        "mode": "layers", "busy": busy, "summary": summary,
        "tools": [asdict(tool) for tool in tools], **layered,
    })  # fmt: skip


def _mount(key: str, picture: Picture, data: dict[str, Any]) -> None:
    with st.container(gap=None):
        # bytes of its own: they are sent once, and the data beside them as often as they change
        _COMPONENT(key=f"{key} sent", data=picture.key.encode("ascii") + picture.jpeg, height=1)
        sent = {"picture": picture.key, "acknowledged": _taken(key), **data}
        _COMPONENT(key=key, data=sent, on_events_change=_noticed)


def _noticed() -> None:
    """Let the component keep the state "events"; it is read on the next run."""


def _taken(key: str) -> int:
    return int(st.session_state.get(_taken_key(key), 0))


def _taken_key(key: str) -> str:
    return f"{key} taken"
