"""What levels photographs against each other, and their pixels after it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.photo.measures import linear_light
from scrapeview.plane.joined.warped import Warped

FLOOR = 0.003
"""Share of full light added before the logarithm, so that noise in darks does not count."""
LIGHT = np.array([linear_light(level) for level in range(256)], dtype=np.float32)
"""Linear light of each 8-bit sRGB level."""
_MIDDLING = 0.1
"""Linear light between bare metal's and marking's."""
_ROOTS = 4096
_WHITE = 255


@dataclass(frozen=True, eq=False)
class Levels:
    """What levels each of K photographs, by channel: log I' = offset + slope . u + contrast log I.

    Attributes
    ----------
    offset, contrast : (K, 3) float arrays
    slope : (K, 3, 2) float array
        Along x and y; u runs from -1 to 1 over the photograph's part of the map.
    """

    offset: NDArray[np.float64]
    contrast: NDArray[np.float64]
    slope: NDArray[np.float64]

    @property
    def gain(self) -> NDArray[np.float64]:
        """Times (K, 3) by which middling light of each channel is made brighter."""
        return np.asarray(np.exp(self.offset + (self.contrast - 1) * np.log(_MIDDLING)))

    def slopes_told(self) -> tuple[tuple[tuple[float, float], ...], ...]:
        """Return the slopes as plain numbers."""
        return tuple(tuple((float(x), float(y)) for x, y in photo) for photo in self.slope)


def levelled(
    warped: Warped, number: int, levels: Levels, washed_out: NDArray[np.bool_]
) -> NDArray[np.uint8]:
    """Return a photograph's pixels (h, w, 3) as they are after levelling.

    Parameters
    ----------
    warped : Warped
    number : int
        Which of the levelled photographs it is.
    levels : Levels
    washed_out : (h, w) bool array
        Where it has lost its colour to glare: it stays white, so that its reader sees that.
    """
    height, width = warped.rgb.shape[:2]
    along, down = np.linspace(-1, 1, width), np.linspace(-1, 1, height)
    channels = []
    for channel in range(3):
        logs = levels.offset[number, channel] + levels.contrast[number, channel] * np.log(
            LIGHT + FLOOR
        )
        light = cv2.LUT(
            np.ascontiguousarray(warped.rgb[..., channel]), np.exp(logs).astype(np.float32)
        )
        x, y = levels.slope[number, channel]
        light = light * np.exp(x * along).astype(np.float32)[None, :]
        light *= np.exp(y * down).astype(np.float32)[:, None]
        light -= np.float32(FLOOR)
        np.clip(light, 0, 1, out=light)
        root = cv2.sqrt(light)
        root *= np.float32(_ROOTS - 1)
        channels.append(_SHOWN[np.rint(root).astype(np.uint16)])
    shown = np.asarray(cv2.merge(channels), np.uint8)
    shown[washed_out] = _WHITE
    return shown


def _shown_levels() -> NDArray[np.uint8]:
    """8-bit sRGB of light whose root is the index, so that darks keep their steps."""
    light = np.linspace(0, 1, _ROOTS) ** 2
    return np.rint(np.interp(light, LIGHT, np.arange(256))).astype(np.uint8)


_SHOWN = _shown_levels()
