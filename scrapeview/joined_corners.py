"""Corners of a face picked in several photographs of it: "1:x,y 7:x,y ...", as they are typed."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import SettingsError
from scrapeview.joining import Joined
from scrapeview.picks import parse_pick

JoinedCorner = tuple[int, float, float]
"""Number of the photograph, from 0, and the place in it, px."""


def parse_joined_corners(text: str, photos: int, what: str) -> tuple[JoinedCorner, ...]:
    """Read the four corners of a face, each with the number of the photograph it is picked in.

    Parameters
    ----------
    text : str
        "1:412,380 7:3610,402 7:3580,900 1:400,880": clockwise from the face's top left; the
        number counts the photographs from 1, in the order they are given.
    photos : int
        How many there are.
    what : str
        What the corners are, to begin a sentence with.

    Returns
    -------
    tuple of (photograph from 0, x px, y px)

    Raises
    ------
    SettingsError
        Where there are not four, or one has no number of a photograph.
    """
    words = text.replace(";", " ").split()
    if len(words) != 4:
        raise SettingsError(f"{what}: give the face's four corners, not {len(words)}.")
    return tuple(_corner(word, photos, what) for word in words)


def corners_on_map(joined: Joined, corners: Sequence[JoinedCorner]) -> NDArray[np.float64]:
    """Return where corners picked in photographs lie on the map made of them, (N, 2) px."""
    places = [joined.solved.to_mm(photo, [(x, y)])[0] for photo, x, y in corners]
    return joined.plane.to_px(np.array(places))


def _corner(word: str, photos: int, what: str) -> JoinedCorner:
    number, colon, pick = word.partition(":")
    if not colon or not number.isascii() or not number.isdigit():
        raise SettingsError(
            f"{what}: '{word[:24]}' does not say which photograph it is picked in: write 1:412,380 "
            "for a corner in the first one."
        )
    if not 1 <= int(number[:9]) <= photos:
        raise SettingsError(f"{what}: there is no photograph {number[:9]}, only {photos} of them.")
    x, y = parse_pick(pick, what)
    return int(number) - 1, x, y
