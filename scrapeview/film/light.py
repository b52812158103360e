"""Light: from sRGB values to the logarithm of linear light, where film simply adds."""

import cv2
import numpy as np
from numpy.typing import NDArray

FloatImage = NDArray[np.float32]

DARK_FLOOR = 0.003
"""Share of full light added before the logarithm: keeps sensor noise in darks from exploding."""


def _linear_of_srgb(value: NDArray[np.float64]) -> NDArray[np.float64]:
    """IEC 61966-2-1 (sRGB) decoding of values in 0-1."""
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


_LIGHT = _linear_of_srgb(np.arange(256) / 255.0)
USUAL_LIGHT = 0.2
"""Linear light of bare metal in a well exposed photograph."""
LEAST_FLOOR = 0.0008
"""Two or three of the darkest steps of 8-bit sRGB."""


def floor_for(rgb: NDArray[np.uint8], inside: NDArray[np.bool_]) -> float:
    """Return the dark floor for a face: lower in a dim photograph, where film is darker still.

    Parameters
    ----------
    rgb : (h, w, 3) uint8
    inside : (h, w) bool
    """
    greens = rgb[::8, ::8, 1][inside[::8, ::8]]
    if greens.size == 0:
        return DARK_FLOOR
    metal = float(_LIGHT[int(np.percentile(greens, 75))])
    return float(np.clip(DARK_FLOOR * metal / USUAL_LIGHT, LEAST_FLOOR, DARK_FLOOR))


def log_light(rgb: NDArray[np.uint8], floor: float = DARK_FLOOR) -> FloatImage:
    """Return the natural logarithm of linear light per channel.

    A layer of film multiplies light by ``exp(-absorbance * thickness)`` (Beer-Lambert law), so in
    the logarithm it adds, whatever the light, the exposure and the metal below it.

    Parameters
    ----------
    rgb : (h, w, 3) uint8
        sRGB picture.
    floor : float
        Share of full light added before the logarithm.

    Returns
    -------
    (h, w, 3) float32
    """
    return np.asarray(cv2.LUT(rgb, np.log(_LIGHT + floor).astype(np.float32)), dtype=np.float32)


def project(log_rgb: FloatImage, axis: NDArray[np.float64]) -> FloatImage:
    """Return the projection (h, w) of a log-light picture on one colour axis (3,)."""
    return np.asarray(cv2.transform(log_rgb, axis.reshape(1, 3)), dtype=np.float32).reshape(
        log_rgb.shape[:2]
    )
