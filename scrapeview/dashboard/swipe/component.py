"""The swipe component, of Streamlit's v2 kind: plain JavaScript and CSS, nothing from outside."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args

import streamlit as st

from scrapeview.dashboard.own_component import own_component

Mode = Literal["swipe", "blink", "both"]
MODES: tuple[Mode, ...] = get_args(Mode)

_COMPONENT = own_component("swipe")


@dataclass(frozen=True)
class Sheet:
    """One print to look at.

    Parameters
    ----------
    title : str
        What stands on the picture: pass 7.
    key : str
        64 letters that tell the picture from every other one, such as a SHA-256 of what made it.
    jpeg : bytes
    layers : tuple of dict
        "key", "label", "colour" (#rrggbb), "shape" (ring, cross or triangle), "radius_px" and
        "places_px" (x, y, x, y ... in pixels of the picture).
    """

    title: str
    key: str
    jpeg: bytes
    layers: tuple[dict[str, Any], ...]


def compare(
    key: str,
    sheets: tuple[Sheet, Sheet],
    size_px: tuple[int, int],
    mode: Mode,
    shown: Sequence[str],
    legend: Sequence[dict[str, Any]],
) -> None:
    """Show two prints of the same size at the same place.

    Parameters
    ----------
    key : str
    sheets : two Sheet
        The earlier print first.
    size_px : (int, int)
        Width and height of both pictures.
    mode : {"swipe", "blink", "both"}
    shown : sequence of str
        Keys of the layers that are shown.
    legend : sequence of dict
        "key", "label", "colour" and "shape" of each kind of mark.
    """
    with st.container(gap=None):
        for side, sheet in zip(("before", "after"), sheets, strict=True):
            # bytes of their own: they are sent once, and the rest as often as it changes
            sent = sheet.key.encode("ascii") + sheet.jpeg
            _COMPONENT(key=f"{key} {side}", data=sent, height=1)
        prints = [
            {"title": sheet.title, "picture": sheet.key, "layers": list(sheet.layers)}
            for sheet in sheets
        ]
        _COMPONENT(key=key, data={
            "mode": mode, "size_px": list(size_px), "shown": list(shown),
            "legend": list(legend), "prints": prints,
        })  # fmt: skip
