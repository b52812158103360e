"""The tone curve of sRGB (IEC 61966-2-1)."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def linear_light(values: ArrayLike) -> NDArray[np.float64]:
    """Linear light, 0-1, of sRGB values, 0-255."""
    share = np.asarray(values, dtype=float) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def srgb_values(light: ArrayLike) -> NDArray[np.float64]:
    """SRGB values, 0-255, of linear light, 0-1."""
    share = np.asarray(light, dtype=float)
    curved = 1.055 * np.maximum(share, 1e-9) ** (1 / 2.4) - 0.055
    return 255 * np.where(share <= 0.0031308, 12.92 * share, curved)
