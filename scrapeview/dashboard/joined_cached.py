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
    return _joined(sha256s, paper, corners, size_mm, photos, progress)


@st.cache_data(max_entries=MOST_KEPT, show_spinner=False)
def _joined(
    sha256s: tuple[str, ...],  # noqa: ARG001 the cache keys on it
    paper: PaperScale,
    corners: tuple[Corner, ...],
    size_mm: tuple[float, float] | None,
    _photos: Photos,
    _progress: Callable[[float, str], None] | None,
) -> Joined:
    names, files = zip(*_photos, strict=True)
    return join_photos(
        files, names=names, paper=paper, corners=corners or None, size_mm=size_mm,
        progress=_progress,
    )  # fmt: skip
