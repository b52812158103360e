"""Photographs joined to one map, kept by their SHA-256 and by how they were to be joined."""

from collections.abc import Callable

import streamlit as st

from scrapeview.joining import Joined, join_photos
from scrapeview.plane.cards import PaperScale

Photos = tuple[tuple[str, bytes], ...]
"""Name and file of each photograph, in their order along the face."""
Corner = tuple[int, float, float]
"""Photograph, from 0, and where in it, full-size pixels."""
MOST_KEPT = 3
Asked = tuple[tuple[str, ...], PaperScale, tuple[Corner, ...], tuple[float, float] | None]
"""Photographs by their SHA-256, the tiles' paper, corners and size."""


def joined_asked(
    photos: Photos,
    sha256s: tuple[str, ...],
    paper: PaperScale,
    corners: tuple[Corner, ...] = (),
    size_mm: tuple[float, float] | None = None,
    progress: Callable[[float, str], None] | None = None,
) -> Joined:
    """Return photographs joined, made once.

    Parameters
    ----------
    photos : tuple of (str, bytes)
    sha256s : tuple of str
        Of their files, in the same order.
    paper : PaperScale
        Of the tiles.
    corners : tuple of (int, float, float)
        The face's corners clockwise from its top left, where there are no tiles.
    size_mm : (float, float), optional
        Of the face, with the corners.
    progress : callable, optional

    Raises
    ------
    PhotoError, PlaneError
    """
    held, key = _held(), (sha256s, paper, corners, size_mm)
    found = held.pop(key, None)
    if found is None:
        names, files = zip(*photos, strict=True)
        found = join_photos(
            files, names=names, paper=paper, corners=corners or None, size_mm=size_mm,
            progress=progress,
        )  # fmt: skip
    held[key] = found
    for oldest in list(held)[:-MOST_KEPT]:
        held.pop(oldest, None)
    return found


@st.cache_resource(show_spinner=False)
def _held() -> dict[Asked, Joined]:
    """Return what all tabs joined, the latest last.

    A function that is cached itself may not move a progress bar: when it answers from its cache,
    it would move the bar of a page that is gone.
    """
    return {}
