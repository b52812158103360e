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


_LOG_LIGHT = np.log(_linear_of_srgb(np.arange(256) / 255.0) + DARK_FLOOR).astype(np.float32)


def log_light(rgb: NDArray[np.uint8]) -> FloatImage:
    """Return the natural logarithm of linear light per channel.

    A layer of film multiplies light by ``exp(-absorbance * thickness)`` (Beer-Lambert law), so in
    the logarithm it adds, whatever the light, the exposure and the metal below it.

    Parameters
    ----------
    rgb : (h, w, 3) uint8
        sRGB picture.

    Returns
    -------
    (h, w, 3) float32
    """
    return np.asarray(cv2.LUT(rgb, _LOG_LIGHT), dtype=np.float32)


def project(log_rgb: FloatImage, axis: NDArray[np.float64]) -> FloatImage:
    """Return the projection (h, w) of a log-light picture on one colour axis (3,)."""
    return np.asarray(cv2.transform(log_rgb, axis.reshape(1, 3)), dtype=np.float32).reshape(
        log_rgb.shape[:2]
    )
